// Prints what the page weighs and how long a change takes with 300 props: node test/browser/pace.mjs. Must be built.
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const { module } = await runnerImport(fileURLToPath(new URL('pace.ts', import.meta.url)));
console.log(JSON.stringify(await module.measurePage(), null, 2));

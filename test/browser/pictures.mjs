// Writes pictures of the page in every state: node test/browser/pictures.mjs FOLDER [ONLY]. The page must be built.
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const [folder, only] = process.argv.slice(2);
if (!folder) {
  console.error('node test/browser/pictures.mjs FOLDER [ONLY]');
  process.exit(2);
}
const { module } = await runnerImport(fileURLToPath(new URL('pictures.ts', import.meta.url)));
await module.takePictures(folder, only);

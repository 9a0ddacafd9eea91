import { runStorm } from './storm.ts';
import { largeYard } from './yards.ts';

const t0 = performance.now();
const arg = process.argv[2] ?? 'ferry';
const result = await runStorm({
  seed: Number(process.argv[3] ?? 1),
  calm: process.argv.includes('--calm'),
  ...(arg === 'large' ? { yard: largeYard(40) } : arg === 'any' ? {} : { yard: arg }),
  everyHeartbeat: process.argv.includes('--deliver'),
  ...(process.argv.includes('--trace') ? { onLine: (t: string) => console.log(t) } : {}),
});
const ms = performance.now() - t0;
if (process.argv.includes('--all')) console.log(result);
console.log(result.breach?.story.slice(-50).join('\n'));
console.log(
  result.seed,
  result.yard,
  result.hash,
  result.breach?.invariant,
  result.breach?.text,
  `${Math.round(result.simulatedMs / ms)} x`,
  Math.round(result.simulatedMs / 60000),
  'min',
);

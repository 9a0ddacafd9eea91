import { parentPort, workerData } from 'node:worker_threads';
import { runStorm } from './storm.ts';

/** Runs the seeds it is given until one breaks something, and says which. */
for (const seed of workerData as number[]) {
  const { breach } = await runStorm({ seed });
  if (!breach) continue;
  parentPort!.postMessage({ seed, breach });
  break;
}
parentPort!.postMessage(null);

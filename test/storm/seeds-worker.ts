import { parentPort, workerData } from 'node:worker_threads';
import { runStorm, type StormOptions } from './storm.ts';

/** What a thread is told: the seed that comes next, or to end. It answers with the run. */
export type Word = number | null;

const common = workerData as Omit<StormOptions, 'seed'>;

parentPort!.on('message', (seed: Word) => {
  if (seed === null) parentPort!.close();
  else void runStorm({ ...common, seed }).then((result) => parentPort!.postMessage(result));
});

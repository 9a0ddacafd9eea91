import { Worker } from 'node:worker_threads';
import type { Word } from './seeds-worker.ts';
import type { StormOptions, StormResult } from './storm.ts';

export interface FleetOrder {
  readonly seeds: readonly number[];
  /** Threads at a time. */
  readonly jobs: number;
  /** The built `seeds-worker.js` of the storm that is to be run: this one, or one with a mistake in it. */
  readonly worker: string | URL;
  readonly options?: Omit<StormOptions, 'seed' | 'onLine'>;
  /** Told of each run, in the order in which they end; true: it has seen enough. */
  readonly onRun: (result: StormResult) => boolean;
}

/** So many young objects fit before the collector looks: a night makes a million that do not last. */
const YOUNG_MB = 64;

/** Runs seeds on threads of their own. Throws where a thread does: a seed that can't be run is no seed that passed. */
export async function runFleet(order: FleetOrder): Promise<void> {
  const waiting = [...order.seeds];
  let enough = false;
  const thread = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = new Worker(order.worker, {
        workerData: order.options ?? {},
        resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB },
      });
      const next = (): void => {
        const word: Word = enough ? null : (waiting.shift() ?? null);
        worker.postMessage(word);
      };
      worker.on('message', (result: StormResult) => {
        if (!enough && order.onRun(result)) enough = true;
        next();
      });
      worker.once('error', reject);
      worker.once('exit', () => resolve());
      next();
    });
  await Promise.all(Array.from({ length: Math.min(order.jobs, waiting.length) }, thread));
}

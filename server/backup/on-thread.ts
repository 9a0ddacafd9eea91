import { Worker } from 'node:worker_threads';
import type { BackupOrder } from './make.ts';
import type { BackupTold, StageOrder } from './stage.ts';

/** Work on a backup, in the thread's words. */
export type ThreadOrder =
  | { readonly do: 'make'; readonly order: BackupOrder }
  | { readonly do: 'check'; readonly zip: Uint8Array; readonly order: StageOrder };

export type ThreadAnswer =
  | { readonly ok: true; readonly value: Uint8Array | BackupTold }
  | { readonly ok: false; readonly code: string; readonly sentence: string };

/** The largest record takes a small computer a minute; what takes longer was made to. */
const PATIENCE_MS = 180_000;
const MEMORY_MB = 512;

/** Why nothing came of it, for a person. */
export class ThreadRefused extends Error {
  readonly code: string;

  constructor(code: string, sentence: string) {
    super(sentence);
    this.code = code;
  }
}

/**
 * On a thread of its own: packing and unpacking take seconds, and a desk whose loop stands still for the bus's silence
 * loses its props. Rejects with `ThreadRefused`, or with what the disk says.
 */
export function onThread(order: ThreadOrder): Promise<Uint8Array | BackupTold> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./thread.js', import.meta.url), {
      workerData: order,
      resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
    });
    const end = (): void => {
      clearTimeout(timer);
      void worker.terminate();
    };
    const timer = setTimeout(() => {
      end();
      reject(new ThreadRefused('backup-too-long', 'It took too long and was given up. Nothing was changed.'));
    }, PATIENCE_MS);
    worker.once('message', (answer: ThreadAnswer) => {
      end();
      if (answer.ok) resolve(answer.value);
      else reject(new ThreadRefused(answer.code, answer.sentence));
    });
    worker.once('error', (error) => {
      end();
      reject(error);
    });
    worker.once('exit', () => reject(new Error('the thread of the backup ended before it was done')));
  });
}

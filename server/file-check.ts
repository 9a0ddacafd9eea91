import { Worker } from 'node:worker_threads';
import type { Note, YardError } from './file/errors.ts';
import type { Finding } from './file/review.ts';

/** A larger yard file is not a yard file. UTF-8 bytes. */
export const FILE_LIMIT_BYTES = 256 * 1024;
/** The largest yard is read in a second or two; what takes longer was made to. */
const PATIENCE_MS = 20_000;
const MEMORY_MB = 256;

export interface Checked {
  ok: boolean;
  errors: Pick<YardError, 'line' | 'column' | 'message'>[];
  notes: Pick<Note, 'line' | 'column' | 'message'>[];
  /** What the review of circuits, air, duties and zones finds; empty where there are errors. */
  findings: Pick<Finding, 'level' | 'text'>[];
}

/**
 * Reads and reviews a yard file's text on a thread of its own: a hostile text can take seconds, and a desk whose loop
 * stands still for the bus's silence loses its props. Null where it takes too long or too much memory.
 */
export function checkFile(text: string, patienceMs = PATIENCE_MS): Promise<Checked | null> {
  return new Promise((resolve) => {
    const worker = new Worker(new URL('./file-check-thread.js', import.meta.url), {
      workerData: text,
      resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
    });
    const give = (checked: Checked | null): void => {
      clearTimeout(timer);
      void worker.terminate();
      resolve(checked);
    };
    const timer = setTimeout(() => give(null), patienceMs);
    worker.once('message', (checked: Checked) => give(checked));
    worker.once('error', () => give(null));
    worker.once('exit', () => give(null));
  });
}

import { Worker } from 'node:worker_threads';
import type { FileChange } from './file/difference.ts';
import type { Note, YardError } from './file/errors.ts';
import type { Finding } from './file/review.ts';
import type { Yard } from './yard/types.ts';

/** A larger yard file is not a yard file. UTF-8 bytes. */
export const FILE_LIMIT_BYTES = 256 * 1024;
/** The largest yard is read in a second or two; what takes longer was made to. */
const PATIENCE_MS = 20_000;
const MEMORY_MB = 256;

export interface Checked {
  ok: boolean;
  errors: Pick<YardError, 'line' | 'column' | 'message'>[];
  notes: Pick<Note, 'line' | 'column' | 'message'>[];
  /** What the review of circuits, air, duties and zones finds; where there are errors, in what could be read. */
  findings: Pick<Finding, 'level' | 'text'>[];
  /** What has mistakes and is therefore not in the review's sums. */
  leftOut: string[];
}

/** What a thread is given: the text, and that of the file that runs, to say what differs. */
export interface CheckOrder {
  readonly text: string;
  readonly running: string | null;
}

export interface Reading {
  readonly checked: Checked;
  /** Null where the text has errors. */
  readonly yard: Yard | null;
  /** In what it differs from the file that runs; none where it has errors. */
  readonly changes: readonly FileChange[];
}

/**
 * Reads and reviews a yard file's text on a thread of its own: a hostile text can take seconds, and a desk whose loop
 * stands still for the bus's silence loses its props. Null where it takes too long or too much memory.
 */
export function checkFile(
  text: string,
  running: string | null = null,
  patienceMs = PATIENCE_MS,
): Promise<Reading | null> {
  return new Promise((resolve) => {
    const worker = new Worker(new URL('./file-check-thread.js', import.meta.url), {
      workerData: { text, running } satisfies CheckOrder,
      resourceLimits: { maxOldGenerationSizeMb: MEMORY_MB },
    });
    const give = (reading: Reading | null): void => {
      clearTimeout(timer);
      void worker.terminate();
      resolve(reading);
    };
    const timer = setTimeout(() => give(null), patienceMs);
    worker.once('message', (reading: Reading) => give(reading));
    worker.once('error', () => give(null));
    worker.once('exit', () => give(null));
  });
}

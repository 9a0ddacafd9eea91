import { parentPort, workerData } from 'node:worker_threads';
import { readYard } from './file/read.ts';
import { reviewYard } from './file/review.ts';
import type { Checked } from './file-check.ts';

const read = readYard(workerData as string);
const place = ({ line, column, message }: { line: number; column: number; message: string }) => ({
  line,
  column,
  message,
});
const checked: Checked = read.ok
  ? {
      ok: true,
      errors: [],
      notes: read.notes.map(place),
      findings: reviewYard(read.yard).map(({ level, text }) => ({ level, text })),
    }
  : { ok: false, errors: read.errors.map(place), notes: [], findings: [] };
parentPort!.postMessage(checked);

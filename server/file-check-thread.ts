import { parentPort, workerData } from 'node:worker_threads';
import { differenceOf } from './file/difference.ts';
import { readYard } from './file/read.ts';
import { reviewYard } from './file/review.ts';
import type { CheckOrder, Reading } from './file-check.ts';

const { text, running } = workerData as CheckOrder;
const read = readYard(text);
const place = ({ line, column, message }: { line: number; column: number; message: string }) => ({
  line,
  column,
  message,
});
const reading: Reading = read.ok
  ? {
      checked: {
        ok: true,
        errors: [],
        notes: read.notes.map(place),
        findings: reviewYard(read.yard).map(({ level, text }) => ({ level, text })),
      },
      yard: read.yard,
      changes: running === null ? [] : differenceOf(running, text),
    }
  : {
      checked: { ok: false, errors: read.errors.map(place), notes: [], findings: [] },
      yard: null,
      changes: [],
    };
parentPort!.postMessage(reading);

import { parentPort, workerData } from 'node:worker_threads';
import { differenceOf } from './file/difference.ts';
import { type Read, readYard } from './file/read.ts';
import { type Finding, reviewYard } from './file/review.ts';
import { reviewLeft } from './file/review-left.ts';
import type { Checked, CheckOrder, Reading } from './file-check.ts';

const { text, running } = workerData as CheckOrder;
const read = readYard(text);
const place = ({ line, column, message }: { line: number; column: number; message: string }) => ({
  line,
  column,
  message,
});
const told = ({ level, text: said }: Finding) => ({ level, text: said });
const reading: Reading = read.ok
  ? {
      checked: {
        ok: true,
        errors: [],
        notes: read.notes.map(place),
        findings: reviewYard(read.yard).map(told),
        leftOut: [],
      },
      yard: read.yard,
      changes: running === null ? [] : differenceOf(running, text),
    }
  : {
      checked: { ok: false, errors: read.errors.map(place), notes: [], ...leftOf(read) },
      yard: null,
      changes: [],
    };
/** The review of what could be read. */
function leftOf({ left, errors }: Extract<Read, { ok: false }>): Pick<Checked, 'findings' | 'leftOut'> {
  if (!left) return { findings: [], leftOut: [] };
  const { findings, leftOut } = reviewLeft(left, errors);
  return { findings: findings.map(told), leftOut: [...leftOut] };
}

parentPort!.postMessage(reading);

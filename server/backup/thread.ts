import { parentPort, workerData } from 'node:worker_threads';
import { JournalError } from '../journal/trouble.ts';
import { makeBackup } from './make.ts';
import type { ThreadAnswer, ThreadOrder } from './on-thread.ts';
import { BackupRefused } from './refused.ts';
import { checkBackup } from './stage.ts';

const order = workerData as ThreadOrder;
try {
  const value = order.do === 'make' ? makeBackup(order.order) : checkBackup(order.zip, order.order);
  parentPort!.postMessage({ ok: true, value } satisfies ThreadAnswer);
} catch (error) {
  if (!(error instanceof BackupRefused || error instanceof JournalError)) throw error;
  parentPort!.postMessage({ ok: false, code: error.code, sentence: error.message } satisfies ThreadAnswer);
}

import { z } from 'zod';
import type { BackupDoor } from '../backup/backups.ts';
import { ZIP_LIMIT_BYTES } from '../backup/manifest.ts';
import { ThreadRefused } from '../backup/on-thread.ts';
import type { BackupTold } from '../backup/stage.ts';
import { doneSchema } from './answers.ts';
import { type Call, call, json } from './call.ts';
import { Problem, problem } from './problem.ts';
import { restoreSchema } from './schemas.ts';

const toldSchema = z
  .strictObject({
    sum: z.string(),
    madeAt: z.number(),
    program: z.string(),
    yard: z.string(),
    nights: z.int(),
    people: z.int(),
  })
  .meta({ id: 'BackupTold' }) satisfies z.ZodType<BackupTold>;

const restoredSchema = z.strictObject({ kept: z.string() }).meta({ id: 'Restored' });

/** A backup holds the hashes of PINs and perhaps the password of a bus: only a keeper takes or brings one. */
export function backupCalls(backups: BackupDoor): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/backup',
      who: 'keeper',
      does: 'Everything that this computer keeps, as one zip: yard file, record, people, settings.',
      says: {
        200: { what: 'The zip.', type: 'application/zip', schema: z.string() },
        409: { what: 'Another is being made or read.' },
        422: { what: 'The record can’t be packed.' },
      },
      async run() {
        const made = await orProblem(backups.make());
        if (made === 'busy') throw problem(409, 'backup-busy');
        return {
          status: 200,
          bytes: { type: 'application/zip', body: Buffer.from(made.zip), name: made.name },
        };
      },
    }),
    call({
      method: 'post',
      path: '/api/restore/check',
      who: 'keeper',
      does: 'Reads a backup to the last byte and lays it beside; nothing is changed by it.',
      raw: { type: 'application/zip', bytes: ZIP_LIMIT_BYTES },
      says: {
        200: { what: 'What is in it.', schema: toldSchema },
        409: { what: 'Another is being made or read.' },
        422: { what: 'No backup, or one that can’t be used; the sentence says why.' },
      },
      async run({ body }) {
        const told = await orProblem(backups.check(body as Buffer));
        if (told === 'busy') throw problem(409, 'backup-busy');
        return json(200, told);
      },
    }),
    call({
      method: 'post',
      path: '/api/restore',
      who: 'keeper',
      does: 'Restores what was read last, and starts the yard computer anew with it. What was there is kept as one more backup.',
      body: restoreSchema,
      says: {
        202: { what: 'It starts anew.', schema: restoredSchema },
        409: { what: 'Not now; the sentence says why. Nothing was changed.' },
      },
      async run({ body }) {
        const done = await orProblem(backups.restore(body.sum));
        if (typeof done === 'object') return json(202, done);
        throw problem(409, AGAINST[done]);
      },
    }),
    call({
      method: 'post',
      path: '/api/restart',
      who: 'keeper',
      does: 'Starts the yard computer anew, as for a changed bus: only while the yard is closed and at rest.',
      says: { 202: { what: 'It starts anew.', schema: doneSchema }, 409: { what: 'Not now.' } },
      run() {
        if (!backups.startAnew()) throw problem(409, 'restart-not-closed');
        return json(202, { ok: true });
      },
    }),
  ];
}

const AGAINST = {
  busy: 'backup-busy',
  'not-checked': 'not-checked',
  'restore-not-closed': 'restore-not-closed',
  'restore-stopped': 'restore-stopped',
  'restore-moving': 'restore-moving',
  'restore-read-only': 'restore-read-only',
} as const;

async function orProblem<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
    if (error instanceof ThreadRefused)
      throw new Problem(422, [{ code: error.code, sentence: error.message }]);
    if ((error as NodeJS.ErrnoException).syscall !== undefined) throw problem(503, 'disk-refused');
    throw error;
  }
}

import { createHash } from 'node:crypto';
import { z } from 'zod';

/*
 * What a backup is: one zip with a manifest and the files that it names, each with its length and its sum. Nothing in
 * it is placed by the name it bears in the zip, so no name can lead anywhere.
 */

/** The manifest's own name in the zip. */
export const MANIFEST = 'manifest.json';
const WHAT = 'dusklatch-backup';
/** Raised when a reader of the last one could not make sense of it. */
export const BACKUP_FORMAT = 1;

const MIB = 1024 * 1024;

/** The files that a backup may hold, by their names in it, and what each may be at most, unpacked, bytes. */
export const BACKUP_FILES = {
  'yard.yaml': MIB,
  'record.db': 384 * MIB,
  'people.json': MIB,
  'red-button.json': MIB,
  'notices.json': MIB,
} as const;

export type BackupFile = keyof typeof BACKUP_FILES;

/** Of these, the small ones that go in and out of the data folder as they are. */
export const PLAIN_FILES = ['people.json', 'red-button.json', 'notices.json'] as const satisfies BackupFile[];

/** Without these there is nothing to go on with. */
export const WANTED: readonly BackupFile[] = ['yard.yaml', 'record.db'];

/** What is sent up from a phone. The record packs to about a tenth. */
export const ZIP_LIMIT_BYTES = 64 * MIB;
export const MANIFEST_LIMIT_BYTES = 64 * 1024;

const whole = z.int().min(0);

export const manifestSchema = z.strictObject({
  what: z.literal(WHAT),
  format: z.literal(BACKUP_FORMAT),
  /** The version of the program that made it. */
  program: z.string().max(40),
  /** ms since 1970. */
  madeAt: z.number(),
  yard: z.strictObject({ id: z.string().max(80), title: z.string().max(200) }),
  /** A demonstration's goes back into a demonstration, and one's own yard's into one's own. */
  demonstration: z.boolean(),
  /** Of stop, cleared stop and start: after a restore they are never lower than they were. */
  numbers: z.strictObject({ stop: whole, cleared: whole, epoch: whole }),
  nights: whole,
  people: whole,
  files: z
    .array(
      z.strictObject({
        name: z.enum(Object.keys(BACKUP_FILES) as [BackupFile, ...BackupFile[]]),
        bytes: whole,
        sha256: z.string().regex(/^[0-9a-f]{64}$/),
      }),
    )
    .max(Object.keys(BACKUP_FILES).length),
});

export type Manifest = z.infer<typeof manifestSchema>;
export const MANIFEST_HEAD = { what: WHAT, format: BACKUP_FORMAT } as const;

/** Whether this is a manifest at all, and of which format: looked at before the rest is. */
export const manifestHead = z.object({ what: z.literal(WHAT), format: whole });

export function sumOf(bytes: Uint8Array | string): string {
  return createHash('sha256').update(bytes).digest('hex');
}

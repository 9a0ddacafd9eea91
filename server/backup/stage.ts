import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { z } from 'zod';
import { readYardBytes } from '../file/check.ts';
import { syncFolder } from '../journal/folder.ts';
import { openNumbers } from '../journal/numbers.ts';
import { journalPath, openJournal } from '../journal/sqlite.ts';
import { restoreShow } from '../restore.ts';
import { type Manifest, PLAIN_FILES, sumOf } from './manifest.ts';
import { listOf } from './people-in.ts';
import { readBackup } from './read.ts';
import { BackupRefused } from './refused.ts';

/*
 * A restore in three acts, so that none of them can leave half of it:
 *
 *   checked: a backup was read to the last byte and lies unpacked beside what is in use; nothing else has changed
 *   ready:   a person wants it; one rename makes it so
 *   done:    before anything is opened, the files take their places, one rename each; a crash on the way goes on here
 */

const CHECKED = 'restore-checked';
const READY = 'restore-ready';
const PLAN = 'restore.json';

/** A backup that can be restored, as a person is told of it. */
export interface BackupTold {
  /** Names this backup: its manifest's sum. */
  readonly sum: string;
  readonly madeAt: number;
  readonly program: string;
  readonly yard: string;
  readonly nights: number;
  readonly people: number;
}

const planSchema = z.strictObject({
  sum: z.string(),
  /** Where the yard file goes; null leaves it. */
  yardPath: z.string().nullable(),
  numbers: z.strictObject({ stop: z.int(), cleared: z.int(), epoch: z.int() }),
  /** Whether people come with it: they are never taken away. */
  files: z.array(z.enum(PLAIN_FILES)),
});

export interface StageOrder {
  readonly dataDir: string;
  readonly demonstration: boolean;
  /** Where the yard file goes; null leaves it, as in the demonstration. */
  readonly yardPath: string | null;
}

/**
 * Reads a backup to the last byte, tries whether a yard computer could begin with it, and lays it beside what is in use.
 * Sync and slow. Throws `BackupRefused` and what the disk says; then nothing has changed.
 */
export function checkBackup(zip: Uint8Array, order: StageOrder): BackupTold {
  const { dataDir, demonstration, yardPath } = order;
  const { manifest, files } = readBackup(zip);
  if (manifest.demonstration !== demonstration)
    throw new BackupRefused('backup-other', manifest.demonstration ? 'demonstration' : 'own');
  const people = files.get('people.json');
  if (people) checkPeople(people);
  const folder = join(dataDir, CHECKED);
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  try {
    writeFileSync(journalPath(folder), files.get('record.db')!, { mode: 0o600, flush: true });
    checkRecord(folder, files.get('yard.yaml')!);
    writeFileSync(join(folder, 'yard.yaml'), files.get('yard.yaml')!, { flush: true });
    for (const name of PLAIN_FILES)
      if (files.has(name)) writeFileSync(join(folder, name), files.get(name)!, { mode: 0o600, flush: true });
    const told = toldOf(manifest);
    const plan = {
      sum: told.sum,
      yardPath,
      numbers: manifest.numbers,
      files: PLAIN_FILES.filter((name) => files.has(name)),
    };
    writeFileSync(join(folder, PLAN), JSON.stringify(plan satisfies z.infer<typeof planSchema>), {
      flush: true,
    });
    return told;
  } catch (error) {
    rmSync(folder, { recursive: true, force: true });
    throw error;
  }
}

function toldOf(manifest: Manifest): BackupTold {
  const { madeAt, program, yard, nights, people } = manifest;
  return { sum: sumOf(JSON.stringify(manifest)), madeAt, program, yard: yard.title, nights, people };
}

function checkPeople(bytes: Uint8Array): void {
  const list = listOf(bytes);
  if (!list) throw new BackupRefused('backup-people', 'it can’t be read');
  if (!list.some(({ role }) => role === 'keeper'))
    throw new BackupRefused('backup-people', 'there is no keeper on it');
}

/** The yard file reads, and the record folds to a state under it: what the next start will do. */
function checkRecord(folder: string, yardBytes: Uint8Array): void {
  const read = readYardBytes(yardBytes);
  if (!read.ok) throw new BackupRefused('backup-yard', read.errors[0]!.message);
  try {
    const journal = openJournal(folder);
    try {
      if (!journal.latestSnapshot()) throw new Error('no state is kept in it');
      const hash = sumOf(yardBytes);
      journal.keepYard(hash, Buffer.from(yardBytes).toString('utf8'));
      restoreShow(journal, read.yard, hash);
    } finally {
      journal.close();
    }
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new BackupRefused(
      'backup-record',
      why.replaceAll(journalPath(folder), 'it').replace(/[.\s]+$/, ''),
    );
  }
}

/** Why the yard file could not be put in its place, before anything is: its folder must take a new one. Null where it can. */
export function unwritable(yardPath: string): string | null {
  try {
    accessSync(dirname(yardPath), constants.W_OK);
    if (existsSync(yardPath)) accessSync(yardPath, constants.W_OK);
    return null;
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/** What was checked is to be restored by the next start. False where this is not what was checked last. */
export function makeReady(dataDir: string, sum: string): boolean {
  const folder = join(dataDir, CHECKED);
  const plan = planIn(folder);
  if (plan?.sum !== sum) return false;
  rmSync(join(dataDir, READY), { recursive: true, force: true });
  renameSync(folder, join(dataDir, READY));
  syncFolder(dataDir);
  return true;
}

/** Throws away what was checked and not wanted; for a start. */
export function dropChecked(dataDir: string): void {
  try {
    rmSync(join(dataDir, CHECKED), { recursive: true, force: true });
  } catch {
    // a folder that can't be used is refused by whoever opens it
  }
}

export function isReady(dataDir: string): boolean {
  return existsSync(join(dataDir, READY));
}

/**
 * Puts what is ready in its places: for a start, before anything is opened, by whoever owns the folder. Each file by one
 * rename; what was moved before a crash is passed over. Throws what the disk says, and can be called again.
 */
export function finishRestore(dataDir: string): void {
  const folder = join(dataDir, READY);
  const plan = planIn(folder);
  if (!plan) return rmSync(folder, { recursive: true, force: true });
  const record = journalPath(folder);
  if (existsSync(record)) {
    // What the old record's log holds belongs to the old record.
    for (const tail of ['-wal', '-shm']) rmSync(`${journalPath(dataDir)}${tail}`, { force: true });
    renameSync(record, journalPath(dataDir));
  }
  for (const name of PLAIN_FILES) {
    if (existsSync(join(folder, name))) renameSync(join(folder, name), join(dataDir, name));
    else if (name !== 'people.json' && !plan.files.includes(name))
      rmSync(join(dataDir, name), { force: true });
  }
  // It was drawn up for the record that is gone.
  rmSync(join(dataDir, 'tonight.json'), { force: true });
  if (plan.yardPath !== null && existsSync(join(folder, 'yard.yaml'))) {
    mkdirSync(dirname(plan.yardPath), { recursive: true });
    writeFileAtomic.sync(plan.yardPath, readFileSync(join(folder, 'yard.yaml')));
  }
  const numbers = openNumbers(dataDir);
  try {
    numbers.write(plan.numbers);
  } finally {
    numbers.close();
  }
  syncFolder(dataDir);
  rmSync(folder, { recursive: true, force: true });
}

function planIn(folder: string): z.infer<typeof planSchema> | null {
  try {
    return planSchema.parse(JSON.parse(readFileSync(join(folder, PLAN), 'utf8')));
  } catch {
    return null;
  }
}

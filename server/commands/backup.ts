import { existsSync, mkdirSync, readFileSync, type Stats, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { backupName } from '../backup/backups.ts';
import { isDemonstration } from '../backup/demonstration.ts';
import { makeBackup } from '../backup/make.ts';
import { ZIP_LIMIT_BYTES } from '../backup/manifest.ts';
import { BackupRefused } from '../backup/refused.ts';
import { checkBackup, finishRestore, isReady, makeReady, unwritable } from '../backup/stage.ts';
import { openFolder } from '../journal/folder.ts';
import { journalPath, openJournal } from '../journal/sqlite.ts';
import { No, out, recordIn } from './say.ts';

export interface BackupFlags {
  readonly data: string;
  /** Writes over what has the name already; of `backup` alone. */
  readonly force?: boolean;
}

/** `dusklatch backup OUT`: all that is kept in a data folder as one zip; the daemon may run beside it. */
export function backupCommand(to: string, flags: BackupFlags, program: string): number {
  recordIn(flags.data);
  refuseTaken(to, flags.force === true);
  const zip = refusing(() => packed(flags.data, null, program));
  try {
    writeFileAtomic.sync(to, Buffer.from(zip), { mode: 0o600 });
  } catch (error) {
    throw notWritten(to, error);
  }
  out(`${to}: ${Math.ceil(zip.length / 1024)} KiB. It holds the hashes of the PINs: keep it to yourself.`);
  return 0;
}

/** An older backup is what a person goes back to: it is not lost because a name was used twice. */
function refuseTaken(to: string, force: boolean): void {
  const there = foundAt(to);
  if (!there) return;
  if (there.isDirectory())
    throw new No(`${to} is a folder. Name the zip to write, such as ${join(to, 'yard.zip')}.`);
  if (!force)
    throw new No(
      `${to} is there already and was left as it is. Name another file, or add --force to write over it.`,
    );
}

function foundAt(to: string): Stats | undefined {
  try {
    return statSync(to, { throwIfNoEntry: false });
  } catch (error) {
    // a file where a folder should be, a folder that may not be looked into
    throw notWritten(to, error);
  }
}

const notWritten = (to: string, error: unknown): No =>
  new No(`${to} can't be written: ${error instanceof Error ? error.message : String(error)}.`);

/** `dusklatch restore FROM YARD`: puts a backup in the place of what a data folder has. No daemon may run there. */
export function restoreCommand(from: string, yardPath: string, flags: BackupFlags, program: string): number {
  const zip = bytesOf(from);
  const folder = openFolder(flags.data);
  try {
    if (isReady(flags.data)) finishRestore(flags.data);
    const told = refusing(() =>
      checkBackup(zip, { dataDir: flags.data, demonstration: false, yardPath: resolve(yardPath) }),
    );
    const wall = unwritable(resolve(yardPath));
    if (wall !== null) throw new No(`${yardPath} can’t be written: ${wall}. Nothing was changed.`);
    const kept = keepAside(flags.data, yardPath, program);
    if (!makeReady(flags.data, told.sum)) throw new No('The backup was changed while it was read.');
    finishRestore(flags.data);
    out(`${told.yard}, as it was on ${utcMinute(told.madeAt)}, is restored: ${yardPath} and ${flags.data}.`);
    if (kept !== null) out(`What was there before is in ${kept}.`);
    return 0;
  } finally {
    folder.close();
  }
}

/** To the minute; a backup that is only read tells no time zone. */
function utcMinute(ms: number): string {
  return `${new Date(ms).toISOString().slice(0, 16).replace('T', ' ')} UTC`;
}

/** What is there now, as one more backup; null where nothing is. */
function keepAside(dataDir: string, yardPath: string, program: string): string | null {
  if (!existsSync(journalPath(dataDir))) {
    if (existsSync(yardPath)) throw new No(`${yardPath} is there already. Move it away, or name another.`);
    return null;
  }
  // where the page keeps its own
  const folder = join(dataDir, 'backups');
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const kept = join(folder, backupName('before-restore', Date.now()));
  const text = existsSync(yardPath) ? readFileSync(yardPath, 'utf8') : null;
  writeFileAtomic.sync(kept, Buffer.from(refusing(() => packed(dataDir, text, program))), { mode: 0o600 });
  return kept;
}

/** Without a yard file's text: the one that the record knows last. */
function packed(dataDir: string, text: string | null, program: string): Uint8Array {
  return makeBackup({
    dataDir,
    yardText: text ?? lastYard(dataDir),
    demonstration: isDemonstration(dataDir),
    program,
    madeAt: Date.now(),
  });
}

function lastYard(dataDir: string): string {
  const journal = openJournal(dataDir, { readOnly: true });
  try {
    const hash = journal.latestSnapshot()?.yardHash;
    const text = hash === undefined ? null : journal.yardText(hash);
    if (text === null) throw new No(`The record in ${dataDir} knows no yard file.`);
    return text;
  } finally {
    journal.close();
  }
}

function bytesOf(path: string): Uint8Array {
  if (!existsSync(path)) throw new No(`There is no file ${path}.`, 2);
  if (statSync(path).size > ZIP_LIMIT_BYTES) throw new No(`${path} is larger than any backup.`);
  return readFileSync(path);
}

function refusing<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof BackupRefused) throw new No(error.message);
    throw error;
  }
}

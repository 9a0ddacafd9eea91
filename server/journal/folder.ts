import { closeSync, fsyncSync, mkdirSync, openSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync, type DatabaseSyncInstance } from '@photostructure/sqlite';
import { asJournalError, JournalError } from './trouble.ts';

/** The data folder while this process owns it. */
export interface DataFolder {
  readonly dir: string;
  close(): void;
}

/**
 * Makes the data folder if need be and takes it for this process; throws `JournalError` where it can't be used or
 * another daemon has it.
 *
 * The lock is the kernel's own on `desk.lock`, taken through SQLite since Node has none: it ends with the process
 * however that ends, so none is ever stale, and a process number that means nothing in another container is not
 * relied on. `desk.pid` only serves the sentence that a second daemon gives.
 */
export function openFolder(dir: string): DataFolder {
  try {
    mkdirSync(dir, { recursive: true, mode: 0o700 });
    if (!statSync(dir).isDirectory()) throw new JournalError('unusable', dir, { detail: 'it is no folder' });
  } catch (error) {
    throw asJournalError(error, dir);
  }
  const lock = takeLock(dir);
  try {
    writeFileSync(pidFile(dir), `${process.pid}\n`);
  } catch (error) {
    const known = asJournalError(error, dir);
    // A full disk can wait, and the lock holds without this file. Any other disk that takes no writes is no use.
    if (!(known instanceof JournalError && known.code === 'full')) {
      lock.close();
      throw known;
    }
  }
  return {
    dir,
    close() {
      if (lock.isOpen) lock.close();
    },
  };
}

function takeLock(dir: string): DatabaseSyncInstance {
  const path = join(dir, 'desk.lock');
  let lock: DatabaseSyncInstance | undefined;
  try {
    lock = new DatabaseSync(path, { timeout: 0 });
    // Without a journal file beside it, which a full disk could refuse.
    lock.exec('PRAGMA journal_mode = MEMORY; BEGIN EXCLUSIVE');
    return lock;
  } catch (error) {
    if (lock?.isOpen) lock.close();
    const known = asJournalError(error, dir);
    if (known instanceof JournalError && known.code === 'locked') {
      throw new JournalError('locked', dir, { detail: holder(dir), cause: error });
    }
    throw known;
  }
}

function holder(dir: string): string {
  try {
    const pid = readFileSync(pidFile(dir), 'utf8').trim();
    return /^\d+$/.test(pid) ? `Dusklatch, process ${pid}` : 'Dusklatch';
  } catch {
    return 'Dusklatch';
  }
}

function pidFile(dir: string): string {
  return join(dir, 'desk.pid');
}

/** What was renamed in a folder is so after a power cut too. */
export function syncFolder(dir: string): void {
  const folder = openSync(dir, 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}

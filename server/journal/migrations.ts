import type { DatabaseSyncInstance } from '@photostructure/sqlite';
import { JournalError } from './trouble.ts';

/** Marks the file as ours (`PRAGMA application_id`): the letters DUSK. */
export const APPLICATION_ID = 0x4455534b;

/** Numbered from 1 by their place. What has been released is never changed; a new one goes to the end. */
export const MIGRATIONS: readonly string[] = [
  `CREATE TABLE events (
     n INTEGER PRIMARY KEY,
     at REAL NOT NULL,
     body TEXT NOT NULL
   ) STRICT;
   CREATE TABLE lines (
     id INTEGER PRIMARY KEY,
     n INTEGER NOT NULL,
     at REAL NOT NULL,
     code TEXT NOT NULL,
     reason TEXT NOT NULL,
     text TEXT NOT NULL,
     prop TEXT,
     scene TEXT,
     run TEXT
   ) STRICT;
   CREATE INDEX lines_at ON lines (at);
   CREATE TABLE snapshots (
     n INTEGER PRIMARY KEY,
     yard TEXT NOT NULL,
     state TEXT NOT NULL
   ) STRICT;
   CREATE TABLE yards (
     hash TEXT PRIMARY KEY,
     text TEXT NOT NULL
   ) STRICT, WITHOUT ROWID;`,
];

/** Brings the tables up to date, each step in a transaction of its own. Refuses a file that is not ours, or newer. */
export function migrate(db: DatabaseSyncInstance, path: string): void {
  const version = checkVersion(db, path);
  for (const [i, sql] of MIGRATIONS.entries()) {
    if (i < version) continue;
    db.exec('BEGIN IMMEDIATE');
    try {
      db.exec(sql);
      db.exec(`PRAGMA application_id = ${APPLICATION_ID}`);
      db.exec(`PRAGMA user_version = ${i + 1}`);
      db.exec('COMMIT');
    } catch (error) {
      if (db.isTransaction) db.exec('ROLLBACK');
      throw error;
    }
  }
}

/** How many migrations the file has had; 0 where it is new. */
export function checkVersion(db: DatabaseSyncInstance, path: string): number {
  const version = pragma(db, 'user_version');
  const id = pragma(db, 'application_id');
  const tables = Number(db.prepare('SELECT count(*) AS n FROM sqlite_master').get().n);
  if (id !== APPLICATION_ID && (id !== 0 || tables > 0)) throw new JournalError('foreign', path);
  if (version > MIGRATIONS.length) {
    throw new JournalError('newer', path, {
      detail: `format ${version}, this one knows ${MIGRATIONS.length}`,
    });
  }
  return version;
}

/** The value of a pragma that has one number. */
export function pragma(db: DatabaseSyncInstance, name: string): number {
  return Number(Object.values(db.prepare(`PRAGMA ${name}`).get() ?? {})[0]);
}

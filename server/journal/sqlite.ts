import { accessSync, constants, existsSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync, type DatabaseSyncInstance, type StatementSyncInstance } from '@photostructure/sqlite';
import type { Event } from '../show/events.ts';
import { checkVersion, migrate, pragma } from './migrations.ts';
import type { JournalPort, Line, StoredLine } from './port.ts';
import type { ReplaySource, Snapshot } from './replay.ts';
import { asJournalError, JournalError } from './trouble.ts';

export interface Journal extends JournalPort, ReplaySource {
  /**
   * Forgets events older than an instant of the axis, at most `atMost` of them in one transaction, and tells whether
   * more are due. Lines and snapshots stay, and so do the events since the last snapshot before that instant.
   */
  prune(beforeMs: number, atMost?: number): { events: number; more: boolean };
}

/** No read hands out more rows than this, whatever was asked for: a read must not hold up the turn. */
const MOST_ROWS = 10_000;

/** Of a night's report: many times what the busiest night writes. */
const MOST_LINES_OF_A_NIGHT = 200_000;

/** A transaction waits so long for a reader that recovers or checkpoints; the heartbeat goes every 250 ms. */
const BUSY_MS = 100;

/**
 * Pages (of 4 KiB) in the write-ahead log at which a commit also moves them into the file. SQLite's own figure of
 * 1000 makes one commit in so many wait for 4 MB to be written, which on a memory card may outlast the props' silence.
 */
const CHECKPOINT_PAGES = 200;

/** A write-ahead log that grew (a reader held it) is cut back to this, bytes. */
const LOG_KEPT = 8 * 1024 * 1024;

export function journalPath(dir: string): string {
  return join(dir, 'journal.db');
}

/**
 * Opens the record in a data folder, making it where there is none. The folder must exist and be this process's own
 * (`openFolder`), but for reading: with `readOnly` the record of a running daemon can be read beside it.
 * Throws `JournalError`; a damaged file is refused and left as it is.
 */
export function openJournal(dir: string, options: { readonly readOnly?: boolean } = {}): Journal {
  const path = journalPath(dir);
  const readOnly = options.readOnly ?? false;
  if (readOnly && !existsSync(path)) {
    throw new JournalError('unusable', dir, { detail: 'there is no record in it yet' });
  }
  let db: DatabaseSyncInstance | undefined;
  try {
    db = new DatabaseSync(path, { readOnly, timeout: BUSY_MS, defensive: true });
    // SQLite opens a file that it may only read without a word.
    if (!readOnly) accessSync(path, constants.W_OK);
    if (!readOnly) return journalOn(db, path);
    if (checkVersion(db, path) === 0) {
      throw new JournalError('unusable', dir, { detail: 'there is no record in it yet' });
    }
    return new SqliteJournal(db, path);
  } catch (error) {
    if (db?.isOpen) db.close();
    throw asJournalError(error, path);
  }
}

/** The record in a database that is open for writing: settings made and read back, tables up to date. */
export function journalOn(db: DatabaseSyncInstance, path: string): Journal {
  // Before anything is written: a file of another program must not be changed.
  checkVersion(db, path);
  db.exec('PRAGMA journal_mode = WAL');
  // After it: the library is built to fall back to NORMAL in WAL mode, which a power cut can undo.
  db.exec('PRAGMA synchronous = FULL');
  db.exec(`PRAGMA wal_autocheckpoint = ${CHECKPOINT_PAGES}`);
  db.exec(`PRAGMA journal_size_limit = ${LOG_KEPT}`);
  const mode = String(db.prepare('PRAGMA journal_mode').get().journal_mode);
  if (mode !== 'wal') {
    throw new JournalError('unusable', path, { detail: 'no write-ahead log here; keep it on a local disk' });
  }
  if (pragma(db, 'synchronous') !== 2) {
    throw new JournalError('unusable', path, { detail: 'writes can not be made to last' });
  }
  migrate(db, path);
  checkWhole(db, path);
  return new SqliteJournal(db, path);
}

/** Looks the whole file over where that is a matter of a moment; a larger one shows damage when it is read. */
function checkWhole(db: DatabaseSyncInstance, path: string): void {
  if (pragma(db, 'page_count') * pragma(db, 'page_size') > CHECKED_BYTES) return;
  const said = String(Object.values(db.prepare('PRAGMA quick_check(1)').get())[0]);
  if (said !== 'ok') throw new JournalError('corrupt', path, { detail: said.replaceAll('\n', ' ') });
}

const CHECKED_BYTES = 64 * 1024 * 1024;

class SqliteJournal implements Journal {
  readonly #db: DatabaseSyncInstance;
  readonly #path: string;
  readonly #statements = new Map<string, StatementSyncInstance>();

  constructor(db: DatabaseSyncInstance, path: string) {
    this.#db = db;
    this.#path = path;
  }

  append(events: readonly Event[], lines: readonly Line[]): void {
    if (events.length === 0 && lines.length === 0) return;
    this.#transact(() => {
      let last = events.length === 0 ? 0 : this.lastEvent();
      for (const event of events) {
        if (!(event.n > last)) {
          throw new JournalError('order', this.#path, { detail: `event ${event.n} after event ${last}` });
        }
        last = event.n;
        this.#run(
          'INSERT INTO events (n, at, body) VALUES (?, ?, ?)',
          event.n,
          event.at,
          JSON.stringify(event),
        );
      }
      for (const line of lines) {
        const { n, at, code, reason, text, prop, scene, run } = line;
        this.#run(
          'INSERT INTO lines (n, at, code, reason, text, prop, scene, run) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
          ...[n, at, code, reason, text, prop, scene, run],
        );
      }
    });
  }

  snapshot(n: number, yardHash: string, state: string): void {
    this.#transact(() =>
      this.#run('INSERT OR REPLACE INTO snapshots (n, yard, state) VALUES (?, ?, ?)', n, yardHash, state),
    );
  }

  keepYard(hash: string, text: string): void {
    this.#transact(() => this.#run('INSERT OR IGNORE INTO yards (hash, text) VALUES (?, ?)', hash, text));
  }

  yardText(hash: string): string | null {
    return this.#rows<{ text: string }>('SELECT text FROM yards WHERE hash = ?', hash)[0]?.text ?? null;
  }

  latestSnapshot(upTo: number = Number.MAX_SAFE_INTEGER): Snapshot | null {
    const sql = 'SELECT n, yard, state FROM snapshots WHERE n <= ? ORDER BY n DESC LIMIT 1';
    return this.#rows<SnapshotRow>(sql, upTo).map(asSnapshot)[0] ?? null;
  }

  nextSnapshot(after: number): Snapshot | null {
    const sql = 'SELECT n, yard, state FROM snapshots WHERE n > ? ORDER BY n LIMIT 1';
    return this.#rows<SnapshotRow>(sql, after).map(asSnapshot)[0] ?? null;
  }

  events(after: number, limit: number): Event[] {
    const sql = 'SELECT body FROM events WHERE n > ? ORDER BY n LIMIT ?';
    return this.#rows<{ body: string }>(sql, after, rows(limit)).map(({ body }) => JSON.parse(body) as Event);
  }

  lines(after: number, limit: number): StoredLine[] {
    return this.#rows<StoredLine>('SELECT * FROM lines WHERE id > ? ORDER BY id LIMIT ?', after, rows(limit));
  }

  linesBetween(fromMs: number, toMs: number): StoredLine[] {
    const sql = 'SELECT * FROM lines WHERE at >= ? AND at < ? ORDER BY id LIMIT ?';
    return this.#rows<StoredLine>(sql, fromMs, toMs, MOST_LINES_OF_A_NIGHT);
  }

  linesOf(code: string, after: number, limit: number): StoredLine[] {
    const sql = 'SELECT * FROM lines WHERE code = ? AND id > ? ORDER BY id LIMIT ?';
    return this.#rows<StoredLine>(sql, code, after, rows(limit));
  }

  lastLineOf(codes: readonly string[]): StoredLine | null {
    // backwards over the numbers, and not by one of the codes: it stands near the end
    const sql = 'SELECT * FROM lines WHERE code IN (SELECT value FROM json_each(?)) ORDER BY id DESC LIMIT 1';
    return this.#rows<StoredLine>(sql, JSON.stringify(codes))[0] ?? null;
  }

  lastEvent(): number {
    // A snapshot counts too: the events before it may have been forgotten, and a number is never given twice.
    const sql =
      'SELECT max(coalesce((SELECT max(n) FROM events), 0), coalesce((SELECT max(n) FROM snapshots), 0)) AS n';
    return this.#rows<{ n: number }>(sql)[0]!.n;
  }

  lastLine(): number {
    return this.#rows<{ id: number | null }>('SELECT max(id) AS id FROM lines')[0]!.id ?? 0;
  }

  prune(beforeMs: number, atMost = 5_000): { events: number; more: boolean } {
    const from = this.#rows<{ n: number | null }>('SELECT min(n) AS n FROM events')[0]!.n;
    if (from === null) return { events: 0, more: false };
    // What is left begins right after a snapshot, so that it can be replayed.
    const covered = this.latestSnapshot(this.#firstFrom(beforeMs, from) - 1);
    const keepFrom = (covered?.n ?? 0) + 1;
    const until = Math.min(keepFrom, from + atMost);
    if (until <= from) return { events: 0, more: false };
    let events = 0;
    this.#transact(() => {
      events = this.#run('DELETE FROM events WHERE n < ?', until);
    });
    return { events, more: until < keepFrom };
  }

  close(): void {
    if (!this.#db.isOpen) return;
    try {
      // The library keeps the files open until its statements are collected, so the log is emptied by hand: the one
      // file is then whole, for whoever copies it.
      this.#db.exec('PRAGMA wal_checkpoint(TRUNCATE)');
    } catch {
      // A full disk, or a reader beside us: the log stays and the next start reads it.
    }
    this.#statements.clear();
    this.#db.close();
  }

  /** Number of the first event not older than an instant, found by halving, since numbers and times rise together. */
  #firstFrom(beforeMs: number, from: number): number {
    let low = from;
    let high = this.lastEvent() + 1;
    while (low < high) {
      const middle = Math.floor((low + high) / 2);
      const sql = 'SELECT n, at FROM events WHERE n >= ? ORDER BY n LIMIT 1';
      const row = this.#rows<{ n: number; at: number }>(sql, middle)[0];
      if (row && row.at < beforeMs) low = row.n + 1;
      else high = middle;
    }
    return low;
  }

  #transact(work: () => void): void {
    this.#rollBack();
    try {
      this.#run('BEGIN IMMEDIATE');
      work();
      this.#run('COMMIT');
    } catch (error) {
      this.#rollBack();
      throw asJournalError(error, this.#path);
    }
  }

  #rollBack(): void {
    try {
      // A full disk has SQLite roll back by itself.
      if (this.#db.isTransaction) this.#run('ROLLBACK');
    } catch {
      // What went wrong first is what is told; if this one is still open, the next try begins with it.
    }
  }

  #run(sql: string, ...values: unknown[]): number {
    return this.#prepared(sql).run(...values).changes;
  }

  #rows<Row>(sql: string, ...values: unknown[]): Row[] {
    try {
      // Plain objects: the library's rows have no prototype.
      return this.#prepared(sql)
        .all(...values)
        .map((row) => ({ ...row }) as Row);
    } catch (error) {
      throw asJournalError(error, this.#path);
    }
  }

  #prepared(sql: string): StatementSyncInstance {
    let statement = this.#statements.get(sql);
    if (!statement) {
      statement = this.#db.prepare(sql);
      this.#statements.set(sql, statement);
    }
    return statement;
  }
}

interface SnapshotRow {
  n: number;
  yard: string;
  state: string;
}

function asSnapshot({ n, yard, state }: SnapshotRow): Snapshot {
  return { n, yardHash: yard, state };
}

function rows(limit: number): number {
  return Math.max(0, Math.min(MOST_ROWS, Math.floor(limit)));
}

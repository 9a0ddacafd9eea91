import { copyFileSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import { describe, expect, it } from 'vitest';
import { APPLICATION_ID, MIGRATIONS } from '../../server/journal/migrations.ts';
import { journalOn, journalPath, openJournal } from '../../server/journal/sqlite.ts';
import { JournalError } from '../../server/journal/trouble.ts';
import { event, events, line, START, scratch, thrown } from './sample.ts';

describe('the record in SQLite', () => {
  it('is still there after closing and opening', () => {
    const dir = scratch();
    const first = openJournal(dir);
    first.append(events(1, 50), [line(50)]);
    first.snapshot(50, 'hash', '{"mode":"closed"}');
    first.close();
    first.close();
    const second = openJournal(dir);
    expect(second.events(0, 100)).toStrictEqual(events(1, 50));
    expect(second.latestSnapshot()?.n).toBe(50);
    second.append([event(51)], [line(51)]);
    expect(second.lines(0, 10).map((l) => l.id)).toEqual([1, 2]);
    second.close();
  });

  // SQLite documents that in WAL mode only synchronous=FULL (2) keeps a committed transaction through a power cut
  // (https://www.sqlite.org/pragma.html#pragma_synchronous); this library is built with NORMAL as its default there.
  it('writes through to the disk at each commit', () => {
    const dir = scratch();
    const db = new DatabaseSync(journalPath(dir));
    journalOn(db, journalPath(dir));
    expect(db.prepare('PRAGMA synchronous').get().synchronous).toBe(2);
    expect(db.prepare('PRAGMA journal_mode').get().journal_mode).toBe('wal');
    expect(db.prepare('PRAGMA application_id').get().application_id).toBe(APPLICATION_ID);
    expect(db.prepare('PRAGMA user_version').get().user_version).toBe(MIGRATIONS.length);
    db.close();
  });

  it('refuses a place where no write-ahead log can be', () => {
    const db = new DatabaseSync(':memory:');
    expect(thrown(() => journalOn(db, 'memory'))).toMatchObject({ code: 'unusable' });
    db.close();
  });

  it('can be read beside the daemon that writes it, and only read', () => {
    const dir = scratch();
    const writer = openJournal(dir);
    writer.append(events(1, 3), [line(1)]);
    const reader = openJournal(dir, { readOnly: true });
    expect(reader.lastEvent()).toBe(3);
    writer.append([event(4)], []);
    expect(reader.events(0, 10)).toHaveLength(4);
    expect(thrown(() => reader.append([event(5)], []))).toMatchObject({ code: 'read-only' });
    expect(thrown(() => reader.snapshot(5, 'h', '{}'))).toMatchObject({ code: 'read-only' });
    reader.close();
    writer.append([event(5)], []);
    writer.close();
  });

  it('says that there is nothing to read where there is nothing', () => {
    const dir = scratch();
    expect(thrown(() => openJournal(dir, { readOnly: true }))).toMatchObject({
      code: 'unusable',
      message: expect.stringContaining('there is no record in it yet'),
    });
    expect(thrown(() => openJournal(join(dir, 'nowhere')))).toMatchObject({ code: 'unusable' });
  });

  it('tells when another program holds it, and goes on when it lets go', () => {
    const dir = scratch();
    const journal = openJournal(dir);
    journal.append([event(1)], []);
    const other = new DatabaseSync(journalPath(dir));
    other.exec('BEGIN IMMEDIATE');
    expect(thrown(() => journal.append([event(2)], [line(2)]))).toMatchObject({ code: 'locked' });
    expect(journal.lastEvent()).toBe(1);
    other.exec('ROLLBACK');
    other.close();
    journal.append([event(2)], [line(2)]);
    expect(journal.lines(0, 10).map((l) => l.id)).toEqual([1]);
    journal.close();
  });

  it('keeps nothing of a turn that the full disk refuses, and goes on when there is room', () => {
    const dir = scratch();
    const db = new DatabaseSync(journalPath(dir));
    const journal = journalOn(db, journalPath(dir));
    journal.append(events(1, 10), [line(10)]);
    const pages = db.prepare('PRAGMA page_count').get().page_count;
    db.exec(`PRAGMA max_page_count = ${pages + 3}`);
    const refused = thrown(() => {
      for (let n = 11; ; n += 100) journal.append(events(n, n + 99), [line(n)]);
    });
    expect(refused).toBeInstanceOf(JournalError);
    expect(refused).toMatchObject({ code: 'full', message: expect.stringContaining('Free some space') });
    const kept = journal.lastEvent();
    expect(kept % 100).toBe(10);
    expect(journal.events(0, 10_000)).toHaveLength(kept);
    expect(journal.lines(0, 10_000)).toHaveLength(1 + (kept - 10) / 100);

    db.exec('PRAGMA max_page_count = 100000');
    journal.append(events(kept + 1, kept + 100), [line(kept)]);
    expect(journal.events(0, 10_000)).toStrictEqual(events(1, kept + 100));
    expect(journal.lines(0, 10_000).map((l) => l.id)).toEqual(
      Array.from({ length: 2 + (kept - 10) / 100 }, (_, i) => i + 1),
    );
    journal.close();
  });

  it('refuses a file of another program, of a newer version, or no database at all, and leaves it as it was', () => {
    const dir = scratch();
    const path = journalPath(dir);
    const make = (sql: string): void => {
      const db = new DatabaseSync(path);
      db.exec(sql);
      db.close();
    };
    const refused = (code: string): void => {
      const before = readFileSync(path);
      expect(thrown(() => openJournal(dir))).toMatchObject({ name: 'JournalError', code });
      expect(thrown(() => openJournal(dir, { readOnly: true }))).toMatchObject({ code });
      expect(readFileSync(path).equals(before)).toBe(true);
    };
    make('CREATE TABLE sheep (n INTEGER)');
    refused('foreign');
    make(`DROP TABLE sheep; PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = 99`);
    refused('newer');
    writeFileSync(path, 'This is a letter to the neighbours. '.repeat(300));
    refused('corrupt');
  });

  // Each of these records goes into a folder of its own: within one process SQLite remembers a file by its inode.
  it('refuses a damaged record with a sentence, and never deletes it', () => {
    const dir = scratch();
    const journal = openJournal(dir);
    journal.append(events(1, 2_000), [line(1)]);
    journal.close();
    const whole = readFileSync(journalPath(dir));
    // Each page in turn overwritten from its head on.
    let refusals = 0;
    for (let page = 0; page * 4096 < whole.length; page += 1) {
      const bytes = Buffer.from(whole).fill(0xa5, page * 4096, page * 4096 + 64);
      const damaged = scratch();
      writeFileSync(journalPath(damaged), bytes);
      const error = thrown(() => openJournal(damaged));
      expect(error).toMatchObject({ name: 'JournalError', code: 'corrupt' });
      expect((error as Error).message).toContain('It is left as it is');
      expect(readFileSync(journalPath(damaged)).equals(bytes)).toBe(true);
      refusals += 1;
    }
    expect(refusals).toBeGreaterThan(20);
    const half = scratch();
    writeFileSync(journalPath(half), whole.subarray(0, whole.length / 2));
    expect(thrown(() => openJournal(half))).toMatchObject({ code: 'corrupt' });
    const copy = scratch();
    writeFileSync(journalPath(copy), whole);
    const again = openJournal(copy);
    expect(again.lastEvent()).toBe(2_000);
    again.close();
  });

  it('loses whole turns from the end only, wherever the log was torn', () => {
    const path = journalPath(scratch());
    const db = new DatabaseSync(path);
    const journal = journalOn(db, path);
    for (let n = 1; n <= 60; n += 6) journal.append(events(n, n + 5), [line(n)]);
    // As a power cut leaves them: the file and its log, nobody having closed them.
    const torn = (length: number): ReturnType<typeof openJournal> => {
      const dir = scratch();
      copyFileSync(path, journalPath(dir));
      copyFileSync(`${path}-wal`, `${journalPath(dir)}-wal`);
      truncateSync(`${journalPath(dir)}-wal`, length);
      return openJournal(dir);
    };
    const size = statSync(`${path}-wal`).size;
    const seen = new Set<number>();
    for (let length = 0; length <= size; length += 2_003) {
      const found = torn(length);
      const last = found.lastEvent();
      expect(last % 6).toBe(0);
      expect(found.events(0, 100)).toStrictEqual(events(1, last));
      expect(found.lines(0, 100)).toHaveLength(last / 6);
      seen.add(last);
      found.append([event(last + 1)], []);
      found.close();
    }
    expect([...seen]).toEqual([0, 6, 12, 18, 24, 30, 36, 42, 48, 54]);
    expect(torn(size).lastEvent()).toBe(60);
    journal.close();
  });

  it('never hands out more rows than it can in a moment', () => {
    const journal = openJournal(scratch());
    journal.append(events(1, 10_001), []);
    expect(journal.events(0, Number.POSITIVE_INFINITY)).toHaveLength(10_000);
    expect(journal.events(0, -5)).toEqual([]);
    journal.close();
  });
});

describe('forgetting old events', () => {
  it('leaves what can be replayed: from the last snapshot before the instant on', () => {
    const journal = openJournal(scratch());
    journal.append(events(1, 100), [line(1)]);
    for (const n of [0, 40, 80]) journal.snapshot(n, 'h', `{"n":${n}}`);
    const at = (n: number): number => event(n).at;
    expect(journal.prune(at(39))).toEqual({ events: 0, more: false });
    // Event 41 is the first not older; the snapshot at 40 covers all before it.
    expect(journal.prune(at(41))).toEqual({ events: 40, more: false });
    expect(journal.events(0, 1)[0]!.n).toBe(41);
    expect(journal.prune(at(79))).toEqual({ events: 0, more: false });
    expect(journal.prune(START + 1e9, 25)).toEqual({ events: 25, more: true });
    expect(journal.prune(START + 1e9, 25)).toEqual({ events: 15, more: false });
    expect(journal.prune(START + 1e9, 25)).toEqual({ events: 0, more: false });
    expect(journal.events(0, 100)).toStrictEqual(events(81, 100));
    expect(journal.lines(0, 10)).toHaveLength(1);
    expect(journal.nextSnapshot(-1)?.n).toBe(0);
    journal.close();
  });

  it('forgets nothing without a snapshot, and no number even with all events gone', () => {
    const journal = openJournal(scratch());
    expect(journal.prune(START)).toEqual({ events: 0, more: false });
    journal.append(events(1, 10), []);
    expect(journal.prune(START + 1e9)).toEqual({ events: 0, more: false });
    journal.snapshot(10, 'h', '{}');
    expect(journal.prune(START + 1e9)).toEqual({ events: 10, more: false });
    expect(journal.lastEvent()).toBe(10);
    expect(thrown(() => journal.append([event(10)], []))).toMatchObject({ code: 'order' });
    journal.append([event(11)], []);
    journal.close();
  });
});

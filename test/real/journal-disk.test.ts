import { spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openFolder } from '../../server/journal/folder.ts';
import { openNumbers } from '../../server/journal/numbers.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import { event, events, line, thrown } from '../journal/sample.ts';

/** The same user's own folders can always be written by root, and only root may mount a small disk. */
const ROOT = process.getuid?.() === 0;

/** Mounts a disk of 1 MiB in memory, with these options; false where this machine lets nobody do that. */
function mount(at: string, options: string): boolean {
  return spawnSync('mount', ['-t', 'tmpfs', '-o', `size=1m,${options}`, 'dusklatch-test', at]).status === 0;
}

function canMount(): boolean {
  if (!ROOT) return false;
  const at = mkdtempSync(join(tmpdir(), 'dusklatch-mount-'));
  try {
    return mount(at, 'rw') && spawnSync('umount', [at]).status === 0;
  } finally {
    rmSync(at, { recursive: true, force: true });
  }
}

describe.skipIf(!canMount())('a small disk of its own (needs the right to mount one)', () => {
  let disk = '';

  beforeEach(() => {
    disk = mkdtempSync(join(tmpdir(), 'dusklatch-disk-'));
    expect(mount(disk, 'rw')).toBe(true);
  });
  afterEach(() => {
    // Lazily: the library holds its files until its statements are collected.
    spawnSync('umount', ['-l', disk]);
    rmSync(disk, { recursive: true, force: true });
  });

  it('full: the turn is refused whole and in words, a stop’s number still goes in, and with room it goes on', () => {
    const folder = openFolder(disk);
    const numbers = openNumbers(disk);
    const journal = openJournal(disk);
    let n = 0;
    const refused = thrown(() => {
      for (;;) {
        journal.append(events(n + 1, n + 50), [line(n + 50)]);
        n += 50;
      }
    });
    expect(refused).toMatchObject({ name: 'JournalError', code: 'full' });
    expect((refused as Error).message).toMatch(/disk is full.*Free some space/);
    // To the last byte.
    expect(thrown(() => writeFileSync(join(disk, 'filler'), Buffer.alloc(1_100_000)))).toMatchObject({
      code: 'ENOSPC',
    });
    for (let stop = 1; stop <= 20; stop += 1) expect(numbers.tryWrite({ stop })).toBe(true);
    expect(n).toBeGreaterThan(100);
    expect(journal.lastEvent()).toBe(n);
    expect(journal.events(0, 10_000)).toStrictEqual(events(1, n));

    rmSync(join(disk, 'filler'));
    expect(spawnSync('mount', ['-o', 'remount,size=4m', disk]).status).toBe(0);
    journal.append(events(n + 1, n + 50), [line(n + 50)]);
    expect(journal.lastEvent()).toBe(n + 50);
    expect(journal.lines(0, 10_000)).toHaveLength(n / 50 + 1);
    journal.close();
    numbers.close();
    folder.close();
    const again = openNumbers(disk);
    expect(again.stop).toBe(20);
    again.close();
  });

  it('full from the start: says so', () => {
    expect(thrown(() => writeFileSync(join(disk, 'filler'), Buffer.alloc(1_100_000)))).toMatchObject({
      code: 'ENOSPC',
    });
    expect(thrown(() => openNumbers(disk))).toMatchObject({ code: 'full' });
    expect(existsSync(join(disk, 'numbers'))).toBe(false);
    expect(thrown(() => openJournal(disk))).toMatchObject({ name: 'JournalError' });
  });

  it('turned read-only: refused in words, at start and in the midst of a night', () => {
    const folder = openFolder(disk);
    folder.close();
    const journal = openJournal(disk);
    journal.append(events(1, 3), [line(3)]);
    openNumbers(disk).close();
    // The same disk in a second place, read-only there: what a worn-out card looks like at the next start.
    const place = mkdtempSync(join(tmpdir(), 'dusklatch-ro-'));
    try {
      expect(spawnSync('mount', ['--bind', disk, place]).status).toBe(0);
      expect(spawnSync('mount', ['-o', 'remount,bind,ro', place]).status).toBe(0);
      expect(thrown(() => openFolder(place))).toMatchObject({ code: 'read-only' });
      expect(thrown(() => openNumbers(place))).toMatchObject({ code: 'read-only' });
      expect(thrown(() => openJournal(place))).toMatchObject({ code: 'read-only' });
      expect(thrown(() => openFolder(join(place, 'new')))).toMatchObject({ name: 'JournalError' });
    } finally {
      spawnSync('umount', ['-l', place]);
      rmSync(place, { recursive: true, force: true });
    }
    journal.append([event(4)], []);
    journal.close();
  });
});

describe.skipIf(ROOT)('a folder without the right to write (root always has it)', () => {
  it('is refused in words', () => {
    const dir = mkdtempSync(join(tmpdir(), 'dusklatch-mine-'));
    try {
      chmodSync(dir, 0o500);
      for (const open of [() => openFolder(dir), () => openNumbers(dir), () => openJournal(dir)]) {
        expect(thrown(open)).toMatchObject({
          code: 'unusable',
          message: expect.stringContaining('may write in it'),
        });
      }
    } finally {
      chmodSync(dir, 0o700);
      rmSync(dir, { recursive: true, force: true });
    }
  });
});

it('keeps the record of a closed journal in one file that can be copied', () => {
  const dir = mkdtempSync(join(tmpdir(), 'dusklatch-copy-'));
  try {
    const journal = openJournal(dir);
    journal.append([event(1)], [line(1)]);
    journal.close();
    const copy = join(dir, 'copy');
    spawnSync('mkdir', [copy]);
    spawnSync('cp', [join(dir, 'journal.db'), copy]);
    const found = openJournal(copy, { readOnly: true });
    expect(found.events(0, 10)).toStrictEqual([event(1)]);
    found.close();
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
});

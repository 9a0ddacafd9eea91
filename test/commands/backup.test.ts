import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { markFolder } from '../../server/backup/demonstration.ts';
import { sumOf } from '../../server/backup/manifest.ts';
import { readBackup } from '../../server/backup/read.ts';
import { backupCommand, restoreCommand } from '../../server/commands/backup.ts';
import { No } from '../../server/commands/say.ts';
import { readYard } from '../../server/file/read.ts';
import { openFolder } from '../../server/journal/folder.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import { newShow } from '../../server/show/fresh.ts';
import { saveShow } from '../../server/show/save.ts';

const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');

let folder: string;
let data: string;
let zip: string;
let said: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'dusklatch-commands-'));
  data = join(folder, 'data');
  zip = join(folder, 'yard.zip');
  said = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said += String(text);
    return true;
  });
});
afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

function record(): void {
  mkdirSync(data, { recursive: true });
  const read = readYard(FERRY);
  if (!read.ok) throw new Error('config/ferry.yaml does not read');
  const journal = openJournal(data);
  journal.keepYard(sumOf(FERRY), FERRY);
  journal.snapshot(4, sumOf(FERRY), saveShow({ ...newShow(read.yard), n: 4 }));
  journal.close();
}

const refused = (work: () => unknown): { text: string; exitCode: number } => {
  try {
    work();
  } catch (error) {
    if (error instanceof No) return { text: error.message, exitCode: error.exitCode };
    throw error;
  }
  throw new Error('it was not refused');
};

describe('dusklatch backup and restore', () => {
  it('take all to a new computer, with the yard file that the record knows', () => {
    record();
    expect(backupCommand(zip, { data }, '1')).toBe(0);
    expect(said).toContain('keep it to yourself');
    // For its owner's eyes: it holds the hashes of the PINs.
    expect(statSync(zip).mode & 0o077).toBe(0);
    const [other, yard] = [join(folder, 'other'), join(folder, 'my-yard.yaml')];
    expect(restoreCommand(zip, yard, { data: other }, '1')).toBe(0);
    expect(readFileSync(yard, 'utf8')).toBe(FERRY);
    const journal = openJournal(other);
    expect(journal.latestSnapshot()!.n).toBe(4);
    journal.close();
  });

  it('say in words where the zip can not be written', () => {
    record();
    const { text, exitCode } = refused(() => backupCommand(join(folder, 'none', 'y.zip'), { data }, '1'));
    expect(exitCode).toBe(1);
    expect(text).toMatch(/y\.zip can't be written: ENOENT/);
    writeFileSync(zip, 'no folder');
    expect(refused(() => backupCommand(join(zip, 'y.zip'), { data }, '1')).text).toMatch(
      /y\.zip can't be written: ENOTDIR/,
    );
  });

  it('leave a zip of that name as it is, unless they are told to write over it', () => {
    record();
    backupCommand(zip, { data }, '1');
    const first = readFileSync(zip);
    const again = refused(() => backupCommand(zip, { data }, '2'));
    expect(again.exitCode).toBe(1);
    expect(again.text).toContain(`${zip} is there already`);
    expect(again.text).toContain('--force');
    expect(readFileSync(zip)).toEqual(first);
    expect(backupCommand(zip, { data, force: true }, '2')).toBe(0);
    expect(readBackup(readFileSync(zip)).manifest.program).toBe('2');
    // A folder is never written over, whatever is said.
    expect(refused(() => backupCommand(folder, { data, force: true }, '1')).text).toContain('is a folder');
  });

  it('take a folder for the demonstration’s by what serve wrote down there, not by its name', () => {
    data = join(folder, 'demonstration');
    record();
    backupCommand(zip, { data }, '1');
    expect(readBackup(readFileSync(zip)).manifest.demonstration).toBe(false);
    markFolder(data, true);
    backupCommand(zip, { data, force: true }, '1');
    expect(readBackup(readFileSync(zip)).manifest.demonstration).toBe(true);
    expect(refused(() => restoreCommand(zip, join(folder, 'y.yaml'), { data }, '1')).text).toContain(
      'demonstration',
    );
    // The same folder, served with a yard file since.
    markFolder(data, false);
    backupCommand(zip, { data, force: true }, '1');
    expect(readBackup(readFileSync(zip)).manifest.demonstration).toBe(false);
  });

  it('work beside a daemon, but restore only without one', () => {
    record();
    const running = openFolder(data);
    try {
      expect(backupCommand(zip, { data }, '1')).toBe(0);
      expect(() => restoreCommand(zip, join(folder, 'y.yaml'), { data }, '1')).toThrow(/in use/);
    } finally {
      running.close();
    }
  });

  it('keep what was there aside', () => {
    record();
    backupCommand(zip, { data }, '1');
    const yard = join(folder, 'my-yard.yaml');
    writeFileSync(yard, `${FERRY}# mine\n`);
    restoreCommand(zip, yard, { data }, '1');
    expect(said).toMatch(/as it was on \d{4}-\d\d-\d\d \d\d:\d\d UTC, is restored/);
    // where the page keeps its own
    const kept = readdirSync(join(data, 'backups')).filter((name) => name.startsWith('before-restore-'));
    expect(kept).toHaveLength(1);
    // And back again: what was kept is a backup like any other.
    restoreCommand(join(data, 'backups', kept[0]!), yard, { data }, '1');
    expect(readFileSync(yard, 'utf8')).toBe(`${FERRY}# mine\n`);
  });

  it('refuse in words: no record, no such file, no zip, a yard file that is there already', () => {
    expect(refused(() => backupCommand(zip, { data }, '1')).text).toContain('no record');
    record();
    backupCommand(zip, { data }, '1');
    const yard = join(folder, 'my-yard.yaml');
    expect(refused(() => restoreCommand(join(folder, 'none.zip'), yard, { data }, '1')).exitCode).toBe(2);
    writeFileSync(join(folder, 'bad.zip'), 'PK');
    expect(refused(() => restoreCommand(join(folder, 'bad.zip'), yard, { data }, '1')).text).toContain(
      'no whole zip',
    );
    expect(existsSync(yard)).toBe(false);
    writeFileSync(yard, FERRY);
    const other = { data: join(folder, 'other') };
    expect(refused(() => restoreCommand(zip, yard, other, '1')).text).toContain('is there already');
    expect(refused(() => restoreCommand(zip, join(folder, 'no', 'y.yaml'), other, '1')).text).toContain(
      'can’t be written',
    );
    expect(existsSync(join(other.data, 'journal.db'))).toBe(false);
  });
});

import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import fc from 'fast-check';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { People } from '../../server/api/people.ts';
import { makeBackup } from '../../server/backup/make.ts';
import { sumOf } from '../../server/backup/manifest.ts';
import { readBackup } from '../../server/backup/read.ts';
import { BackupRefused } from '../../server/backup/refused.ts';
import { checkBackup, dropChecked, finishRestore, isReady, makeReady } from '../../server/backup/stage.ts';
import { readYard } from '../../server/file/read.ts';
import { openNumbers } from '../../server/journal/numbers.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import { restoreShow } from '../../server/restore.ts';
import { newShow } from '../../server/show/fresh.ts';
import { saveShow } from '../../server/show/save.ts';
import { CHEAP } from '../api/harness.ts';

const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');
const MADE_AT = Date.UTC(2026, 9, 31, 4);
const SAID = '{"where":"On the post"}';

let folder: string;
let data: string;
let yardPath: string;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'dusklatch-backup-'));
  data = join(folder, 'data');
  yardPath = join(folder, 'yard.yaml');
  writeFileSync(yardPath, FERRY);
  const log = { warn() {} };
  const clock = () => MADE_AT;
  const { people } = await People.open({ folder: data, keeperPin: '246810', clock, log, cost: CHEAP });
  await people.add({ name: 'Heron', role: 'helper' }, '135791');
  writeFileSync(join(data, 'red-button.json'), SAID);
  record('2026-10-30', 40);
  const numbers = openNumbers(data);
  numbers.write({ stop: 7, cleared: 7, epoch: 12 });
  numbers.close();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** A record as a night leaves it: a state, events after it, and lines. */
function record(night: string, lines: number): void {
  const journal = openJournal(data);
  const read = readYard(FERRY);
  if (!read.ok) throw new Error('config/ferry.yaml does not read');
  journal.keepYard(sumOf(FERRY), FERRY);
  const n = journal.lastEvent();
  journal.snapshot(n, sumOf(FERRY), saveShow({ ...newShow(read.yard), n }));
  const reason = JSON.stringify({ code: 'plan-drawn', night, runs: 3 });
  const one = { n: n + 1, at: MADE_AT, text: 'A plan was drawn up', prop: null, scene: null, run: null };
  const many = Array.from({ length: lines }, () => ({ ...one, code: 'plan-drawn', reason }));
  journal.append([{ n: n + 1, at: 1, kind: 'timeReached' }], many);
  journal.close();
}

const make = () =>
  makeBackup({
    dataDir: data,
    yardText: readFileSync(yardPath, 'utf8'),
    demonstration: false,
    program: '1',
    madeAt: MADE_AT,
  });
const check = (zip: Uint8Array, demonstration = false) =>
  checkBackup(zip, { dataDir: data, demonstration, yardPath });

/** The same zip with some of its files others. */
function remade(zip: Uint8Array, change: Record<string, Uint8Array | null>): Uint8Array {
  const files: Record<string, Uint8Array> = { ...unzipSync(zip) };
  for (const [name, bytes] of Object.entries(change)) {
    if (bytes === null) delete files[name];
    else files[name] = bytes;
  }
  return zipSync(files);
}

function refusal(zip: Uint8Array): string {
  try {
    check(zip);
  } catch (error) {
    if (error instanceof BackupRefused) return error.code;
    throw error;
  }
  return 'taken';
}

/** Everything in the data folder but what was laid beside, and the yard file, as sums. */
function state(): Record<string, string> {
  const sums: Record<string, string> = { yard: sumOf(readFileSync(yardPath)) };
  for (const name of readdirSync(data))
    if (!/^(restore-checked|journal\.db-(wal|shm))$/.test(name))
      sums[name] = sumOf(readFileSync(join(data, name)));
  return sums;
}

/** A manifest that fits the files beside it, whatever is in them. */
function summed(zip: Uint8Array, change: Record<string, Uint8Array>): Uint8Array {
  const files: Record<string, Uint8Array> = { ...unzipSync(zip), ...change };
  const manifest = JSON.parse(Buffer.from(files['manifest.json']!).toString());
  manifest.files = Object.entries(files)
    .filter(([name]) => name !== 'manifest.json')
    .map(([name, bytes]) => ({ name, bytes: bytes.length, sha256: sumOf(bytes) }));
  return zipSync({ ...files, 'manifest.json': strToU8(JSON.stringify(manifest)) });
}

describe('a backup', () => {
  it('is a zip by its first bytes, with a manifest whose sums are those of its files', () => {
    const zip = make();
    // Local file header signature: PKWARE APPNOTE.TXT 6.3.10, section 4.3.7.
    expect([...zip.subarray(0, 4)]).toEqual([0x50, 0x4b, 0x03, 0x04]);
    const { manifest } = readBackup(zip);
    expect(manifest).toMatchObject({
      format: 1,
      yard: { id: 'landing' },
      numbers: { stop: 7, cleared: 7, epoch: 12 },
      nights: 1,
      people: 2,
    });
    expect(manifest.files.map(({ name }) => name).sort()).toEqual([
      'people.json',
      'record.db',
      'red-button.json',
      'yard.yaml',
    ]);
    expect(Buffer.from(unzipSync(zip)['yard.yaml']!).toString()).toBe(FERRY);
    // Nothing is left behind in the folder.
    expect(readdirSync(data).filter((name) => name.startsWith('backup-'))).toEqual([]);
  });

  it('goes round: what was there then is there again, and the yard computer begins with it', () => {
    const zip = make();
    writeFileSync(yardPath, `${FERRY}# later\n`);
    writeFileSync(join(data, 'red-button.json'), '{"where":"elsewhere"}');
    writeFileSync(join(data, 'notices.json'), '{}');
    record('2026-10-31', 5);
    const told = check(zip);
    expect(told).toMatchObject({ madeAt: MADE_AT, yard: 'The small landing', nights: 1, people: 2 });
    expect(makeReady(data, 'another sum')).toBe(false);
    expect(makeReady(data, told.sum)).toBe(true);
    finishRestore(data);
    expect(isReady(data)).toBe(false);
    expect(readFileSync(yardPath, 'utf8')).toBe(FERRY);
    expect(readFileSync(join(data, 'red-button.json'), 'utf8')).toBe(SAID);
    // What had not been set then is not set now.
    expect(existsSync(join(data, 'notices.json'))).toBe(false);
    const journal = openJournal(data);
    expect(journal.lastLine()).toBe(40);
    const read = readYard(FERRY);
    expect(read.ok && restoreShow(journal, read.yard, sumOf(FERRY)).n).toBe(1);
    journal.close();
  });

  it('lowers no number: a stop, a clear and a start are never given twice', () => {
    const zip = make();
    const numbers = openNumbers(data);
    numbers.write({ stop: 9, cleared: 8, epoch: 30 });
    numbers.close();
    makeReady(data, check(zip).sum);
    finishRestore(data);
    const after = openNumbers(data);
    expect([after.stop, after.cleared, after.epoch]).toEqual([9, 8, 30]);
    after.close();
  });

  it('goes on after a crash at any point between its renames', () => {
    const zip = make();
    record('2026-10-31', 5);
    makeReady(data, check(zip).sum);
    // The crash: the record has moved already, the rest has not.
    const ready = join(data, 'restore-ready');
    rmSync(join(data, 'journal.db-wal'), { force: true });
    writeFileSync(join(data, 'journal.db'), readFileSync(join(ready, 'journal.db')));
    rmSync(join(ready, 'journal.db'));
    finishRestore(data);
    finishRestore(data);
    const journal = openJournal(data);
    expect(journal.lastLine()).toBe(40);
    journal.close();
    expect(readFileSync(join(data, 'red-button.json'), 'utf8')).toBe(SAID);
  });

  it('that was read and not wanted leaves nothing', () => {
    check(make());
    expect(existsSync(join(data, 'restore-checked'))).toBe(true);
    dropChecked(data);
    expect(existsSync(join(data, 'restore-checked'))).toBe(false);
  });
});

describe('a zip that is no sound backup is refused, and nothing is changed', () => {
  const cases: [string, string, (zip: Uint8Array) => Uint8Array][] = [
    ['no zip at all', 'no-zip', () => strToU8('yard: me\n')],
    ['nothing', 'no-zip', () => new Uint8Array(0)],
    ['cut short', 'no-zip', (zip) => zip.subarray(0, zip.length - 40)],
    ['a zip of something else', 'strange-file', () => zipSync({ 'holiday.jpg': strToU8('x') })],
    ['an empty zip', 'no-backup', () => zipSync({})],
    [
      'a name that leads out of the folder',
      'strange-file',
      (zip) => remade(zip, { '../people.json': strToU8('x') }),
    ],
    ['an absolute name', 'strange-file', (zip) => remade(zip, { '/etc/cron.d/x': strToU8('x') })],
    ['a name that every object has', 'strange-file', (zip) => remade(zip, { constructor: strToU8('x') })],
    [
      'a file that unpacks to more than it may',
      'backup-too-large',
      (zip) => summed(zip, { 'red-button.json': new Uint8Array(2 * 1024 * 1024) }),
    ],
    ['a file of another sum', 'wrong-sum', (zip) => remade(zip, { 'people.json': strToU8('{}') })],
    ['a listed file left out', 'file-missing', (zip) => remade(zip, { 'people.json': null })],
    ['a file that is not listed', 'strange-file', (zip) => remade(zip, { 'notices.json': strToU8('{}') })],
    ['no manifest', 'no-backup', (zip) => remade(zip, { 'manifest.json': null })],
    [
      'a newer format',
      'newer-backup',
      (zip) => remade(zip, { 'manifest.json': strToU8('{"what":"dusklatch-backup","format":2,"more":1}') }),
    ],
    ['a manifest of nonsense', 'no-backup', (zip) => remade(zip, { 'manifest.json': strToU8('[]') })],
    [
      'a yard file with a mistake',
      'backup-yard',
      (zip) => summed(zip, { 'yard.yaml': strToU8(FERRY.replace('limit: 12 s', 'limit: 12')) }),
    ],
    [
      'a record that is none',
      'backup-record',
      (zip) => summed(zip, { 'record.db': strToU8('SQLite format 4') }),
    ],
    [
      'people without a keeper',
      'backup-people',
      (zip) => summed(zip, { 'people.json': strToU8(people(zip).replaceAll('keeper', 'helper')) }),
    ],
    [
      'people of nonsense',
      'backup-people',
      (zip) => summed(zip, { 'people.json': strToU8('{"version":1}') }),
    ],
  ];
  const people = (zip: Uint8Array) => Buffer.from(unzipSync(zip)['people.json']!).toString();

  it.each(cases)('%s', (_name, code, spoil) => {
    const before = state();
    expect(refusal(spoil(make()))).toBe(code);
    expect(state()).toEqual(before);
    expect(existsSync(join(data, 'restore-checked'))).toBe(false);
  });

  it('a record of a newer version, which is said', () => {
    const zip = make();
    const path = join(folder, 'newer.db');
    writeFileSync(path, unzipSync(zip)['record.db']!);
    const db = new DatabaseSync(path);
    db.exec('PRAGMA user_version = 99; PRAGMA wal_checkpoint(TRUNCATE)');
    db.close();
    expect(() => check(summed(zip, { 'record.db': readFileSync(path) }))).toThrow(/newer Dusklatch/);
  });

  it('one of the demonstration, and one of a yard in the demonstration', () => {
    const zip = make();
    expect(() => check(zip, true)).toThrow(/Start your yard/);
    expect(() => checkBackup(zip, { dataDir: data, demonstration: true, yardPath: null })).toThrow(
      BackupRefused,
    );
  });

  it('one whose directory says less than is in it: no more than that is unpacked', () => {
    const zip = Buffer.from(make());
    // Central directory header: signature, then the unpacked size at its byte 24 (APPNOTE 4.3.12); the name at 46.
    for (
      let at = zip.indexOf('PK\x01\x02', 0, 'latin1');
      at >= 0;
      at = zip.indexOf('PK\x01\x02', at + 4, 'latin1')
    )
      if (zip.toString('latin1', at + 46, at + 55) === 'record.db') zip.writeUInt32LE(512, at + 24);
    expect(refusal(zip)).toBe('wrong-sum');
  });

  it('cut anywhere, or with any byte changed, it is refused or is the same', () => {
    const zip = make();
    const whole = readBackup(zip);
    const tries = fc.record({
      at: fc.nat(zip.length - 1),
      by: fc.integer({ min: 1, max: 255 }),
      cut: fc.boolean(),
    });
    fc.assert(
      fc.property(tries, ({ at, by, cut }) => {
        const spoilt = cut ? zip.slice(0, at) : zip.map((byte, i) => (i === at ? byte ^ by : byte));
        try {
          const read = readBackup(spoilt);
          expect(cut).toBe(false);
          expect(read.manifest).toEqual(whole.manifest);
          for (const [name, bytes] of read.files) expect(sumOf(bytes)).toBe(sumOf(whole.files.get(name)!));
        } catch (error) {
          if (!(error instanceof BackupRefused)) throw error;
        }
      }),
      { numRuns: 300 },
    );
  });
});

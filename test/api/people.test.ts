import { scryptSync } from 'node:crypto';
import { mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Attempts } from '../../server/api/attempts.ts';
import { People } from '../../server/api/people.ts';
import { newCost, PinBusy, PinHash, USUAL_COST } from '../../server/api/pin-hash.ts';
import { CHEAP, type Line, logInto } from './harness.ts';

let folder: string;
let lines: Line[];
let now: number;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'dusklatch-people-'));
  lines = [];
  now = 1_000_000;
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const open = (keeperPin: string | null = null) =>
  People.open({ folder, keeperPin, clock: () => now, log: logInto(lines), cost: CHEAP });

describe('the first start', () => {
  it('makes a keeper PIN of six digits, tells it once and keeps only its hash', async () => {
    const { people, madePin } = await open();
    expect(madePin).toMatch(/^\d{6}$/);
    expect(people.all()).toEqual([{ name: 'keeper', role: 'keeper' }]);
    const text = await readFile(join(folder, 'people.json'), 'utf8');
    expect(text).not.toContain(madePin);
    expect((await stat(join(folder, 'people.json'))).mode & 0o777).toBe(0o600);
    expect((await people.signIn(madePin!))?.person.role).toBe('keeper');
    expect((await open()).madePin).toBeNull();
  });

  it('makes another PIN each time', async () => {
    const pins = new Set<string | null>();
    for (let i = 0; i < 5; i += 1) {
      pins.add((await open()).madePin);
      await rm(join(folder, 'people.json'));
    }
    expect(pins.size).toBeGreaterThan(1);
  });

  it('takes the PIN it is given, also in place of an earlier one', async () => {
    expect((await open('1234')).madePin).toBeNull();
    const earlier = await (await open('1234')).people.signIn('1234');
    const { people } = await open('654321');
    expect(people.all()).toHaveLength(1);
    expect(await people.signIn('1234')).toBeNull();
    expect((await people.signIn('654321'))?.person.name).toBe('keeper');
    expect(people.whoIs(earlier?.token)).toBeNull();
  });

  it('refuses a PIN that is none, or someone else’s', async () => {
    for (const pin of ['', '123', 'abcdef', '1234567890123'])
      await expect(open(pin)).rejects.toThrow(/4 to 12 digits/);
    const { people } = await open('123456');
    await people.add({ name: 'Ada', role: 'helper' }, '222222');
    await expect(open('222222')).rejects.toThrow(/already the PIN of Ada/);
  });
});

describe('what is kept', () => {
  it('signs people in after a restart, and keeps who was signed in', async () => {
    const first = await open('123456');
    await first.people.add({ name: 'Ada', role: 'helper' }, '222222');
    const session = await first.people.signIn('222222');
    const again = (await open()).people;
    expect(again.whoIs(session?.token)?.person).toEqual({ name: 'Ada', role: 'helper' });
    expect((await again.signIn('222222'))?.person.name).toBe('Ada');
    const text = await readFile(join(folder, 'sessions.json'), 'utf8');
    expect(text).not.toContain(session?.token);
    expect((await stat(join(folder, 'sessions.json'))).mode & 0o777).toBe(0o600);
    await again.signOut(session?.token);
    expect((await open()).people.whoIs(session?.token)).toBeNull();
  });

  it('is set aside where it can not be read, and never overwritten', async () => {
    await writeFile(join(folder, 'people.json'), '{"version":1,"people":"lost');
    await writeFile(join(folder, 'sessions.json'), '[]');
    const { people, madePin } = await open();
    expect(madePin).toMatch(/^\d{6}$/);
    expect(people.all()).toHaveLength(1);
    expect(await readFile(join(folder, 'people.json.unreadable'), 'utf8')).toBe(
      '{"version":1,"people":"lost',
    );
    expect(lines.filter((l) => l.level === 'warn')).toHaveLength(1);
  });

  it('holds no more than 50 people and 100 sessions', async () => {
    const { people } = await open('123456');
    for (let i = 1; i < 50; i += 1) {
      expect(await people.add({ name: `Helper ${i}`, role: 'helper' }, String(200_000 + i))).toBeNull();
    }
    expect(await people.add({ name: 'One more', role: 'helper' }, '999999')).toBe('too-many-people');
    const tokens: string[] = [];
    for (let i = 0; i < 120; i += 1) tokens.push((await people.signIn('123456'))!.token);
    expect(tokens.filter((t) => people.whoIs(t)).length).toBe(100);
    expect(people.whoIs(tokens.at(-1))).not.toBeNull();
    expect(people.whoIs(tokens[0])).toBeNull();
  });

  it('lets people sign in where the disk refuses, and says that it is not kept', async () => {
    const { people } = await open('123456');
    await rm(folder, { recursive: true });
    const session = await people.signIn('123456');
    expect(people.whoIs(session?.token)?.person.name).toBe('keeper');
    await expect(people.add({ name: 'Ada', role: 'helper' }, '222222')).rejects.toThrow();
    expect(people.all()).toHaveLength(1);
    expect(lines.filter((l) => /not be kept/.test(l.text))).toHaveLength(1);
  });

  it('takes two additions at once one after the other', async () => {
    const { people } = await open('123456');
    const both = await Promise.all([
      people.add({ name: 'Ada', role: 'helper' }, '222222'),
      people.add({ name: 'Ada', role: 'helper' }, '333333'),
    ]);
    expect(both).toEqual([null, 'name-taken']);
  });
});

describe('hashing', () => {
  it('is scrypt, as node computes it', async () => {
    // Oracle: node's own synchronous scrypt (OpenSSL), RFC 7914's function.
    const cost = newCost(CHEAP);
    const hash = await new PinHash(cost).hash('123456');
    const other = scryptSync('123456', Buffer.from(cost.salt, 'base64url'), 32, CHEAP);
    expect(hash.equals(other)).toBe(true);
  });

  it('has the cost in earnest that is written, and a salt of its own', async () => {
    expect(USUAL_COST.N * USUAL_COST.r * 128).toBe(32 * 2 ** 20);
    expect(newCost().salt).not.toBe(newCost().salt);
    await expect(new PinHash(newCost()).hash('123456')).resolves.toHaveLength(32);
  });

  it('is done one at a time, and refused beyond four that wait', async () => {
    const pins = new PinHash(newCost({ N: 2 ** 12, r: 8, p: 1 }));
    const all = await Promise.allSettled(Array.from({ length: 12 }, () => pins.hash('1234')));
    expect(all.filter((a) => a.status === 'fulfilled')).toHaveLength(5);
    for (const a of all) if (a.status === 'rejected') expect(a.reason).toBeInstanceOf(PinBusy);
    await expect(pins.hash('1234')).resolves.toHaveLength(32);
  });
});

describe('attempts', () => {
  it('are forgotten after ten minutes of quiet', () => {
    const attempts = new Attempts(() => now);
    for (let i = 0; i < 3; i += 1) {
      expect(attempts.begin('a').ok).toBe(true);
      attempts.end('a', false);
    }
    now += 600_001;
    expect(attempts.begin('a')).toEqual({ ok: true, waitMs: 0 });
  });

  it('begin from nothing after a bar has ended', () => {
    const attempts = new Attempts(() => now);
    for (let i = 0; i < 5; i += 1) {
      attempts.begin('a');
      attempts.end('a', false);
    }
    expect(attempts.barred('a')).toBe(true);
    expect(attempts.begin('a')).toEqual({ ok: false, why: 'barred', againInMs: 60_000 });
    now += 60_000;
    expect(attempts.begin('a')).toEqual({ ok: true, waitMs: 0 });
  });

  it('are not counted where the PIN was not looked at', () => {
    const attempts = new Attempts(() => now);
    for (let i = 0; i < 9; i += 1) {
      expect(attempts.begin('a').ok).toBe(true);
      attempts.end('a', null);
    }
    expect(attempts.begin('a')).toEqual({ ok: true, waitMs: 0 });
  });

  it('are kept for a bounded number of addresses', () => {
    const attempts = new Attempts(() => now);
    for (let i = 0; i < 5_000; i += 1) {
      attempts.begin(`address ${i}`);
      attempts.end(`address ${i}`, false);
    }
    expect(attempts.begin('address 4999')).toEqual({ ok: true, waitMs: 250 });
    expect(attempts.begin('address 0')).toEqual({ ok: true, waitMs: 0 });
  });
});

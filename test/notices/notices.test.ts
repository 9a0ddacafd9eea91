import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type NoticeBody, Notices } from '../../server/notices/notices.ts';
import type { Posted } from '../../server/notices/post.ts';
import { isAddress, isQuiet, type NoticeSettings } from '../../server/notices/settings.ts';
import type { Entry } from '../../server/show/effects.ts';
import type { Fault } from '../../server/show/reasons.ts';
import { landing } from '../show/landing.ts';

const SECRET = 'http://192.0.2.9:8080/hook/s3cret?token=t0ken';
/** 31 October 2026, 21:14 in Chicago. */
const AT = Date.UTC(2026, 10, 1, 2, 14);
const yard = landing();
const settings = (more: Partial<NoticeSettings> = {}): NoticeSettings => ({
  address: SECRET,
  about: ['stop', 'lockout', 'record', 'bus'],
  quiet: null,
  ...more,
});

let folder: string;
let now: number;
let timers: { at: number; run: () => void }[];
let sent: NoticeBody[];
let logged: string;
/** What the next posts are answered with; empty: taken. */
let answers: Posted[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'dusklatch-notices-'));
  now = AT;
  timers = [];
  sent = [];
  answers = [];
  logged = '';
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const no = (why = 'nothing listens at 192.0.2.9:8080'): Posted => ({ ok: false, why });

async function open(set: NoticeSettings | null = settings()): Promise<Notices> {
  const notices = await Notices.open({
    folder,
    post: async (_address, body) => {
      sent.push(body as NoticeBody);
      return answers.shift() ?? { ok: true };
    },
    clock: () => now,
    yard: () => yard,
    later(run, ms) {
      const timer = { at: now + ms, run };
      timers.push(timer);
      return () => {
        timers = timers.filter((t) => t !== timer);
      };
    },
    log: {
      warn: (what, text) => {
        logged += JSON.stringify(what) + text;
      },
    },
    changed() {},
  });
  if (set) await notices.set(set);
  return notices;
}

async function pass(ms: number): Promise<void> {
  const to = now + ms;
  for (;;) {
    for (let i = 0; i < 10; i += 1) await Promise.resolve();
    const next = timers.sort((a, b) => a.at - b.at)[0];
    if (!next || next.at > to) break;
    timers = timers.filter((t) => t !== next);
    now = Math.max(now, next.at);
    next.run();
  }
  now = to;
}

const stop: Entry = { reason: { code: 'stop-pressed', by: 'page', stop: 1 } };
const lockout = (prop: string, more: Partial<Fault> = {}): Entry => ({
  reason: { code: 'lockout-raised', fault: { code: 'travel-slow', prop, at: 0, ...more } },
  prop,
});
const desk = (connected: boolean) =>
  ({ recordFailing: null, desk: { connected } }) as Parameters<Notices['turned']>[0];

describe('notices', () => {
  it('tell of a stop, a lockout, a record that fails and a bus that is gone, each once, in whole words', async () => {
    const notices = await open();
    notices.turned(desk(false));
    notices.turned(desk(true));
    notices.heard(lockout('ferry'), 'Ferry locked out. Look for a jam.');
    notices.turned(desk(false));
    notices.turned(desk(false));
    notices.turned({ ...desk(false), recordFailing: 'the disk is full' });
    notices.turned({ ...desk(false), recordFailing: 'the disk is full' });
    // Nothing leaves within the turn.
    expect(sent).toEqual([]);
    await pass(1000);
    expect(sent.map(({ what }) => what)).toEqual(['lockout', 'bus', 'record']);
    expect(sent[0]).toEqual({
      what: 'lockout',
      yard: 'Saltmarsh Landing',
      // RFC 3339 with Chicago's summer time, five hours behind UTC.
      at: '2026-10-31T21:14:00-05:00',
      text: 'Ferry locked out. Look for a jam.',
      prop: 'ferry',
    });
    expect(notices.fates.map(({ fate }) => fate)).toEqual(['sent', 'sent', 'sent']);
  });

  it('leave out what can wait, what a person did, and what only follows another', async () => {
    const notices = await open();
    notices.heard(lockout('ferry', { code: 'drift' }), 'x');
    notices.heard(lockout('ferry', { code: 'by-hand' }), 'x');
    notices.heard(lockout('ferryman', { first: 'ferry' }), 'x');
    notices.heard({ reason: { code: 'homed', prop: 'ferry' } }, 'x');
    await pass(1000);
    expect(sent).toEqual([]);
  });

  it('keep quiet in the quiet hours by the clock of the yard, but for a stop', async () => {
    const notices = await open(settings({ quiet: { from: '21:00', to: '07:00' } }));
    notices.heard(lockout('ferry'), 'Ferry locked out.');
    notices.heard(stop, 'Stop no. 1 pressed from the page.');
    await pass(1000);
    expect(sent.map(({ what }) => what)).toEqual(['stop']);
    expect(notices.fates.map(({ what, fate }) => `${what} ${fate}`)).toEqual(['stop sent', 'lockout quiet']);
  });

  it('try a few times and no more, say so, and write no secret into the log', async () => {
    const notices = await open();
    answers = Array.from({ length: 10 }, () => no());
    notices.heard(lockout('ferry'), 'Ferry locked out.');
    await pass(4_000);
    expect(sent).toHaveLength(1);
    await pass(3_600_000);
    expect(sent).toHaveLength(4);
    expect(notices.fates).toMatchObject([{ what: 'lockout', fate: 'failed' }]);
    expect(notices.trouble).toBe('nothing listens at 192.0.2.9:8080');
    expect(logged).toContain('192.0.2.9');
    expect(logged).not.toMatch(/s3cret|t0ken/);
    answers = [];
    notices.heard(stop, 'Stop.');
    await pass(1000);
    expect(notices.trouble).toBe(null);
  });

  it('send a stop ahead of what waits, also while another is being tried again', async () => {
    const notices = await open();
    answers = [no()];
    notices.heard(lockout('ferry'), 'Ferry locked out.');
    notices.heard(lockout('hatch'), 'Hatch locked out.');
    await pass(1000);
    notices.heard(stop, 'Stop.');
    await pass(60_000);
    expect(sent.map(({ what, prop }) => prop ?? what)).toEqual(['ferry', 'stop', 'ferry', 'hatch']);
  });

  it('drop what is too many, and say so', async () => {
    const notices = await open();
    for (let n = 0; n < 30; n += 1) notices.heard(lockout(`p${n}`), `P${n} locked out.`);
    expect(notices.fates.map(({ fate }) => fate)).toEqual(Array.from({ length: 10 }, () => 'too-many'));
    await pass(1000);
    expect(sent).toHaveLength(20);
    expect(sent[0]!.prop).toBe('p0');
  });

  it('go nowhere without an address, or about what was not chosen', async () => {
    const silent = await open(null);
    silent.heard(stop, 'Stop.');
    expect(await silent.trial('Wren')).toBe(null);
    await silent.set(settings({ about: ['lockout'] }));
    silent.heard(stop, 'Stop.');
    await pass(1000);
    expect(sent).toEqual([]);
  });

  it('go to no address that was set before, and none after the end', async () => {
    const notices = await open();
    answers = [no()];
    notices.heard(stop, 'Stop.');
    await pass(1000);
    await notices.set(settings({ address: 'http://192.0.2.10/' }));
    await pass(3_600_000);
    expect(sent).toHaveLength(1);
    notices.heard(stop, 'Stop.');
    notices.close();
    await pass(3_600_000);
    expect(sent).toHaveLength(1);
  });

  it('a trial is sent at once, also in quiet hours, and says what came of it', async () => {
    const notices = await open(settings({ quiet: { from: '00:00', to: '23:59' } }));
    expect(await notices.trial('Wren')).toEqual({ ok: true });
    expect(sent[0]).toMatchObject({ what: 'trial', text: expect.stringContaining('asked for by Wren') });
    answers = [no('192.0.2.9:8080 answered 404')];
    expect(await notices.trial('Wren')).toEqual({ ok: false, why: '192.0.2.9:8080 answered 404' });
  });

  it('keep their settings for their owner’s eyes, over a restart, and set aside what can’t be read', async () => {
    await open();
    expect((await open(null)).settings).toEqual(settings());
    const path = join(folder, 'notices.json');
    writeFileSync(path, readFileSync(path, 'utf8').replace('http:', 'file:'));
    expect((await open(null)).settings.address).toBe(null);
    expect(existsSync(`${path}.unreadable`)).toBe(true);
  });
});

describe('quiet hours', () => {
  const at = (hour: number, minute = 0) => Date.UTC(2026, 6, 1, hour + 5, minute);

  it('begin at the first and end before the last minute, also over midnight', () => {
    const quiet = { from: '23:00', to: '07:00' };
    const times = [
      [22, 59],
      [23, 0],
      [30, 59],
      [31, 0],
    ] as const;
    expect(times.map(([h, m]) => isQuiet(quiet, 'America/Chicago', at(h, m)))).toEqual([
      false,
      true,
      true,
      false,
    ]);
    expect(isQuiet({ from: '09:00', to: '17:00' }, 'America/Chicago', at(12))).toBe(true);
    expect(isQuiet({ from: '09:00', to: '09:00' }, 'America/Chicago', at(9))).toBe(false);
  });

  it('an address is of http or https, with a host', () => {
    for (const good of [
      'http://10.0.0.2:8080/x',
      'https://hooks.saltmarsh.example/a?b=c',
      'http://[fe80::1]/',
    ])
      expect(isAddress(good), good).toBe(true);
    for (const bad of [
      '',
      'hooks',
      'file:///etc/passwd',
      'ftp://a',
      'http://',
      `http://a/${'x'.repeat(600)}`,
    ])
      expect(isAddress(bad), bad).toBe(false);
  });
});

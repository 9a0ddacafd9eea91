import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { TestYard } from './harness.ts';
import { NOW, tonight } from './scripted-door.ts';

let yard: TestYard;
let keeper: string;
let helper: string;
beforeAll(async () => {
  yard = await TestYard.start();
  keeper = await yard.keeper();
  helper = await yard.helper();
});
afterAll(() => yard.end());
beforeEach(() => yard.reset());

const codes = (said: { json: { reasons: { code: string }[] } }) => said.json.reasons.map((r) => r.code);

/** Each command with what it needs besides `issued` and `seq`, who may, and what the desk is asked. */
const COMMANDS = [
  ['/api/stop/clear', {}, 'keeper', 200, { kind: 'clearAsked', by: 'keeper', seen: 100 }],
  ['/api/open', {}, 'helper', 202, { kind: 'openAsked', by: 'Ada', planned: true, night: null }],
  ['/api/hold', {}, 'helper', 202, { kind: 'holdAsked', by: 'Ada' }],
  ['/api/close', {}, 'helper', 202, { kind: 'closeAsked', by: 'Ada' }],
  ['/api/scenes/crossing/run', {}, 'helper', 200, { kind: 'sceneAsked', by: 'Ada', scene: 'crossing' }],
  [
    '/api/props/ferry/lockout',
    { why: 'Wheel is loose.' },
    'helper',
    200,
    { kind: 'lockoutAsked', by: 'Ada', prop: 'ferry', why: 'Wheel is loose.' },
  ],
  [
    '/api/props/hatch/release',
    {},
    'keeper',
    200,
    { kind: 'releaseAsked', by: 'keeper', prop: 'hatch', seen: 100 },
  ],
  ['/api/props/hatch/acknowledge', {}, 'helper', 200, { kind: 'acknowledged', by: 'Ada', prop: 'hatch' }],
  [
    '/api/props/ferry/bench',
    { move: 'out', press: 'p1' },
    'keeper',
    200,
    { kind: 'benchPressed', by: 'keeper', prop: 'ferry', move: 'out', press: 'p1' },
  ],
] as const;

describe.each(COMMANDS)('POST %s', (path, more, who, status, fact) => {
  const cookie = () => (who === 'keeper' ? keeper : helper);

  it('asks the desk', async () => {
    const said = await yard.post(path, yard.fresh(more), cookie());
    expect(said.status, said.text).toBe(status);
    expect(said.json).toEqual({ ok: true });
    expect(yard.door.asked).toEqual([fact]);
  });

  it('wants someone signed in', async () => {
    for (const wrong of [undefined, 'dusklatch-1=x', `dusklatch-${yard.api.port}=x`, '=;;=%']) {
      const said = await yard.post(path, yard.fresh(more), wrong);
      expect(said.status).toBe(401);
      expect(codes(said)).toEqual(['not-signed-in']);
      expect(said.headers['www-authenticate']).toMatch(/./);
    }
    expect(yard.door.asked).toEqual([]);
  });

  it(who === 'keeper' ? 'is refused to a helper' : 'is open to a keeper too', async () => {
    const said = await yard.post(path, yard.fresh(more), who === 'keeper' ? helper : keeper);
    expect(said.status).toBe(who === 'keeper' ? 403 : status);
    expect(yard.door.asked).toHaveLength(who === 'keeper' ? 0 : 1);
  });

  it('is refused to a page of another site, whoever is signed in', async () => {
    for (const origin of [
      'http://evil.example',
      'null',
      `https://${yard.host}.evil.example`,
      'http://127.0.0.1:1',
    ]) {
      const said = await yard.post(path, yard.fresh(more), cookie(), { origin });
      expect(said.status).toBe(403);
      expect(codes(said)).toEqual(['foreign-origin']);
    }
    const own = await yard.post(path, yard.fresh(more), cookie(), { origin: `http://${yard.host}` });
    expect(own.status).toBe(status);
    expect(yard.door.asked).toHaveLength(1);
  });

  it('is refused under a foreign name', async () => {
    const said = await yard.post(path, yard.fresh(more), cookie(), { host: 'evil.example' });
    expect(said.status).toBe(421);
    expect(yard.door.asked).toEqual([]);
  });

  it('is stale more than 2 s either way, and not at 2 s', async () => {
    for (const issued of [yard.now - 2_001, yard.now + 2_001, 0, -1e15]) {
      const said = await yard.post(path, yard.fresh({ ...more, issued }), cookie());
      expect(said.status).toBe(409);
      expect(codes(said)).toEqual(['stale']);
    }
    expect(yard.door.asked).toEqual([]);
    for (const issued of [yard.now - 2_000, yard.now + 2_000]) {
      expect((await yard.post(path, yard.fresh({ ...more, issued }), cookie())).status).toBe(status);
    }
  });

  it('is refused on a picture that this desk never gave', async () => {
    const said = await yard.post(path, yard.fresh({ ...more, seq: 101 }), cookie());
    expect(said.status).toBe(409);
    expect(codes(said)).toEqual(['seen-nothing']);
    expect(yard.door.asked).toEqual([]);
  });

  it('wants issued and seq', async () => {
    for (const without of ['issued', 'seq']) {
      const body: Record<string, unknown> = yard.fresh(more);
      delete body[without];
      const said = await yard.post(path, body, cookie());
      expect(said.status).toBe(422);
      expect(said.json.reasons).toContainEqual({ code: 'missing', sentence: `\`${without}\` is missing.` });
    }
    for (const wrong of [{ seq: -1 }, { seq: 1.5 }, { seq: '100' }, { issued: 'now' }, { issued: null }]) {
      expect((await yard.post(path, yard.fresh({ ...more, ...wrong }), cookie())).status).toBe(422);
    }
    expect(yard.door.asked).toEqual([]);
  });

  it('refuses what it does not know, naming it', async () => {
    const said = await yard.post(path, yard.fresh({ ...more, extra: 1 }), cookie());
    expect(said.status).toBe(422);
    expect(said.json.detail).toMatch(/`extra`/);
    expect(yard.door.asked).toEqual([]);
  });

  it('tells all reasons of the desk in their order', async () => {
    yard.door.answer = () => ({
      ok: false,
      refused: [
        { code: 'station-in', prop: 'ferry' },
        { code: 'station-silent', prop: 'hatch' },
        { code: 'no-bus' },
      ],
    });
    const said = await yard.post(path, yard.fresh(more), cookie());
    expect(said.status).toBe(409);
    expect(said.headers['content-type']).toBe('application/problem+json');
    expect(said.json).toEqual({
      type: 'about:blank',
      title: 'Conflict',
      status: 409,
      detail: 'Said of station-in. Said of station-silent. Said of no-bus.',
      reasons: [
        { code: 'station-in', sentence: 'Said of station-in.' },
        { code: 'station-silent', sentence: 'Said of station-silent.' },
        { code: 'no-bus', sentence: 'Said of no-bus.' },
      ],
    });
  });

  it('is 500 and logged where the desk fails, and says that a stop still works', async () => {
    yard.door.answer = () => Promise.reject(new Error('planted'));
    const said = await yard.post(path, yard.fresh(more), cookie());
    expect(said.status).toBe(500);
    expect(said.json.detail).toMatch(/STOP ALL still works/);
    expect(said.text).not.toMatch(/planted/);
    expect(yard.lines.some((l) => l.level === 'error' && JSON.stringify(l.what).includes('planted'))).toBe(
      true,
    );
  });

  it.each(['GET', 'PUT', 'DELETE', 'PATCH'])('is 405 for %s', async (method) => {
    const said = await yard.send(method, path, { cookie: keeper });
    expect(said.status).toBe(405);
    expect(said.headers.allow).toBe('POST');
  });
});

describe('what is named in a path', () => {
  it.each(['nobody', '__proto__', 'toString', 'hasOwnProperty', '%2e%2e', '%00', 'ferry%20'])(
    'is 404 as a prop or scene: %s',
    async (id) => {
      expect((await yard.post(`/api/props/${id}/lockout`, yard.fresh({ why: 'x' }), helper)).status).toBe(
        404,
      );
      expect((await yard.post(`/api/scenes/${id}/run`, yard.fresh(), helper)).status).toBe(404);
      expect(yard.door.asked).toEqual([]);
    },
  );

  it('may be a word that every object knows, where the yard has it', async () => {
    const said = await yard.post(
      '/api/props/constructor/lockout',
      yard.fresh({ why: 'Rope frayed.' }),
      helper,
    );
    expect(said.status).toBe(200);
    expect(yard.door.asked).toMatchObject([{ prop: 'constructor' }]);
    expect((await yard.post('/api/scenes/constructor/run', yard.fresh(), helper)).status).toBe(404);
  });
});

describe('opening', () => {
  it('passes on that nothing is planned', async () => {
    expect((await yard.post('/api/open', yard.fresh({ plan: false }), helper)).status).toBe(202);
    expect(yard.door.asked).toMatchObject([{ kind: 'openAsked', planned: false, night: null }]);
  });

  it('wants to know for how long outside the hours', async () => {
    yard.door.night = null;
    const said = await yard.post('/api/open', yard.fresh(), helper);
    expect(said.status).toBe(409);
    expect(codes(said)).toEqual(['outside-hours']);
    expect(yard.door.asked).toEqual([]);
  });

  it.each([
    ['2 h', 7_200_000],
    ['1.5 h', 5_400_000],
    ['90 min', 5_400_000],
    ['90min', 5_400_000],
    ['3600 s', 3_600_000],
    ['24 h', 86_400_000],
  ])('makes a night by hand of %s', async (length, ms) => {
    yard.door.night = null;
    expect((await yard.post('/api/open', yard.fresh({ for: length }), helper)).status).toBe(202);
    expect(yard.door.asked).toEqual([
      {
        kind: 'openAsked',
        by: 'Ada',
        planned: true,
        night: { ...tonight(), date: '2026-10-31-hand', openMs: NOW, closeMs: NOW + ms },
      },
    ]);
  });

  it.each(['2', '2 hours', '', '-1 h', '0 h', '30 s', '25 h', '1e3 s', 'NaN h', 2, null, {}])(
    'takes no %j for a length',
    async (length) => {
      yard.door.night = null;
      const said = await yard.post('/api/open', yard.fresh({ for: length }), helper);
      expect(said.status).toBe(422);
      expect(said.json.detail).toMatch(/`for` must be a time with its unit, as `2 h`/);
      expect(yard.door.asked).toEqual([]);
    },
  );

  it('refuses a length within the hours, rather than quietly pass it over', async () => {
    const said = await yard.post('/api/open', yard.fresh({ for: '2 h' }), helper);
    expect(said.status).toBe(409);
    expect(codes(said)).toEqual(['for-not-wanted']);
  });
});

describe('the bench', () => {
  it('takes a lift with no more than its press, however late', async () => {
    for (const body of [
      { press: 'p1', up: true },
      { press: 'p1', up: true, move: 'out', issued: 0, seq: 5_000 },
    ]) {
      expect((await yard.post('/api/props/ferry/bench', body, keeper)).status).toBe(200);
    }
    const lifted = { kind: 'benchLifted', by: 'keeper', prop: 'ferry', press: 'p1' };
    expect(yard.door.asked).toEqual([lifted, lifted]);
  });

  it('takes a press that says it is no lift', async () => {
    const body = yard.fresh({ move: 'out', press: 'p1', up: false });
    expect((await yard.post('/api/props/ferry/bench', body, keeper)).status).toBe(200);
    expect(yard.door.asked).toMatchObject([{ kind: 'benchPressed', move: 'out' }]);
  });

  it('never takes a press without its move, or a late one', async () => {
    const url = '/api/props/ferry/bench';
    expect((await yard.post(url, yard.fresh({ press: 'p1' }), keeper)).status).toBe(422);
    expect((await yard.post(url, yard.fresh({ press: 'p1', up: 1 }), keeper)).status).toBe(422);
    expect((await yard.post(url, { press: 'p1', move: 'out' }, keeper)).status).toBe(422);
    const late = yard.fresh({ press: 'p1', move: 'out', issued: yard.now - 3_000 });
    expect((await yard.post(url, late, keeper)).status).toBe(409);
    expect(yard.door.asked).toEqual([]);
  });
});

describe('a lockout by hand', () => {
  it.each(['', '   ', 'x'.repeat(201), 'a\nb', 'a\u0000b', 7, null])(
    'takes no %j for a reason',
    async (why) => {
      const said = await yard.post('/api/props/ferry/lockout', yard.fresh({ why }), helper);
      expect(said.status).toBe(422);
      expect(said.json.detail).toMatch(/`why` must be the reason/);
    },
  );

  it('wants a reason', async () => {
    const said = await yard.post('/api/props/ferry/lockout', yard.fresh(), helper);
    expect(codes(said)).toEqual(['missing']);
  });
});

describe('the body of a command', () => {
  it.each([
    ['nothing', undefined, 'no-body'],
    ['broken JSON', '{"issued":', 'broken-json'],
    ['a bare word', '"hold"', 'broken-json'],
    ['a list', '[]', 'malformed'],
  ])('is 422 with %s', async (_what, raw, code) => {
    const said = await yard.send('POST', '/api/hold', { cookie: helper, ...(raw !== undefined && { raw }) });
    expect(said.status).toBe(422);
    expect(codes(said)).toEqual([code]);
  });

  it('is 422 where it is not called JSON, or is packed', async () => {
    const raw = JSON.stringify(yard.fresh());
    for (const headers of [
      { 'content-type': 'text/plain' },
      { 'content-type': 'application/x-www-form-urlencoded' },
      { 'content-type': 'application/json; charset=utf-99' },
    ]) {
      expect((await yard.send('POST', '/api/hold', { raw, cookie: helper, headers })).status).toBe(422);
    }
    const packed = { raw: gzipSync(raw), headers: { 'content-encoding': 'gzip' } };
    expect((await yard.send('POST', '/api/hold', { ...packed, cookie: helper })).status).toBe(422);
    expect(yard.door.asked).toEqual([]);
  });

  it('is 413 above 64 KiB and read to exactly there', async () => {
    const filled = (size: number) => {
      const bare = JSON.stringify(yard.fresh());
      return bare + ' '.repeat(size - bare.length);
    };
    const fits = await yard.send('POST', '/api/hold', { raw: filled(65_536), cookie: helper });
    expect(fits.status).toBe(202);
    const over = await yard.send('POST', '/api/hold', { raw: filled(65_537), cookie: helper });
    expect(over.status).toBe(413);
    expect(codes(over)).toEqual(['too-large']);
  });

  it('is not read for a stranger', async () => {
    const said = await yard.send('POST', '/api/hold', { raw: 'x'.repeat(200_000) });
    expect(said.status).toBe(401);
  });
});

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { SESSION_MS } from '../../server/api/sessions.ts';
import { cookieOf, HELPER_PIN, KEEPER_PIN, soon, TestYard } from './harness.ts';

let yard: TestYard;
beforeEach(async () => {
  yard = await TestYard.start();
});
afterEach(() => yard.end());

const codes = (said: { json: { reasons: { code: string }[] } }) => said.json.reasons.map((r) => r.code);
const wrongPin = (from = '127.0.0.1') => yard.send('POST', '/api/session', { body: { pin: '999999' }, from });

describe('signing in', () => {
  it('tells who it is and sets a cookie that no script and no other site gets', async () => {
    const said = await yard.post('/api/session', { pin: KEEPER_PIN });
    expect(said.status).toBe(200);
    expect(said.json).toEqual({ name: 'keeper', role: 'keeper', until: yard.now + SESSION_MS });
    const cookie = said.headers['set-cookie']?.[0] ?? '';
    expect(cookie).toMatch(new RegExp(`^dusklatch-${yard.api.port}=[A-Za-z0-9_-]{43};`));
    expect(cookie).toMatch(/; HttpOnly/);
    expect(cookie).toMatch(/; SameSite=Strict/);
    expect(cookie).toMatch(/; Path=\//);
    expect(cookie).toMatch(new RegExp(`; Max-Age=${SESSION_MS / 1_000}`));
    expect(said.headers['cache-control']).toBe('no-store');
  });

  it('tells who is signed in, until signing out', async () => {
    expect((await yard.get('/api/session')).status).toBe(204);
    const cookie = await yard.helper();
    const who = await yard.get('/api/session', { cookie });
    expect(who.json).toMatchObject({ name: 'Ada', role: 'helper' });
    const out = await yard.send('DELETE', '/api/session', { cookie });
    expect(out.status).toBe(204);
    expect(out.headers['set-cookie']?.[0]).toMatch(/=; Max-Age=0/);
    expect((await yard.get('/api/session', { cookie })).status).toBe(204);
    expect((await yard.post('/api/hold', yard.fresh(), cookie)).status).toBe(401);
  });

  it('ends by itself', async () => {
    const cookie = await yard.helper();
    yard.now += SESSION_MS - 1;
    expect((await yard.get('/api/session', { cookie })).status).toBe(200);
    yard.now += 1;
    expect((await yard.get('/api/session', { cookie })).status).toBe(204);
    expect((await yard.post('/api/hold', yard.fresh(), cookie)).status).toBe(401);
  });

  it('gives each phone a session of its own', async () => {
    const one = await yard.helper();
    const two = await yard.helper();
    expect(one).not.toBe(two);
    await yard.send('DELETE', '/api/session', { cookie: one });
    expect((await yard.get('/api/session', { cookie: two })).status).toBe(200);
  });

  it('keeps the cookies of other ports apart', async () => {
    const cookie = await yard.helper();
    const other = `dusklatch-1=zzz; ${cookie}; theme=dark`;
    expect((await yard.get('/api/session', { cookie: other })).status).toBe(200);
  });

  it.each([undefined, 123456, '', '12', '12345678901234', 'abcdef', null, ['246810'], { a: 1 }])(
    'is malformed with %j',
    async (pin) => {
      expect((await yard.post('/api/session', { pin })).status).toBe(422);
      expect((await yard.post('/api/session', { pin: KEEPER_PIN })).status).toBe(200);
    },
  );
});

describe('wrong PINs', () => {
  it('are told, then slowed, and the fifth bars the address for a minute', async () => {
    for (let i = 1; i <= 4; i += 1) {
      const said = await wrongPin();
      expect(said.status).toBe(401);
      expect(codes(said)).toEqual(['wrong-pin']);
    }
    expect(yard.waited).toEqual([250, 500, 1_000]);
    expect(codes(await wrongPin())).toEqual(['wrong-pin-barred']);
    expect(yard.waited).toEqual([250, 500, 1_000, 2_000]);
    const barred = await yard.post('/api/session', { pin: KEEPER_PIN });
    expect(barred.status).toBe(429);
    expect(codes(barred)).toEqual(['barred']);
    expect(barred.headers['retry-after']).toBe('60');
    yard.ticks += 59_999;
    expect((await yard.post('/api/session', { pin: KEEPER_PIN })).status).toBe(429);
    yard.ticks += 1;
    expect((await yard.post('/api/session', { pin: KEEPER_PIN })).status).toBe(200);
  });

  it('bar no other address, and no stop', async () => {
    for (let i = 0; i < 5; i += 1) await wrongPin();
    const other = await yard.send('POST', '/api/session', { body: { pin: HELPER_PIN }, from: '127.0.0.9' });
    expect(other.status).toBe(200);
    expect((await yard.post('/api/stop')).status).toBe(200);
  });

  it('bar nobody who is signed in', async () => {
    const cookie = await yard.helper();
    for (let i = 0; i < 5; i += 1) await wrongPin();
    expect((await yard.post('/api/hold', yard.fresh(), cookie)).status).toBe(202);
  });

  it('are forgiven by a right one', async () => {
    for (let i = 0; i < 4; i += 1) await wrongPin();
    expect((await yard.post('/api/session', { pin: HELPER_PIN })).status).toBe(200);
    expect(codes(await wrongPin())).toEqual(['wrong-pin']);
  });

  it('are not let off by what proxies are said to have forwarded', async () => {
    for (let i = 0; i < 5; i += 1) {
      await yard.post('/api/session', { pin: '999999' }, undefined, { 'x-forwarded-for': `10.0.0.${i}` });
    }
    const said = await yard.post('/api/session', { pin: KEEPER_PIN }, undefined, {
      'x-forwarded-for': '10.0.0.9',
    });
    expect(said.status).toBe(429);
  });

  it('can not be tried many at once from one address', async () => {
    const all = await Promise.all(Array.from({ length: 20 }, () => wrongPin()));
    const looked = all.filter((s) => s.status === 401).length;
    expect(looked).toBeLessThanOrEqual(5);
    expect(all.filter((s) => s.status === 429)).toHaveLength(20 - looked);
  });

  it('keep the next from the same address out while it waits, and nobody else', async () => {
    await yard.end();
    const waiting: (() => void)[] = [];
    yard = await TestYard.start({ pace: { wait: () => new Promise((resolve) => waiting.push(resolve)) } });
    await wrongPin();
    const slowed = wrongPin();
    await soon(() => waiting.length).toBe(1);
    const next = await yard.post('/api/session', { pin: KEEPER_PIN });
    expect([next.status, ...codes(next)]).toEqual([429, 'sign-in-busy']);
    const other = await yard.send('POST', '/api/session', { body: { pin: HELPER_PIN }, from: '127.0.0.9' });
    expect(other.status).toBe(200);
    waiting[0]?.();
    expect((await slowed).status).toBe(401);
  });

  it('are not what a malformed request is', async () => {
    for (let i = 0; i < 9; i += 1) await yard.post('/api/session', { pin: 'x' });
    expect((await yard.post('/api/session', { pin: HELPER_PIN })).status).toBe(200);
  });

  it('are counted', async () => {
    await wrongPin();
    await yard.helper();
    const text = (await yard.get('/metrics')).text;
    expect(text).toMatch(/^dusklatch_sign_ins_total\{result="wrong"\} 1$/m);
    expect(text).toMatch(/^dusklatch_sign_ins_total\{result="in"\} 1$/m);
  });
});

describe('the list of people', () => {
  it('is a keeper’s to see and change', async () => {
    const helper = await yard.helper();
    expect((await yard.get('/api/people')).status).toBe(401);
    expect((await yard.get('/api/people', { cookie: helper })).status).toBe(403);
    const keeper = await yard.keeper();
    expect((await yard.get('/api/people', { cookie: keeper })).json).toEqual({
      people: [
        { name: 'keeper', role: 'keeper' },
        { name: 'Ada', role: 'helper' },
      ],
    });
    const refused = await yard.post('/api/people', { name: 'Ned', pin: '112233' }, helper);
    expect(refused.status).toBe(403);
    const added = await yard.post('/api/people', { name: 'Ned', pin: '112233' }, keeper);
    expect(added.status).toBe(201);
    expect(added.json.people).toContainEqual({ name: 'Ned', role: 'helper' });
    expect(added.text).not.toMatch(/112233|hash/);
    expect((await yard.get('/api/session', { cookie: await yard.signIn('112233') })).json.name).toBe('Ned');
  });

  it('has each name and each PIN once', async () => {
    const keeper = await yard.keeper();
    const name = await yard.post('/api/people', { name: 'Ada', pin: '112233' }, keeper);
    expect([name.status, ...codes(name)]).toEqual([409, 'name-taken']);
    const pin = await yard.post('/api/people', { name: 'Ned', pin: HELPER_PIN }, keeper);
    expect([pin.status, ...codes(pin)]).toEqual([409, 'pin-taken']);
  });

  it('never loses its last keeper', async () => {
    const keeper = await yard.keeper();
    const said = await yard.send('DELETE', '/api/people/keeper', { cookie: keeper });
    expect([said.status, ...codes(said)]).toEqual([409, 'last-keeper']);
    expect(
      (await yard.post('/api/people', { name: 'Bea', role: 'keeper', pin: '445566' }, keeper)).status,
    ).toBe(201);
    expect((await yard.send('DELETE', '/api/people/keeper', { cookie: keeper })).status).toBe(200);
    expect((await yard.get('/api/people', { cookie: keeper })).status).toBe(401);
  });

  it('signs out who is taken off it', async () => {
    const keeper = await yard.keeper();
    const helper = await yard.helper();
    expect((await yard.send('DELETE', '/api/people/Ada', { cookie: keeper })).status).toBe(200);
    expect((await yard.post('/api/hold', yard.fresh(), helper)).status).toBe(401);
    expect((await yard.post('/api/session', { pin: HELPER_PIN })).status).toBe(401);
    expect((await yard.send('DELETE', '/api/people/Ada', { cookie: keeper })).status).toBe(404);
    // Another Ada is not signed in by the phone of the first.
    expect((await yard.post('/api/people', { name: 'Ada', pin: '909090' }, keeper)).status).toBe(201);
    expect((await yard.post('/api/hold', yard.fresh(), helper)).status).toBe(401);
  });

  it('takes names as they are written', async () => {
    const keeper = await yard.keeper();
    for (const [i, name] of ['__proto__', 'constructor', 'Ned & Ada', 'Zoë/7', '%41'].entries()) {
      expect((await yard.post('/api/people', { name, pin: `77777${i}` }, keeper)).status).toBe(201);
      const url = `/api/people/${encodeURIComponent(name)}`;
      expect((await yard.send('DELETE', url, { cookie: keeper })).status, name).toBe(200);
    }
    for (const name of ['', ' ', 'x'.repeat(41), 'a\nb', 7]) {
      expect((await yard.post('/api/people', { name, pin: '777777' }, keeper)).status).toBe(422);
    }
  });

  it('lets people change their own PIN, and only a keeper another’s', async () => {
    const helper = await yard.helper();
    const elsewhere = await yard.helper();
    const put = (name: string, pin: string, cookie: string) =>
      yard.send('PUT', `/api/people/${name}/pin`, { body: { pin }, cookie });
    const other = await put('keeper', '121212', helper);
    expect([other.status, ...codes(other)]).toEqual([403, 'own-pin-only']);
    expect((await put('Ada', KEEPER_PIN, helper)).status).toBe(409);
    expect((await put('Ada', '343434', helper)).status).toBe(204);
    expect((await yard.get('/api/session', { cookie: helper })).status).toBe(200);
    expect((await yard.get('/api/session', { cookie: elsewhere })).status).toBe(204);
    expect((await yard.post('/api/session', { pin: HELPER_PIN })).status).toBe(401);
    const keeper = await yard.keeper();
    expect((await put('Ada', '565656', keeper)).status).toBe(204);
    expect((await yard.get('/api/session', { cookie: helper })).status).toBe(204);
    expect((await put('Nobody', '787878', keeper)).status).toBe(404);
    expect(cookieOf(await yard.post('/api/session', { pin: '565656' }))).toMatch(/^dusklatch-/);
  });
});

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestYard } from './harness.ts';

let yard: TestYard;
let keeper: string;
beforeEach(async () => {
  yard = await TestYard.start();
  keeper = await yard.keeper();
});
afterEach(() => yard.end());

const GOOD = { address: 'http://192.0.2.9/hook', about: ['stop'], quiet: { from: '22:00', to: '07:00' } };
const put = (body: object, cookie = keeper) => yard.send('PUT', '/api/notices', { body, cookie });

describe('the settings of notices', () => {
  it('are for keepers alone, since the address may hold a secret', async () => {
    const helper = await yard.helper();
    expect((await yard.get('/api/notices', { cookie: helper })).status).toBe(403);
    expect((await put(GOOD, helper)).status).toBe(403);
    expect((await yard.post('/api/notices/trial', undefined, helper)).status).toBe(403);
    expect((await yard.get('/api/notices')).status).toBe(401);
  });

  it('are set, told, and tried', async () => {
    expect((await yard.get('/api/notices', { cookie: keeper })).json.settings.address).toBe(null);
    const none = await yard.post('/api/notices/trial', undefined, keeper);
    expect([none.status, none.json.reasons[0].code]).toEqual([409, 'no-address']);
    expect((await put(GOOD)).json.settings).toEqual(GOOD);
    expect((await yard.post('/api/notices/trial', undefined, keeper)).json.fates).toMatchObject([
      { what: 'trial', fate: 'sent' },
    ]);
    yard.posted = { ok: false, why: '192.0.2.9 answered 500' };
    const failed = await yard.post('/api/notices/trial', undefined, keeper);
    expect([failed.status, failed.json.detail]).toEqual([
      409,
      'The trial did not get through: 192.0.2.9 answered 500.',
    ]);
  });

  it('that can’t be are refused in words', async () => {
    for (const [wrong, word] of [
      [{ ...GOOD, address: 'file:///etc/passwd' }, 'http'],
      [{ ...GOOD, address: 'landing' }, 'http'],
      [{ ...GOOD, quiet: { from: '25:00', to: '07:00' } }, '21:30'],
      [{ ...GOOD, about: ['everything'] }, 'lockout'],
      [{ about: [], quiet: null }, 'missing'],
    ] as const) {
      const said = await put(wrong);
      expect([said.status, said.json.detail.includes(word)], JSON.stringify(wrong)).toEqual([422, true]);
    }
  });
});

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestYard } from './harness.ts';
import { NOW } from './scripted-door.ts';

describe('the calls about what was', () => {
  let yard: TestYard;
  beforeEach(async () => {
    yard = await TestYard.start();
  });
  afterEach(() => yard.end());

  it('list the nights and tell one in words', async () => {
    expect((await yard.get('/api/nights')).json.nights[0].night).toBe('2026-10-31');
    expect((await yard.get('/api/nights/2026-10-31/told')).json).toEqual({ title: 'A night', sections: [] });
    expect((await yard.get('/api/nights/2026-10-30/told')).status).toBe(404);
    expect((await yard.get('/api/nights/constructor/told')).status).toBe(422);
  });

  it('give a night’s marks', async () => {
    expect((await yard.get('/api/nights/2026-10-31/course')).json.faults).toEqual([NOW - 60_000]);
    expect((await yard.get('/api/nights/2026-10-30/course')).status).toBe(404);
    expect((await yard.get('/api/nights/constructor/course')).status).toBe(422);
  });

  it('show the yard as it was at an instant, and refuse what is no instant', async () => {
    const then = await yard.get(`/api/past?at=${NOW - 5000}`);
    expect(then.json).toMatchObject({ at: NOW - 5000, picture: { at: NOW - 5000, mode: 'open' } });
    expect(then.headers['cache-control']).toBe('no-store');
    expect((await yard.get('/api/past?at=1000')).json.detail).toContain('Nothing is kept of that moment');
    for (const at of ['', '-1', 'yesterday', '1e9', '9'.repeat(17)]) {
      expect((await yard.get(`/api/past?at=${at}`)).status, at).toBe(422);
    }
    expect((await yard.get('/api/past')).status).toBe(422);
  });

  it('page a prop’s story, of props that there are', async () => {
    await yard.get('/api/props/ferry/story');
    await yard.get('/api/props/constructor/story?before=40&limit=9');
    expect(yard.past.asked).toEqual([
      { prop: 'ferry', before: null, limit: 40 },
      { prop: 'constructor', before: 40, limit: 9 },
    ]);
    expect((await yard.get('/api/props/toString/story')).status).toBe(404);
    expect((await yard.get('/api/props/ferry/story?limit=201')).status).toBe(422);
  });

  it('say so where the record is busy', async () => {
    yard.past.busy = true;
    for (const path of ['/api/nights', `/api/past?at=${NOW}`, '/api/props/ferry/story']) {
      const said = await yard.get(path);
      expect([said.status, said.headers['retry-after']]).toEqual([503, '2']);
      expect(said.json.detail).toContain('STOP ALL never waits');
    }
  });
});

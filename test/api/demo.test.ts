import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { isLoopback } from '../../server/api/calls-demo.ts';
import { cookieOf, TestYard } from './harness.ts';
import { ScriptedDemo } from './scripted-demo.ts';
import { prop } from './scripted-door.ts';

let yard: TestYard;
let demo: ScriptedDemo;
beforeEach(async () => {
  demo = new ScriptedDemo();
  yard = await TestYard.start({ demonstration: demo });
});
afterEach(() => yard.end());

describe('the demonstration', () => {
  it('lets anyone jam a stand-in and free it', async () => {
    const fault = (body: object) => yard.post('/api/demo/fault', body);
    expect((await fault({ prop: 'ferry', fault: 'jam', on: true })).status).toBe(200);
    expect((await fault({ prop: 'ferry', fault: 'jam', on: false, issued: 0, seq: 0 })).status).toBe(200);
    expect(demo.done).toEqual([
      ['ferry', 'jam', true],
      ['ferry', 'jam', false],
    ]);
    expect((await fault({ prop: 'nobody', fault: 'jam', on: true })).status).toBe(404);
    expect((await fault({ prop: 'constructor', fault: 'jam', on: true })).status).toBe(404);
    expect((await fault({ prop: 'ferry', fault: '__proto__', on: true })).status).toBe(422);
    expect((await fault({ prop: 'ferry', fault: 'jam' })).status).toBe(422);
    expect(demo.done).toHaveLength(2);
  });

  it('tells what is wrong on purpose, and that this computer may sign in as the keeper', async () => {
    expect((await yard.get('/api/demo')).json).toEqual({
      faults: [{ prop: 'ferry', fault: 'jam' }],
      keeper: true,
    });
  });

  it('lets a visitor run a scene through the desk’s own rules, and tells its refusal', async () => {
    expect((await yard.post('/api/demo/run', { scene: 'crossing' })).status).toBe(200);
    expect(yard.door.asked).toEqual([{ kind: 'sceneAsked', by: 'a visitor', scene: 'crossing' }]);
    yard.door.answer = () => ({ ok: false, refused: [{ code: 'outside-hours' }] });
    const refused = await yard.post('/api/demo/run', { scene: 'crossing' });
    expect(refused.status).toBe(409);
    expect(refused.json.detail).toBe('Said of outside-hours.');
    expect((await yard.post('/api/demo/run', { scene: 'constructor' })).status).toBe(404);
    expect(yard.door.asked).toHaveLength(2);
  });

  it('lets a guest step on a mat, and only on one that is there', async () => {
    expect((await yard.post('/api/demo/press', { prop: 'path-mat', sensor: 'step' })).status).toBe(200);
    expect((await yard.post('/api/demo/press', { prop: 'ferry', sensor: 'near' })).status).toBe(404);
    expect(demo.done).toEqual([['press', 'path-mat', 'step']]);
  });

  it('signs in as the keeper without a PIN on this computer', async () => {
    const said = await yard.post('/api/demo/keeper', {});
    expect(said.json).toMatchObject({ name: 'keeper', role: 'keeper' });
    const me = await yard.send('GET', '/api/session', { cookie: cookieOf(said) });
    expect(me.json).toMatchObject({ name: 'keeper', role: 'keeper' });
  });

  it('takes the socket’s own address for this computer’s, whatever a header says (RFC 5735, RFC 4291)', () => {
    for (const own of ['127.0.0.1', '127.8.9.10', '::1', '::ffff:127.0.0.1', '::FFFF:127.0.0.1'])
      expect(isLoopback(own), own).toBe(true);
    for (const other of [
      '192.0.2.7',
      '::ffff:192.0.2.7',
      '2001:db8::1',
      '',
      '127.0.0.1.example',
      '10.127.0.1',
    ])
      expect(isLoopback(other), other).toBe(false);
  });

  it('resets: mends all and releases what leads, but clears no stop', async () => {
    const { hatch } = yard.door.state.props;
    const follower = prop('Ferryman', {
      state: 'locked-out',
      lockout: { ...hatch!.lockout!, code: 'interlock-lost', first: 'hatch' },
    });
    yard.door.turn({ set: {}, props: { ferryman: follower } });
    expect((await yard.post('/api/demo/reset', {})).status).toBe(200);
    expect(demo.done).toEqual([['mend all']]);
    const { seq } = yard.door.state;
    expect(yard.door.asked).toEqual([{ kind: 'releaseAsked', by: 'a visitor', prop: 'hatch', seen: seq }]);
  });

  it('says what could not be released', async () => {
    yard.door.answer = () => ({ ok: false, refused: [{ code: 'outside-hours' }] });
    const said = await yard.post('/api/demo/reset', {});
    expect(said.status).toBe(409);
    expect(demo.done).toEqual([['mend all']]);
  });
});

describe('in earnest', () => {
  it.each(['fault', 'press', 'run', 'keeper', 'reset'])('there is no %s', async (name) => {
    const earnest = await TestYard.start();
    try {
      expect((await earnest.post(`/api/demo/${name}`, {})).status).toBe(404);
      expect(earnest.door.asked).toEqual([]);
    } finally {
      await earnest.end();
    }
  });
});

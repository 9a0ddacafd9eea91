import { describe, expect, it } from 'vitest';
import { landing, OPEN_MS, withGate } from '../show/landing.ts';
import { Script } from './script.ts';

/*
 * What the desk owes on the bus, duty by duty, seen from the boards' side: the stand-ins hear what the desk says, and a
 * stranger or a board says the rest. The cases of each are in the tests of the core and of the desk.
 */

const openYard = (...changes: readonly (readonly [string, string])[]): Script =>
  new Script(landing(...changes)).untilOpen();
const now = (s: Script): number => s.r.clock.now();
const LINK = { up: true, contract: 1, stop: 0, epoch: 1 };

describe('The desk owes', () => {
  it('1: a heartbeat every 250 ms, from the loop that takes events; a desk that hangs loses its props within the silence', async () => {
    const s = openYard();
    const from = now(s);
    s.advance('10 s');
    const beats = s.heard('heartbeat', from);
    expect(beats.length).toBeGreaterThanOrEqual(40);
    expect(beats[0]).toMatchObject({ epoch: 1, silenceMs: 1000, stop: 0 });
    const numbers = beats.map((b) => b.n as number);
    expect(numbers).toEqual(numbers.map((_, i) => numbers[0]! + i));
    await s.run('crossing');
    s.advance('3 s');
    expect(s.moves('ferry')).toBe(true);
    // the process stops as a whole: nothing of it runs, and the boards see only that
    const { fleet } = s.r;
    const frozenAt = now(s);
    fleet.advanceTo(frozenAt + 1400);
    expect(fleet.truth(frozenAt + 1400, 'ferry').moving).toBe(false);
  });

  it('2: only what is fresh, of a live link; a will counts only of the connection that stands', async () => {
    const s = openYard();
    const session = s.r.desk.show.controllers['ferry-board']!.session!;
    s.say('controller/ferry-board/link', { up: false, session: 'of-last-week' }).advance('100 ms');
    s.expectProp('ferry', { state: 'ready', at: 'near' });
    // a late reading of its own: lower than the last of its session
    const n = s.r.desk.show.props.ferry!.sensors.near!.count;
    s.say('prop/ferry/sense/near', { prop: 'ferry', made: false, session, n: n - 1 }).advance('100 ms');
    s.expectProp('ferry', { at: 'near' });
    s.standin('cut ferry-board').advance('10 ms');
    s.expectProp('ferry', { state: 'silent', at: null });
    expect(s.prop('ferry').sensors.near).toMatchObject({ fresh: false });
    expect(await s.run('crossing')).toEqual(['silent']);
  });

  it('3: no `do` without its interlocks by fresh readings, and its limits', async () => {
    const s = openYard(
      ['needs: [ferry.far], load', 'needs: [ferry.far, not path-mat.step], load'],
      ['    on: path-mat.step\n    again-after: 30 s\n', ''],
    );
    s.standin('hold path-mat.step');
    await s.run('crossing');
    s.advance('12 s');
    expect(s.heard('prop/ferry/do')).toHaveLength(1);
    expect(s.heard('prop/ferryman/do')).toEqual([]);
    s.expectProp('ferryman', { why: /Path mat|path mat|mat/ });
    s.standin('release path-mat.step').advance('100 ms');
    expect(s.heard('prop/ferryman/do')).toHaveLength(1);
    expect(s.heard('prop/ferryman/do')[0]).toMatchObject({
      prop: 'ferryman',
      move: 'row',
      step: 1,
      epoch: 1,
      limitMs: 25_000,
      lastsMs: 20_000,
      session: s.r.desk.show.controllers.ferryman!.session,
    });
  });

  it('4: told again at 1 s, `no-answer` and `halt` at 2 s, the halt again every 250 ms, and the yard stopped a second later', async () => {
    const s = openYard().standin('mute lantern');
    const at = now(s);
    await s.run('lanterns-up');
    s.advance('4 s');
    const times = (topic: string): number[] =>
      s.said.filter((m) => m.topic === topic && m.at >= at).map((m) => m.at - at - 2);
    expect(times('prop/lantern/do')).toEqual([0, 1000]);
    const [first, second] = s.heard('prop/lantern/do', at);
    expect(second).toEqual(first);
    expect(times('prop/lantern/halt').slice(0, 4)).toEqual([2000, 2250, 2500, 2750]);
    expect(times('stop')[0]).toBe(3000);
    expect(s.fault('lantern')!.code).toBe('dead-halt');
  });

  it('4: the board’s own limit and the desk’s are one fault', async () => {
    const s = openYard();
    await s.run('crossing');
    s.advance('2 s').standin('jam ferry').advance('9 s');
    expect(s.fault('ferry')).toMatchObject({ code: 'travel-slow', limitMs: 10_000 });
    expect(s.lines('lockout-raised')).toHaveLength(1);
  });

  it('5: an until move has arrived at its sensor, and its prop is at rest only at its board’s word', async () => {
    const s = openYard(['needs: [ferry.far], load', 'needs: [ferry.far, ferry at rest], load']);
    await s.run('crossing');
    s.await('it has arrived', () => s.prop('ferry').at === 'far', '8 s').advance('100 ms');
    expect(s.heard('prop/ferryman/do')).toHaveLength(1);
  });

  it('6: a new session in mid-run that nothing explains fails the run, and its position is what its sensors say', async () => {
    const s = openYard();
    await s.run('crossing');
    s.advance('3 s').standin('reboot ferry-board').advance('2 s');
    s.expectLine('run-failed', /The crossing/).expectProp('ferry', { state: 'unknown', at: null });
    const orders = s.r.bus.orders;
    s.advance('5 min');
    expect(s.r.bus.orders).toBe(orders);
  });

  it('7: a stop out at once, again every 100 ms for 2 s and then every second, until all answer; those that do not are named', async () => {
    const s = openYard();
    await s.run('crossing');
    s.advance('3 s').standin('cut bell').advance('10 ms');
    const at = now(s);
    s.stop('ann');
    s.advance('5 ms');
    expect(s.driven('ferry')).toBe(false);
    s.advance('4045 ms');
    expect(s.moves('ferry')).toBe(false);
    const times = s.said.filter((m) => m.topic === 'stop' && m.at >= at).map((m) => m.at - at - 2);
    expect(times.slice(0, 4)).toEqual([0, 100, 200, 300]);
    expect(times.slice(-3)).toEqual([2000, 3000, 4000]);
    expect(s.said.find((m) => m.topic === 'stop' && m.at >= at)).toMatchObject({
      payload: { latched: true, n: 1 },
      retain: true,
    });
    expect(s.picture().stop).toMatchObject({ latched: true, n: 1, silent: ['bell'] });
    expect(s.heard('heartbeat', at + 500).every((b) => b.stop === 1)).toBe(true);
    const orders = s.r.bus.orders;
    s.standin('mend bell').advance('5 s');
    expect(s.picture().stop.silent).toEqual([]);
    expect(s.r.bus.orders).toBe(orders);
  });

  it('8: latched by a stop on the bus or in a link above all that is cleared; its next number is above them all', async () => {
    const s = openYard();
    s.say('stop', { latched: true, n: 7, desk: 'other', epoch: 1 }).advance('1 s').expectMode('stopped');
    expect(s.picture().stop.n).toBe(7);
    expect(await s.clear()).toEqual([]);
    s.say('stop', { latched: true, n: 5, desk: 'other', epoch: 1 }).advance('1 s').expectMode('held');
    const { session, first } = s.r.desk.show.controllers.bell!;
    s.say('controller/bell/link', { ...LINK, session, first, props: ['bell'], stop: 12 }).advance('1 s');
    s.expectMode('stopped');
    expect(s.picture().stop.n).toBe(12);
    expect(await s.clear()).toEqual([]);
    s.stop();
    expect(s.picture().stop.n).toBe(13);
  });

  it('9: a station pressed, or not heard, is a stop; pressed while stopped the number stays', async () => {
    const s = new Script(withGate()).untilOpen();
    await s.run('crossing');
    s.advance('3 s').standin('hold gate.button').advance('20 ms').expectMode('stopped');
    expect(s.driven('ferry')).toBe(false);
    s.standin('release gate.button').advance('500 ms').standin('press gate.button').advance('1 s');
    expect(s.picture().stop.n).toBe(1);
    expect(await s.clear()).toEqual([]);
    s.standin('silence gate').advance('1500 ms').expectMode('stopped');
    expect(s.picture().stop.n).toBe(2);
    expect(await s.clear()).toEqual(['station-silent']);
  });

  it('9: from the start to its first reading nothing moves, ten seconds at most', () => {
    const s = new Script(withGate(), { early: '5 s' });
    s.expectMode('closed')
      .until(OPEN_MS - 30_000 + 50)
      .expectMode('opening');
  });

  it('10: on connecting again: `desk`, `stop` as it stands, `announce`, then the heartbeat', async () => {
    const s = openYard();
    s.stop();
    s.advance('1 s');
    expect(await s.clear()).toEqual([]);
    s.r.bus.connected = false;
    s.r.desk.tell({ kind: 'busLost' });
    s.advance('3 s');
    const at = now(s);
    s.r.bus.connected = true;
    s.r.desk.tell({ kind: 'busConnected' });
    s.advance('400 ms');
    const topics = s.said.filter((m) => m.at > at).map((m) => m.topic);
    expect(topics.slice(0, 3)).toEqual(['desk', 'stop', 'announce']);
    expect(topics.indexOf('heartbeat')).toBeGreaterThan(2);
    expect(s.heard('stop', at)[0]).toMatchObject({ latched: false, n: 1 });
    expect(s.heard('desk', at)[0]).toMatchObject({ up: true, epoch: 1 });
    // its own late will is said over
    const before = s.heard('desk').length;
    const word = s.heard('desk', at)[0]!.desk;
    s.say('desk', { up: false, desk: word, epoch: 1 }, true).advance('100 ms');
    expect(s.heard('desk').length).toBe(before + 2);
  });

  it('11: whatever is malformed, unknown or retained where it may not be is dropped and counted, and changes nothing', () => {
    const s = openYard();
    const before = s.r.desk.show;
    const { session } = before.controllers['ferry-board']!;
    const did = { prop: 'ferry', run: 'x', step: 0, move: 'out', is: 'started', session };
    for (const [topic, payload, retained] of [
      ['prop/ferry/sense/near', { prop: 'ferry', made: 'yes', session, n: 9 }, false],
      ['prop/ferry/sense/near', { prop: 'hatch', made: false, session, n: 9 }, false],
      ['prop/ferry/sense/middle', { prop: 'ferry', made: true, session, n: 9 }, false],
      ['prop/kraken/sense/eye', { prop: 'kraken', made: true, session, n: 9 }, false],
      ['prop/ferry/did', did, true],
      ['prop/ferry/did', { ...did, move: 'fly' }, false],
      ['controller/kraken/link', { ...LINK, session: 'k', first: 'k', props: ['ferry'] }, false],
      ['controller/bell/link', { ...LINK, session: 7 }, false],
      ['stop', { latched: true, n: -1, desk: 'x', epoch: 1 }, false],
      ['no/such/topic', {}, false],
    ] as const)
      s.say(topic, payload, retained);
    expect(s.r.desk.counts.dropped).toBe(10);
    expect(s.r.desk.show.props).toBe(before.props);
    expect(s.r.desk.show.mode).toBe('open');
  });
});

describe('The rules of the bus', () => {
  it('an equal epoch with a greater word makes it stand down; it begins anew, above, when that is silent', () => {
    const s = openYard();
    const say = () => s.say('heartbeat', { desk: 'zzzz', epoch: 1, n: 1, silenceMs: 1000, stop: 0 });
    for (let i = 0; i < 8; i++) say().advance('250 ms');
    s.expectMode('held');
    const at = now(s);
    say().advance('1 s');
    expect(s.said.filter((m) => m.at > at + 300 && m.topic === 'heartbeat')).toEqual([]);
    expect(s.picture().bus.standsDown).toMatch(/zzzz/);
    s.advance('2 s');
    expect(s.picture().bus).toMatchObject({ epoch: 2, standsDown: null });
    s.advance('2 s').expectProp('ferry', { state: 'ready', at: 'near' });
  });

  it('a trigger is a live change in one session: the first word after a reconnect is none', () => {
    const s = openYard();
    s.standin('hold path-mat.step').advance('100 ms');
    s.expectLine('run-started', /On the porch/);
    s.advance('1 min').standin('reboot path-mat').advance('3 s');
    expect(s.lines('run-started')).toHaveLength(1);
    expect(s.lines('trigger-refused')).toEqual([]);
  });
});

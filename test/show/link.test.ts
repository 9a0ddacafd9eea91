import { describe, expect, it } from 'vitest';
import { isLive, reading } from '../../server/show/interlock.ts';
import { atHome, type Hand, linked, opened, started } from './hand.ts';
import { landing } from './landing.ts';

const yard = landing();
const C = 'ferry-board';
const STATES = ['never', 'live', 'silent', 'down'] as const;
type State = (typeof STATES)[number];

function stateOf(hand: Hand): State {
  const link = hand.show.controllers[C]!;
  if (isLive(hand.show, C, hand.at)) return 'live';
  if (link.session === null) return 'never';
  return link.up ? 'silent' : 'down';
}

const IN: Readonly<Record<State, () => Hand>> = {
  never: () => started(yard),
  live: () => linked(yard),
  silent: () => linked(yard).hush(C).advance('1200 ms'),
  down: () => linked(yard).will(C),
};

const will = (hand: Hand, session: string) =>
  hand.take({ kind: 'linkHeard', controller: C, up: false, session, retained: false });
const beat = (hand: Hand, session: string, at = hand.at) =>
  hand.take({ kind: 'beatsHeard', beats: [[C, session, at]] });

const EVENTS: Readonly<Record<string, (hand: Hand) => unknown>> = {
  'a link': (h) => h.link(C),
  'a link, retained': (h) => h.link(C, { retained: true }),
  'the same link again': (h) => h.link(C, { same: true }),
  'its will': (h) => will(h, h.session(C)),
  'the will of an older connection': (h) => will(h, 'ferry-board-old'),
  'a beat': (h) => beat(h, h.session(C)),
  'a beat that is a second and a half old': (h) => beat(h, h.session(C), h.at - 1500),
  'a beat of another session': (h) => beat(h, 'stranger'),
  'a reading': (h) => h.sense('ferry.near', true),
  'a reading, retained': (h) => h.sense('ferry.near', true, { retained: true }),
  'a reading of another session': (h) => h.sense('ferry.near', true, { session: 'stranger' }),
  'word of a move': (h) => h.says('ferry', 'halted'),
  '1.2 s of silence': (h) => h.hush(C).advance('1200 ms'),
};

const TO: Readonly<Record<State, Readonly<Partial<Record<keyof typeof EVENTS, State>>>>> = {
  never: {
    'a link': 'live',
    // it tells of a session; only something live tells that it still stands
    'a link, retained': 'silent',
    'the same link again': 'live',
  },
  live: { 'its will': 'down', '1.2 s of silence': 'silent' },
  silent: {
    'a link': 'live',
    'the same link again': 'live',
    'its will': 'down',
    'a beat': 'live',
    'a reading': 'live',
    'word of a move': 'live',
  },
  down: { 'a link': 'live', 'a link, retained': 'silent', 'the same link again': 'live' },
};

describe('the life of a link', () => {
  for (const state of STATES)
    for (const [name, bring] of Object.entries(EVENTS)) {
      const to = TO[state][name] ?? state;
      it(`${state}, ${name}: ${to === state ? 'stays' : to}`, () => {
        const hand = IN[state]();
        expect(stateOf(hand)).toBe(state);
        bring(hand);
        expect(stateOf(hand)).toBe(to);
      });
    }
});

describe('a link', () => {
  it('is live for as long as the silence since it was last heard, and no longer', () => {
    const hand = linked(yard).hush(C);
    const heard = hand.show.controllers[C]!.heardAt;
    expect(isLive(hand.show, C, heard + 1000)).toBe(true);
    expect(isLive(hand.show, C, heard + 1001)).toBe(false);
  });

  it('of a new session voids readings, positions and the move under way', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started');
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(true);
    hand.link(C);
    const { flight, known, sensors } = hand.prop('ferry');
    expect([flight, known, sensors]).toEqual([null, false, {}]);
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(null);
  });

  it('retained, of another session, displaces no live one; nor does one that had been replaced', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started');
    const before = hand.session(C);
    hand.link(C, { retained: true });
    expect(hand.show.controllers[C]!.session).toBe(before);
    expect(hand.flight('ferry').lost).toBe(null);
  });

  it('retained, still tells of a stop that we do not know to be cleared', () => {
    const hand = opened(yard);
    hand.link(C, { retained: true, stop: 7 });
    expect([hand.mode, hand.show.stop.n]).toEqual(['stopped', 7]);
  });

  it('retained, never lets anything move: its session has not been heard to stand', () => {
    const hand = started(yard);
    hand.link(C, { retained: true });
    for (const s of ['near', 'far']) hand.sense(`ferry.${s}`, s === 'near', { retained: true });
    for (const id of yard.controllers.keys()) if (id !== C) hand.link(id);
    expect(hand.press('ferry', 'out')).toMatchObject([{ code: 'silent', prop: 'ferry' }]);
    hand.take({ kind: 'beatsHeard', beats: [[C, hand.session(C), hand.at]] });
    expect(hand.press('ferry', 'out')).toBe(null);
  });

  it('back in the same session after its will was late counts again, and what was heard of it too', () => {
    const hand = linked(yard).will(C);
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(null);
    hand.link(C, { same: true });
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(true);
  });

  it('that counts again shows both ends at once if that is what was heard meanwhile', () => {
    const hand = linked(yard).will(C);
    hand.sense('ferry.far', true);
    expect(hand.fault('ferry')).toBe(null);
    hand.link(C, { same: true });
    expect(hand.fault('ferry')?.code).toBe('both-ends');
  });

  it('drops a reading whose count is lower than the last of its session', () => {
    const hand = linked(yard);
    hand.sense('ferry.near', false, { count: 9 }).sense('ferry.near', true, { count: 8 });
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(false);
    hand.link(C).sense('ferry.near', true, { count: 1 });
    expect(reading(hand.show, 'ferry', 'near', hand.at)).toBe(true);
  });

  it('of a session not held as live is asked who it is, at most once a second', () => {
    const hand = linked(yard).advance('2 s').fresh();
    for (let i = 0; i < 21; i++) {
      beat(hand, 'stranger');
      hand.advance('100 ms');
    }
    expect(hand.kinds('announce')).toHaveLength(3);
  });

  it('a new session in mid-run is link-lost, but not where a stop or the desk’s own silence explains it', () => {
    const own = opened(yard);
    own.run('crossing');
    own.says('ferry', 'started').link(C);
    expect(own.lines('run-failed')).toMatchObject([{ reason: { prop: 'ferry', fault: 'link-lost' } }]);

    const stalled = opened(yard);
    stalled.run('crossing');
    stalled.says('ferry', 'started').take({ kind: 'loopStalled', forMs: 900 });
    stalled.link(C);
    expect(stalled.lines('lockout-raised')).toEqual([]);
    expect(stalled.lines('run-abandoned')).toMatchObject([{ reason: { for: { code: 'desk-silent' } } }]);

    const stopped = opened(yard);
    stopped.run('crossing');
    stopped.says('ferry', 'started').stop().link(C, { stop: 1 });
    expect(stopped.lines('lockout-raised')).toEqual([]);
  });

  it('a stall counts as silence of the desk with the age that a heartbeat may have had', () => {
    // heartbeats leave every 250 ms: 751 ms of standing still may be 1001 ms of silence at a board
    for (const [forMs, excused] of [
      [749, false],
      [751, true],
    ] as const) {
      const hand = opened(yard);
      hand.run('crossing');
      hand.says('ferry', 'started').take({ kind: 'loopStalled', forMs });
      hand.link(C);
      expect([forMs, hand.lines('lockout-raised').length === 0]).toEqual([forMs, excused]);
    }
  });

  it('asks every board for its readings where a fault may come of a word that was lost, at most once a second', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far').says('ferry', 'done');
    hand.says('ferryman', 'started').says('ferryman', 'done');
    // it goes back, and the word that it has come there is thrown away on its way
    hand.says('ferry', 'started').sense('ferry.far', false);
    hand.fresh().advance('11200 ms').says('ferry', 'halted').advance('10 s');
    expect(hand.lines('lockout-raised')).toMatchObject([{ reason: { fault: { code: 'travel-slow' } } }]);
    expect(hand.kinds('announce')).toHaveLength(1);
    hand.link(C, { same: true }).sense('ferry.near', true);
    expect(hand.prop('ferry').sensors).toMatchObject({ near: { made: true }, far: { made: false } });
    expect(hand.lines('lockout-raised')).toHaveLength(1);
  });

  it('a stall judges no need, neither in the core nor in its check; what was heard meanwhile comes first', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far').says('ferry', 'done');
    hand.says('ferryman', 'started');
    // the ferry, which the ferryman needs, was not heard for a while when the loop stood still for a moment
    hand.hush(C).advance(yard.bus.silenceMs - 300);
    hand.at += 500;
    hand.fresh().take({ kind: 'loopStalled', forMs: 500 });
    expect(hand.kinds('haltProp')).toEqual([]);
    hand.take({ kind: 'beatsHeard', beats: [[C, hand.session(C), hand.at]] });
    expect(hand.kinds('haltProp')).toEqual([]);
    expect(hand.prop('ferryman').flight).toMatchObject({ halting: null, lost: null });
  });

  it('the bus away and back faults nothing: runs are abandoned, moves let go, and all goes on', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started');
    hand.take({ kind: 'busLost' });
    for (const id of yard.controllers.keys()) hand.hush(id);
    hand.advance('5 s').take({ kind: 'busConnected' });
    hand.advance('100 ms');
    for (const id of yard.controllers.keys()) hand.link(id);
    hand.sense('ferry.far', true).sense('ferry.near', false);
    atHome(hand, ['hatch', 'path-mat']);
    hand.advance('1 s');
    expect(hand.lines('lockout-raised')).toEqual([]);
    expect([hand.mode, hand.show.runs, hand.prop('ferryman').flight]).toEqual(['open', [], null]);
    expect(hand.lines('run-abandoned')).toMatchObject([{ reason: { for: { code: 'no-bus' } } }]);
  });

  it('lost for a moment by the desk, a move whose need can’t be seen is halted, and nobody is to blame', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started');
    hand.take({ kind: 'busLost' });
    hand.advance('100 ms').take({ kind: 'busConnected' });
    hand.fresh().link(C);
    expect(hand.halts).toContain('ferryman');
    expect(hand.lines('lockout-raised')).toEqual([]);
  });
});

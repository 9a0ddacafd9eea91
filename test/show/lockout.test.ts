import { describe, expect, it } from 'vitest';
import { type Hand, linked, opened } from './hand.ts';
import { landing } from './landing.ts';

const yard = landing();
const STATES = ['well', 'locked out', 'seen', 'until the stop is answered'] as const;
type State = (typeof STATES)[number];

function stateOf(hand: Hand): State {
  const lockout = hand.prop('ferry').lockout;
  if (!lockout) return 'well';
  if (lockout.untilStop !== null) return 'until the stop is answered';
  return lockout.acknowledged ? 'seen' : 'locked out';
}

const IN: Readonly<Record<State, () => Hand>> = {
  well: () => opened(yard),
  'locked out': () => opened(yard).sense('ferry.near', false),
  seen: () => {
    const hand = IN['locked out']();
    hand.ask({ kind: 'acknowledged', by: 'ann', prop: 'ferry' });
    return hand;
  },
  'until the stop is answered': () => {
    const hand = opened(yard).stop();
    for (const id of yard.controllers.keys())
      if (id !== 'ferry-board') hand.link(id, { stop: hand.show.stop.n });
    hand.clear();
    return hand;
  },
};

const EVENTS: Readonly<Record<string, (hand: Hand) => unknown>> = {
  'seen by a person': (h) => h.ask({ kind: 'acknowledged', by: 'ann', prop: 'ferry' }),
  'released by a person': (h) => h.release('ferry'),
  'taken out by a person': (h) => h.lockout('ferry'),
  'both ends made': (h) => h.sense('ferry.near', true).sense('ferry.far', true),
  'its end comes back': (h) => h.sense('ferry.near', true),
  'a new session': (h) => h.link('ferry-board'),
  'an answer to that stop': (h) =>
    h.take({
      kind: 'stoppedHeard',
      controller: 'ferry-board',
      stop: Math.max(1, h.show.stop.n),
      session: h.session('ferry-board'),
      safe: true,
    }),
  'an answer that is not safe': (h) =>
    h.take({
      kind: 'stoppedHeard',
      controller: 'ferry-board',
      stop: Math.max(1, h.show.stop.n),
      session: h.session('ferry-board'),
      safe: false,
    }),
  'a link that obeyed that stop': (h) => h.link('ferry-board', { stop: h.show.stop.clearedN }),
  'a minute': (h) => h.advance('1 min'),
  'a restart': (h) =>
    h.take({
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      stop: h.show.stop.n,
      cleared: h.show.stop.clearedN,
      night: h.show.night,
    }),
};

const TO: Readonly<Record<State, Readonly<Partial<Record<keyof typeof EVENTS, State>>>>> = {
  well: { 'taken out by a person': 'locked out', 'both ends made': 'locked out' },
  'locked out': { 'seen by a person': 'seen', 'released by a person': 'well' },
  // a fault that says more than the one that was seen has not been seen
  seen: {
    'released by a person': 'well',
    'taken out by a person': 'locked out',
    'both ends made': 'locked out',
  },
  'until the stop is answered': {
    // a fault of its own stays when the answer comes
    'both ends made': 'locked out',
    'an answer to that stop': 'well',
    // it was off: its outputs are, and of that stop nobody will ever tell it
    'a new session': 'well',
    'a link that obeyed that stop': 'well',
  },
};

describe('the life of a lockout', () => {
  for (const state of STATES)
    for (const [name, bring] of Object.entries(EVENTS)) {
      const to = TO[state][name] ?? state;
      it(`${state}, ${name}: ${to === state ? 'stays' : to}`, () => {
        const hand = IN[state]().fresh();
        expect(stateOf(hand)).toBe(state);
        bring(hand);
        expect(stateOf(hand)).toBe(to);
        expect(hand.moves).toEqual([]);
      });
    }
});

describe('a lockout', () => {
  it('outlives a start of the yard computer with all that it said', () => {
    const hand = IN['locked out']();
    const before = hand.prop('ferry').lockout;
    EVENTS['a restart']!(hand);
    expect(hand.prop('ferry').lockout).toEqual(before);
  });

  it('is not released on what the person has not seen: a newer fault or stop in between refuses it', () => {
    const hand = IN['locked out']();
    const seen = hand.show.n;
    expect(hand.release('ferry', seen - 1)).toEqual([{ code: 'newer-trouble', prop: 'ferry' }]);
    // trouble of another prop is trouble too
    hand.sense('hatch.shut', false);
    expect(hand.fault('hatch')?.code).toBe('end-lost');
    expect(hand.release('ferry', seen)).toEqual([{ code: 'newer-trouble', prop: null }]);
    expect(hand.release('ferry', hand.show.n)).toBe(null);
  });

  it('by a person stands beside any fault, and is left when that one goes with its first or with an answer', () => {
    const waiting = IN['until the stop is answered']();
    expect(waiting.release('ferry')).toEqual([{ code: 'not-answered', prop: 'ferry' }]);
    expect(waiting.lockout('ferry')).toBe(null);
    EVENTS['an answer to that stop']!(waiting);
    expect(waiting.fault('ferry')).toMatchObject({ code: 'by-hand' });
    expect(waiting.release('ferry')).toBe(null);
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').sense('ferry.far', false).says('ferryman', 'halted');
    expect(hand.fault('ferryman')).toMatchObject({ code: 'interlock-lost', first: 'ferry' });
    expect(hand.lockout('ferryman')).toBe(null);
    expect(hand.release('ferry')).toBe(null);
    expect(hand.fault('ferryman')).toMatchObject({ code: 'by-hand' });
  });

  it('by a person is not lost where the board does not answer its halt', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').sense('ferry.near', false);
    expect(hand.lockout('ferry')).toBe(null);
    hand.advance('1100 ms');
    expect(hand.fault('ferry')?.code).toBe('dead-halt');
    expect(hand.prop('ferry').lockout?.hand).not.toBe(null);
  });

  it('of a prop that is well can’t be released or seen', () => {
    const hand = opened(yard);
    expect(hand.release('ferry')).toEqual([{ code: 'not-locked-out', prop: 'ferry' }]);
    expect(hand.ask({ kind: 'acknowledged', by: 'ann', prop: 'ferry' })).toEqual([
      { code: 'not-locked-out', prop: 'ferry' },
    ]);
  });

  it('is raised once: a second fault changes neither its text nor its time, unless it says more', () => {
    const hand = opened(yard).sense('ferry.near', false).advance('1 s');
    expect(hand.fault('ferry')?.code).toBe('end-lost');
    hand.sense('ferry.near', true).sense('ferry.far', true);
    // within 2 s of it, both ends at once is what it was the beginning of
    expect(hand.fault('ferry')?.code).toBe('both-ends');
    const at = hand.fault('ferry')!.at;
    hand.advance('3 s').sense('ferry.far', false).sense('ferry.far', true);
    expect(hand.fault('ferry')).toMatchObject({ code: 'both-ends', at });
  });

  it('under another’s fault goes with it, but not where it has trouble of its own by now', () => {
    const hand = opened(landing(['needs: [ferry.far], load', 'needs: [ferry.far, hatch at rest], load']));
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').sense('ferry.far', false);
    expect([hand.fault('ferry')?.code, hand.fault('ferryman')?.first]).toEqual(['end-lost', 'ferry']);
    hand.says('ferryman', 'halted');
    expect(hand.release('ferryman')).toEqual([{ code: 'follows-other', prop: 'ferryman', first: 'ferry' }]);
    expect(hand.release('ferry')).toBe(null);
    expect([hand.fault('ferry'), hand.fault('ferryman')]).toEqual([null, null]);
  });

  it('is never released with another while its own two ends are made', () => {
    const two = landing(
      [
        '  hatch:\n    title: Cellar hatch\n    sensors: {shut: end}',
        '  hatch:\n    title: Cellar hatch\n    sensors: {shut: end, up: end}',
      ],
      [
        'needs: [ferryman at rest], load: {dock: {run: 2 A, surge: 5 A for 400 ms}}}\n      back',
        'needs: [hatch.shut], load: {dock: {run: 2 A, surge: 5 A for 400 ms}}}\n      back',
      ],
    );
    const hand = opened(two);
    hand.run('crossing');
    hand.says('ferry', 'started').sense('ferry.near', false).advance('1 s');
    // the hatch is pushed open: the ferry, which needs it shut, is halted under its fault
    hand.sense('hatch.shut', false);
    expect([hand.fault('hatch')?.code, hand.fault('ferry')?.first]).toEqual(['end-lost', 'hatch']);
    hand.says('ferry', 'halted').sense('ferry.near', true).sense('ferry.far', true);
    expect(hand.release('hatch')).toBe(null);
    expect(hand.fault('ferry')).toMatchObject({ code: 'interlock-lost' });
    expect(hand.fault('ferry')!.first).toBe(undefined);
    expect(hand.release('ferry')).toMatchObject([{ code: 'still-contradicts' }]);
    hand.sense('ferry.far', false);
    expect(hand.release('ferry')).toBe(null);
  });

  it('by hand is refused of a stop station, which no lockout ever disables', () => {
    const gate = linked(
      landing([
        '  path-mat: {title',
        '  gate: {title: Gate, kind: stop-station, sensors: {button: plain}}\n  path-mat: {title',
      ]),
    );
    expect(gate.lockout('gate')).toEqual([{ code: 'station-cannot', prop: 'gate' }]);
  });

  it('bars the scenes of its prop and no others', () => {
    const hand = IN['locked out']();
    expect(hand.run('crossing')).toMatchObject([{ code: 'locked-out', prop: 'ferry', fault: 'end-lost' }]);
    expect(hand.run('porch-scare')).toBe(null);
  });
});

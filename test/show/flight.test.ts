import { describe, expect, it } from 'vitest';
import { isPropLive } from '../../server/show/interlock.ts';
import { type Hand, opened } from './hand.ts';
import { landing } from './landing.ts';

/*
 * The life of a move, walked whole: in each state, each thing that a board, a person or time can bring. The ferry is told
 * to go out by a scene; its usual time is 6 s and its limit 10 s.
 */

const yard = landing();
const STATES = ['told', 'moving', 'arrived', 'halting', 'silent', 'back', 'let-go', 'at rest'] as const;
type State = (typeof STATES)[number];

function stateOf(hand: Hand): State {
  const f = hand.prop('ferry').flight;
  if (!f) return 'at rest';
  if (f.lost === 'let-go') return 'let-go';
  if (f.halting) return 'halting';
  if (f.lost) return isPropLive(hand.show, 'ferry', hand.at) ? 'back' : 'silent';
  if (f.arrivedAt !== null) return 'arrived';
  return f.countFrom === null ? 'told' : 'moving';
}

const IN: Readonly<Record<State, () => Hand>> = {
  told: () => {
    const hand = opened(yard);
    hand.run('crossing');
    return hand.fresh();
  },
  moving: () => {
    const hand = IN.told().says('ferry', 'started').sense('ferry.near', false);
    return hand.advance('3 s').fresh();
  },
  arrived: () => IN.moving().sense('ferry.far', true).fresh(),
  halting: () => {
    const hand = IN.moving();
    hand.lockout('ferry');
    return hand.fresh();
  },
  silent: () => IN.moving().hush('ferry-board').advance('1200 ms').fresh(),
  back: () => {
    const hand = IN.silent();
    hand.beating.add('ferry-board');
    return hand.advance('300 ms').fresh();
  },
  'let-go': () => IN.moving().stop().fresh(),
  'at rest': () => opened(yard),
};

const EVENTS: Readonly<Record<string, (hand: Hand) => unknown>> = {
  started: (h) => h.says('ferry', 'started'),
  done: (h) => h.says('ferry', 'done'),
  failed: (h) => h.says('ferry', 'failed', { why: 'driver' }),
  halted: (h) => h.says('ferry', 'halted'),
  refused: (h) => h.says('ferry', 'refused', { why: 'busy' }),
  'near lost': (h) => h.sense('ferry.near', false),
  'far made': (h) => h.sense('ferry.far', true),
  'done, of another run': (h) => h.says('ferry', 'done', { run: 'other' }),
  'done, in another session': (h) => h.says('ferry', 'done', { session: 'stranger' }),
  'halted, of another run': (h) => h.says('ferry', 'halted', { run: 'other' }),
  'a new session': (h) => h.link('ferry-board'),
  'its will': (h) => h.will('ferry-board'),
  '1.2 s of silence': (h) => h.hush('ferry-board').advance('1200 ms'),
  'a stop': (h) => h.stop(),
  'an answer to a stop': (h) =>
    h.take({
      kind: 'stoppedHeard',
      controller: 'ferry-board',
      stop: Math.max(1, h.show.stop.n),
      session: 'ferry-board-1',
      safe: true,
    }),
  'out of service by hand': (h) => h.lockout('ferry'),
  '1 s': (h) => h.advance('1 s'),
  '3 s': (h) => h.advance('3 s'),
  '12 s': (h) => h.advance('12 s'),
};

/** Where each leads; what a row does not name changes nothing. */
const TO: Readonly<Record<State, Readonly<Partial<Record<keyof typeof EVENTS, State>>>>> = {
  told: {
    started: 'moving',
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'near lost': 'moving',
    // near is still made: both ends at once
    'far made': 'halting',
    'a new session': 'at rest',
    'its will': 'silent',
    '1.2 s of silence': 'silent',
    'a stop': 'let-go',
    'out of service by hand': 'halting',
    // told again at 1 s, halted at 2 s; no answer to that by 3 s stops the yard
    '3 s': 'let-go',
    '12 s': 'let-go',
  },
  moving: {
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'far made': 'arrived',
    'a new session': 'at rest',
    'its will': 'silent',
    '1.2 s of silence': 'silent',
    'a stop': 'let-go',
    'out of service by hand': 'halting',
    '12 s': 'let-go',
  },
  arrived: {
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'a new session': 'at rest',
    'its will': 'silent',
    '1.2 s of silence': 'silent',
    'a stop': 'let-go',
    'out of service by hand': 'halting',
    // the ferryman was told to row meanwhile, and does not answer even his halt
    '3 s': 'let-go',
    '12 s': 'let-go',
  },
  halting: {
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    // at rest already, it names another move or none
    'halted, of another run': 'at rest',
    refused: 'at rest',
    'a new session': 'at rest',
    '1.2 s of silence': 'let-go',
    'a stop': 'let-go',
    '1 s': 'let-go',
    '3 s': 'let-go',
    '12 s': 'let-go',
  },
  // its own word in its own session is heard again
  silent: {
    started: 'back',
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'near lost': 'back',
    'far made': 'back',
    'done, of another run': 'back',
    'halted, of another run': 'back',
    'a new session': 'at rest',
    'a stop': 'let-go',
  },
  back: {
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'a new session': 'at rest',
    'its will': 'silent',
    '1.2 s of silence': 'silent',
    'a stop': 'let-go',
    'out of service by hand': 'halting',
    // past its limit it is halted like any other, and not answering that stops the yard
    '12 s': 'let-go',
  },
  'let-go': {
    done: 'at rest',
    failed: 'at rest',
    halted: 'at rest',
    refused: 'at rest',
    'a new session': 'at rest',
    'an answer to a stop': 'at rest',
  },
  'at rest': {},
};

describe('the life of a move', () => {
  for (const state of STATES) {
    for (const [name, bring] of Object.entries(EVENTS)) {
      const to = TO[state][name] ?? state;
      it(`${state}, ${name}: ${to === state ? 'stays' : to}`, () => {
        const hand = IN[state]();
        expect(stateOf(hand)).toBe(state);
        bring(hand);
        expect(stateOf(hand)).toBe(to);
        // whatever came, nothing but the second try of the same order went out to the ferry
        const again = hand.orders.filter((o) => o.prop === 'ferry');
        const second = state === 'told' && ['1 s', '3 s', '12 s', '1.2 s of silence'].includes(name);
        expect(again.map((o) => [o.move, o.step])).toEqual(second ? [['out', 0]] : []);
      });
    }
  }
});

describe('a move', () => {
  it('is told at 0 and, unanswered, once more at 1 s with the same run and step; at 2 s it is halted', () => {
    const hand = IN.told();
    const at = hand.at;
    const first = hand.flight('ferry');
    hand.advance('999 ms');
    expect(hand.orders).toEqual([]);
    hand.advance('1 ms');
    expect(hand.orders).toHaveLength(1);
    expect(hand.orders[0]).toMatchObject({ prop: 'ferry', run: first.run, step: first.step, move: 'out' });
    hand.advance('999 ms');
    expect(hand.halts).toEqual([]);
    hand.advance('1 ms');
    expect([hand.at - at, hand.halts, hand.fault('ferry')?.code]).toEqual([2000, ['ferry'], 'no-answer']);
    expect(hand.orders).toHaveLength(1);
  });

  it('is not told again in another session, under a need that went away, or while the record fails', () => {
    const other = IN.told();
    other.link('ferry-board').advance('1500 ms');
    expect(other.orders).toEqual([]);
    const failing = IN.told();
    failing.take({ kind: 'recordFailed', why: 'disk full' });
    failing.advance('1500 ms');
    expect(failing.orders).toEqual([]);
  });

  it('is told again though it has left its end by then: only the board’s word is missing', () => {
    const hand = IN.told().sense('ferry.near', false).advance('1100 ms');
    expect(hand.moves).toEqual(['ferry.out']);
  });

  it('counts its limit from the first of started and an edge, and waits a second more', () => {
    const hand = IN.told();
    hand.advance('500 ms').sense('ferry.near', false);
    hand.advance('300 ms').says('ferry', 'started');
    hand.advance(11_000 - 301);
    expect(hand.fault('ferry')).toBe(null);
    hand.advance('1 ms');
    expect(hand.fault('ferry')).toMatchObject({
      code: 'travel-slow',
      tookMs: 11_000,
      limitMs: 10_000,
      leftAt: hand.at - 11_000,
    });
  });

  it('that arrived but never said done is a fault of its own, since its prop is not at rest', () => {
    const hand = IN.arrived();
    // the ferryman may row meanwhile, since the ferry has arrived
    hand.says('ferryman', 'started').advance('5 s');
    expect(hand.fault('ferry')).toBe(null);
    hand.advance('3 s');
    expect(hand.fault('ferry')).toMatchObject({ code: 'failed', why: 'arrived but never said done' });
  });

  it('is halted anew every 250 ms until it answers', () => {
    const hand = IN.moving();
    hand.lockout('ferry');
    hand.advance('740 ms');
    expect(hand.halts).toEqual(['ferry', 'ferry', 'ferry']);
    hand.says('ferry', 'halted').advance('1 s');
    expect(hand.halts).toHaveLength(3);
    expect(hand.mode).toBe('open');
  });

  it('lost with its link and never begun is halted 2 s after the link is back, and locks nothing out', () => {
    const hand = IN.told();
    hand.hush('ferry-board').advance('1500 ms');
    hand.beating.add('ferry-board');
    hand.advance('250 ms').fresh().advance('2 s');
    expect(hand.halts).toEqual(['ferry']);
    // the board never heard of this run: it names none
    hand.says('ferry', 'halted', { run: '', step: 0, move: '' });
    expect([hand.prop('ferry').flight, hand.fault('ferry'), hand.mode]).toEqual([null, null, 'open']);
  });

  it('of a locked-out prop is halted when its link is back in the same session', () => {
    const hand = IN.silent();
    // taken out of service a moment before its board is heard again
    hand.take({
      kind: 'linkHeard',
      controller: 'hatch',
      up: true,
      session: hand.session('hatch'),
      first: hand.session('hatch'),
      props: ['hatch', 'ferry'],
      stop: 0,
      epoch: 1,
      retained: false,
    });
    expect(hand.fault('ferry')?.code).toBe('two-boards');
    // a board that can't be heard is told once and not waited for
    expect(hand.halts).toEqual(['ferry']);
    hand.advance('3 s');
    expect(hand.mode).toBe('open');
    hand.fresh().beating.add('ferry-board');
    hand.advance('300 ms');
    expect(hand.halts).toEqual(['ferry', 'ferry']);
  });

  it('counts at its draw while its board is silent, until it links again or a person locks it out', () => {
    // 2 A standing, 4 A of compressor, 2 A of the ferry and 1 A of the lantern; of 11 A, 8.8 A may flow for long
    const hand = opened(landing(['breaker: 15 A', 'breaker: 11 A']));
    hand.run('crossing');
    hand.says('ferry', 'started').sense('ferry.near', false);
    // long after it must have arrived by all that is expected
    hand.hush('ferry-board').advance('30 s');
    expect(hand.flight('ferry').lost).toBe('silent');
    expect(hand.run('lanterns-up')).toMatchObject([
      { code: 'circuit', circuit: 'dock', amps: 9, limitAmps: 8.8 },
    ]);
    expect(hand.lockout('ferry')).toBe(null);
    expect(hand.run('lanterns-up')).toBe(null);
    const back = opened(landing(['breaker: 15 A', 'breaker: 11 A']));
    back.run('crossing');
    back.says('ferry', 'started').sense('ferry.near', false);
    back.hush('ferry-board').advance('30 s').link('ferry-board');
    expect(back.run('lanterns-up')).toBe(null);
  });

  it('of a prop that is locked out already stops counting too when a person locks it out again', () => {
    const hand = IN.silent();
    hand.take({
      kind: 'linkHeard',
      controller: 'hatch',
      up: true,
      session: hand.session('hatch'),
      first: hand.session('hatch'),
      props: ['hatch', 'ferry'],
      stop: 0,
      epoch: 1,
      retained: false,
    });
    expect(hand.lockout('ferry')).toBe(null);
    // it draws nothing any more, but at rest it is only once its board says so
    expect(hand.flight('ferry')).toMatchObject({ lost: 'silent', freed: true });
    expect(hand.fault('ferry')?.code).toBe('two-boards');
    expect(hand.lockout('ferry')).toMatchObject([{ code: 'locked-out' }]);
  });

  it('of a session that ended is kept for the duty, to the limit and not for an hour of silence', () => {
    const dutied = opened(landing(['    home: near', '    home: near\n    duty: {on: 50 %, over: 10 min}']));
    dutied.run('crossing');
    dutied.says('ferry', 'started').sense('ferry.near', false).advance('2 s');
    const from = dutied.at - 2000;
    dutied.link('ferry-board');
    // the session may be a second board's of the same name, while the first goes on until its limit
    expect(dutied.prop('ferry').spans).toEqual([[from, from + 11_000]]);
    const away = opened(landing(['    home: near', '    home: near\n    duty: {on: 50 %, over: 10 min}']));
    away.run('crossing');
    away.says('ferry', 'started').sense('ferry.near', false);
    const told = away.at;
    away.hush('ferry-board').advance('5 min').link('ferry-board');
    // the board watches the limit of 10 s too
    expect(away.prop('ferry').spans).toEqual([[told, told + 11_000]]);
  });
});

import { describe, expect, it } from 'vitest';
import type { RunState } from '../../server/show/show.ts';
import { tick } from './any.ts';
import { atHome, type Hand, opened } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

/*
 * The life of a run, walked whole. The crossing: the ferry goes out, the ferryman rows, the ferry comes back; if it fails
 * the ferry is brought back.
 */

const yard = landing();
const OFF_THE_MAT = ['needs: [ferry.far], load', 'needs: [ferry.far, not path-mat.step], load'] as const;
const NO_TRIGGER = ['    on: path-mat.step\n    again-after: 30 s\n', ''] as const;
const STATES = ['homing', 'running', 'waiting', 'failing', 'tidying', 'over'] as const;
type State = (typeof STATES)[number];

function stateOf(hand: Hand): State {
  const run = hand.show.runs.find((r) => r.scene === 'crossing');
  if (!run) return 'over';
  return run.state === 'running' && run.waitsFor ? 'waiting' : (run.state satisfies RunState);
}

const IN: Readonly<Record<State, () => Hand>> = {
  homing: () => {
    const hand = opened(yard);
    // its board is new, and stands between its ends
    hand.link('ferry-board').sense('ferry.near', false).sense('ferry.far', false);
    hand.advance('30 s');
    hand.run('crossing');
    return hand.fresh();
  },
  running: () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started');
    return hand.advance('5 s').fresh();
  },
  waiting: () => {
    // the ferry has arrived, but its board has yet to say done: its way back waits for that
    const hand = opened(landing(['ferry.out, ferryman.row, ferry.back', 'ferry.out, ferry.back']));
    hand.run('crossing');
    hand.says('ferry', 'started').sense('ferry.near', false).advance('6 s').sense('ferry.far', true);
    return hand.fresh();
  },
  failing: () => {
    const hand = IN.running();
    hand.lockout('ferryman');
    return hand.fresh();
  },
  tidying: () => IN.failing().says('ferryman', 'halted'),
  over: () => opened(yard),
};

const EVENTS: Readonly<Record<string, (hand: Hand) => unknown>> = {
  'what moves is done': (h) => {
    for (const prop of ['ferry', 'ferryman']) {
      const f = h.prop(prop).flight;
      if (!f) continue;
      const { until } = h.yard.props.get(prop)!.moves.get(f.move)!;
      if (until) h.sense(`${prop}.${until}`, true);
      h.says(prop, 'done');
    }
  },
  'a fault of the ferry': (h) => h.lockout('ferry'),
  'the ferry’s board is new': (h) => h.link('ferry-board'),
  'a board of another scene is new': (h) => h.link('bell'),
  'the bus is lost': (h) => h.take({ kind: 'busLost' }),
  'another desk takes over': (h) =>
    h.take({ kind: 'deskHeard', desk: 'desk-b', epoch: 9, up: true, by: 'heartbeat', retained: false }),
  'a stop': (h) => h.stop(),
  hold: (h) => h.ask({ kind: 'holdAsked', by: 'ann' }),
  close: (h) => h.ask({ kind: 'closeAsked', by: 'ann' }),
};

const TO: Readonly<Record<State, Readonly<Partial<Record<keyof typeof EVENTS, State>>>>> = {
  homing: {
    'what moves is done': 'running',
    'a fault of the ferry': 'failing',
    'the ferry’s board is new': 'over',
    'the bus is lost': 'failing',
    'another desk takes over': 'over',
    'a stop': 'over',
  },
  running: {
    'a fault of the ferry': 'failing',
    'the ferry’s board is new': 'failing',
    'the bus is lost': 'failing',
    'another desk takes over': 'over',
    'a stop': 'over',
  },
  waiting: {
    'what moves is done': 'running',
    'a fault of the ferry': 'failing',
    'the ferry’s board is new': 'over',
    'the bus is lost': 'failing',
    'another desk takes over': 'over',
    'a stop': 'over',
  },
  failing: {
    'what moves is done': 'tidying',
    'another desk takes over': 'over',
    'a stop': 'over',
  },
  tidying: {
    'what moves is done': 'over',
    // what lost its link while it was tidied is not waited for
    'the ferry’s board is new': 'over',
    'another desk takes over': 'over',
    'a stop': 'over',
  },
  over: {},
};

describe('the life of a run', () => {
  for (const state of STATES)
    for (const [name, bring] of Object.entries(EVENTS)) {
      const to = TO[state][name] ?? state;
      it(`${state}, ${name}: ${to === state ? 'stays' : to}`, () => {
        const hand = IN[state]();
        expect(stateOf(hand)).toBe(state);
        bring(hand);
        expect(stateOf(hand)).toBe(to);
        // over means that all is let go of
        if (to !== 'over') return;
        for (const prop of ['ferry', 'ferryman']) expect(hand.prop(prop).heldBy).toBe(null);
      });
    }
});

describe('Starting', () => {
  it('holds every prop that the scene names from its start to its end, those of its tidying too', () => {
    const hand = opened(landing(['if-it-fails: [ferry.back]', 'if-it-fails: [ferry.back, bell.toll]']));
    hand.run('crossing');
    const { id } = hand.show.runs[0]!;
    for (const prop of ['ferry', 'ferryman', 'bell']) expect(hand.prop(prop).heldBy).toBe(id);
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'held', prop: 'bell', scene: 'crossing' }]);
    tick(hand, 40_000);
    for (const prop of ['ferry', 'ferryman', 'bell']) expect(hand.prop(prop).heldBy).toBe(null);
  });

  it('a step starts when the one before it has ended; together starts at once and ends with the last; waits wait', () => {
    const hand = opened(yard);
    hand.run('porch-scare');
    expect(hand.moves).toEqual(['lantern.flicker', 'hatch.slam']);
    expect(hand.orders.map((o) => o.step)).toEqual([0, 1]);
    hand.says('lantern', 'started').says('hatch', 'started').sense('hatch.shut', false);
    hand.advance('3 s').says('hatch', 'done');
    expect(hand.moves).toHaveLength(2);
    hand.advance('7 s').says('lantern', 'done');
    hand.advance('1999 ms');
    expect(hand.moves).toHaveLength(2);
    hand.advance('1 ms');
    expect(hand.moves).toEqual(['lantern.flicker', 'hatch.slam', 'hatch.close']);
    expect(hand.orders[2]!.step).toBe(2);
    hand.says('hatch', 'started').advance('1 s').sense('hatch.shut', true);
    expect(hand.moves.at(-1)).toBe('bell.toll');
    expect(hand.lines('run-done')).toEqual([]);
    hand.says('hatch', 'done').plays('bell', '6 s');
    expect(hand.lines('run-done')).toMatchObject([{ reason: { tookMs: 19_000 } }]);
  });

  it('an until move has arrived when its sensor is made; the next step may start, but no second order to it before done', () => {
    const hand = IN.waiting();
    expect(hand.moves).toEqual([]);
    expect(hand.show.runs[0]!.waitsFor).toMatchObject({ code: 'moving', prop: 'ferry', move: 'out' });
    hand.says('ferry', 'done');
    expect(hand.moves).toEqual(['ferry.back']);
  });

  it('a later step waits up to 10 s, saying for what; then the run is abandoned, which is no fault, and is tidied', () => {
    const hand = opened(landing(OFF_THE_MAT, NO_TRIGGER));
    hand.run('crossing');
    hand.sense('path-mat.step', true).fresh().travels('ferry', 'near', 'far');
    const { waitsFor } = hand.show.runs[0]!;
    expect(waitsFor).toMatchObject({ code: 'need', prop: 'ferryman', move: 'row', seen: 'made' });
    hand.advance('9999 ms');
    expect(hand.moves).toEqual([]);
    hand.advance('1 ms');
    expect(hand.moves).toEqual(['ferry.back']);
    hand.travels('ferry', 'far', 'near');
    expect(hand.lines('run-abandoned')).toMatchObject([{ reason: { for: { code: 'need' } } }]);
    expect(hand.lines('lockout-raised')).toEqual([]);
  });

  it('a later step that waited goes on as soon as it may, and the run with it', () => {
    const hand = opened(landing(OFF_THE_MAT, NO_TRIGGER));
    hand.run('crossing');
    hand.sense('path-mat.step', true).travels('ferry', 'near', 'far');
    hand.advance('9 s').fresh().sense('path-mat.step', false);
    expect(hand.moves).toEqual(['ferryman.row']);
    tick(hand, 40_000);
    expect(hand.lines('run-done')).toHaveLength(1);
  });

  it('a planned run waits for what stands against it, and starts once it may, in half its every', () => {
    const hand = opened(yard, [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 5000 }]);
    hand.advance('4 s').sense('hatch.shut', true);
    hand.run('lanterns-up');
    hand.plays('lantern', '1 s').fresh();
    expect(hand.show.runs.map((r) => r.id)).toEqual(['2026-10-31.crossing.1']);
    expect(hand.show.planned[0]).toMatchObject({ state: 'running', actualStartMs: OPEN_MS + 5000 });
  });

  it('a planned run not started within half its every is skipped with what stood against it, never run late', () => {
    const plan = [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 5000 }];
    const hand = opened(yard, plan).hush('ferryman').advance('5 s').advance('59900 ms');
    expect(hand.lines('run-skipped')).toEqual([]);
    hand.advance('200 ms');
    expect(hand.lines('run-skipped')).toMatchObject([
      { run: '2026-10-31.crossing.1', reason: { plannedMs: OPEN_MS + 5000, for: { code: 'silent' } } },
    ]);
    hand.link('ferryman').advance('5 min');
    expect(hand.moves).toEqual([]);
  });

  it('at least 10 s are given, however often the scene is to come', () => {
    const often = landing(['every: 2 min', 'every: 4 s'], ['lasts: 20 s, limit: 25 s', 'lasts: 1 s']);
    const plan = [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 5000 }];
    const hand = opened(often, plan).hush('ferryman').advance('14900 ms');
    expect(hand.lines('run-skipped')).toEqual([]);
    hand.advance('300 ms');
    expect(hand.lines('run-skipped')).toHaveLength(1);
  });

  it('a clock set forward by an hour starts nothing that is too late by then, and skips it with how late it is', () => {
    const plan = [1, 2, 3].map((n) => ({
      id: `2026-10-31.crossing.${n}`,
      scene: 'crossing',
      startMs: OPEN_MS + n * 20 * 60_000,
    }));
    const hand = opened(yard, plan);
    hand.take({ kind: 'clockStepped', offsetMs: 3_600_000 + 30_000 });
    expect(hand.lines('run-skipped').map((l) => l.reason.for)).toMatchObject([
      { code: 'too-late', lateMs: 2_430_000 },
      { code: 'too-late', lateMs: 1_230_000 },
    ]);
    // the third is half a minute late, which half its every allows
    expect(hand.moves).toEqual(['ferry.out']);
    expect(hand.show.runs.map((r) => r.id)).toEqual(['2026-10-31.crossing.3']);
  });

  it('a clock set back repeats nothing', () => {
    const plan = [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 1000 }];
    const hand = opened(yard, plan).advance('1 s');
    tick(hand, 40_000);
    expect(hand.lines('run-done')).toHaveLength(1);
    hand.fresh().take({ kind: 'clockStepped', offsetMs: -3_600_000 });
    hand.advance('70 min');
    expect([hand.moves, hand.mode, hand.lines('run-skipped')]).toEqual([[], 'open', []]);
  });

  it('is judged whole at its start: a later step that would not fit bars it', () => {
    // the bell of the scare is loud; it would end 19 s after the start, a second after quiet
    const late = { ...NIGHT, quietMs: OPEN_MS + 18_000 };
    const hand = opened(yard, [], late);
    expect(hand.run('porch-scare')).toEqual([{ code: 'quiet', atMs: OPEN_MS + 18_000 }]);
    const exact = opened(yard, [], { ...NIGHT, quietMs: OPEN_MS + 19_000 });
    expect(exact.run('porch-scare')).toBe(null);
  });

  it('every scene ends by close, to the millisecond', () => {
    const short = opened(yard, [], { ...NIGHT, closeMs: OPEN_MS + 31_999, quietMs: null });
    expect(short.run('crossing')).toEqual([{ code: 'close', atMs: OPEN_MS + 31_999 }]);
    const exact = opened(yard, [], { ...NIGHT, closeMs: OPEN_MS + 32_000, quietMs: null });
    expect(exact.run('crossing')).toBe(null);
    // what then runs long may end
    exact.travels('ferry', 'near', 'far', '8 s');
    exact.says('ferryman', 'started').advance('24500 ms');
    expect([exact.mode, exact.halts]).toEqual(['closing', []]);
    tick(exact, 20_000);
    expect([exact.mode, exact.lines('run-done').length]).toEqual(['closed', 1]);
  });
});

describe('Failing', () => {
  it('no further step starts; what needs the failed prop is halted, the rest ends; then it is tidied and lets go', () => {
    const both = opened(
      landing([
        'steps: [ferry.out, ferryman.row, ferry.back]',
        'steps: [ferry.out, {together: [ferryman.row, lantern.flicker]}, ferry.back]',
      ]),
    );
    both.run('crossing');
    both.travels('ferry', 'near', 'far');
    both.says('ferryman', 'started').says('lantern', 'started').fresh();
    // a sensor that lies: both ends at once. The ferryman needs the ferry, the lantern does not
    both.sense('ferry.near', true);
    expect(both.fault('ferry')?.code).toBe('both-ends');
    expect(both.halts).toEqual(['ferryman']);
    // far is still made and fresh, so no need of his went away
    expect(both.fault('ferryman')).toBe(null);
    both.says('ferryman', 'halted').advance('10 s');
    expect(both.lines('run-failed')).toEqual([]);
    both.says('lantern', 'done');
    expect(both.lines('tidy-passed-over')).toMatchObject([
      { reason: { prop: 'ferry', move: 'back', for: { code: 'locked-out' } } },
    ]);
    expect(both.lines('run-failed')).toMatchObject([{ reason: { prop: 'ferry', fault: 'both-ends' } }]);
    expect(both.prop('ferry').heldBy).toBe(null);
  });

  it('numbers the steps of its tidying on, so that no order is ever the same as one before', () => {
    const hand = IN.failing();
    const ran = hand.show.runs[0]!.id;
    hand.says('ferryman', 'halted');
    expect(hand.orders).toMatchObject([{ prop: 'ferry', move: 'back', run: ran, step: 2 }]);
  });

  it('tidies each once: one that fails in it is not tried again', () => {
    const hand = IN.tidying();
    hand.says('ferry', 'failed', { why: 'driver' });
    expect(hand.moves).toEqual(['ferry.back']);
    expect(hand.lines('run-failed')).toMatchObject([{ reason: { prop: 'ferryman', fault: 'by-hand' } }]);
    expect(hand.fault('ferry')?.code).toBe('failed');
  });

  it('tidies nothing after a stop, and nothing that stands where it belongs to another move', () => {
    const hand = IN.running();
    hand.stop();
    expect([hand.moves, hand.show.runs]).toEqual([[], []]);
    expect(hand.lines('run-stopped')).toHaveLength(1);
  });

  it('passes over what a returning link would move too soon', () => {
    const hand = IN.running();
    hand.link('ferry-board').sense('ferry.near', false).sense('ferry.far', false);
    hand.says('ferryman', 'halted');
    expect(hand.moves).toEqual([]);
    expect(hand.lines('tidy-passed-over')).toMatchObject([
      { reason: { for: { code: 'too-soon-after-link' } } },
    ]);
  });

  it('a board that refuses for another reason than the move ends the run without a lockout', () => {
    for (const why of ['session', 'epoch', 'stopped', 'heartbeat']) {
      const hand = opened(yard);
      hand.run('crossing');
      // so is the way back that its scene lists
      hand.says('ferry', 'refused', { why }).says('ferry', 'refused', { why });
      expect(hand.fault('ferry')).toBe(null);
      expect(hand.lines('board-refused')).toMatchObject([{ reason: { prop: 'ferry', why } }]);
    }
    for (const why of ['unknown', 'busy']) {
      const hand = opened(yard);
      hand.run('crossing');
      hand.says('ferry', 'refused', { why });
      expect(hand.fault('ferry')).toMatchObject({ code: 'refused', why });
    }
  });

  it('a board that still obeys a stop since cleared is told again that it is', () => {
    const hand = opened(yard).stop();
    for (const id of yard.controllers.keys()) hand.link(id, { stop: hand.show.stop.n });
    hand.clear();
    atHome(hand).openAsked();
    hand.advance('40 s').fresh();
    hand.run('crossing');
    hand.says('ferry', 'refused', { why: 'stopped' });
    expect(hand.kinds('clearStop')).toEqual([{ kind: 'clearStop', stop: 1 }]);
  });
});

describe('Triggers', () => {
  const mat = (hand: Hand) => hand.sense('path-mat.step', true);

  it('a change from not made to made, both heard live in one session', () => {
    const hand = opened(yard);
    mat(hand);
    expect(hand.moves).toEqual(['lantern.flicker', 'hatch.slam']);
    expect(hand.lines('run-started')).toMatchObject([{ reason: { origin: 'trigger' } }]);
  });

  it('never a first word, never a retained one, never one after a retained one, never across sessions', () => {
    const first = opened(yard);
    first.link('path-mat').sense('path-mat.step', true);
    expect(first.moves).toEqual([]);
    const retained = opened(yard);
    retained.sense('path-mat.step', true, { retained: true });
    expect(retained.moves).toEqual([]);
    const after = opened(yard);
    after.link('path-mat').sense('path-mat.step', false, { retained: true });
    mat(after);
    expect(after.moves).toEqual([]);
    // let go and stepped on again, all live
    after.sense('path-mat.step', false);
    mat(after);
    expect(after.moves).toHaveLength(2);
    const copy = opened(yard);
    // the broker's copy of what the board had said itself takes nothing from it
    copy.sense('path-mat.step', false, { retained: true, count: 1 });
    mat(copy);
    expect(copy.moves).toHaveLength(2);
  });

  it('only in an open yard; what can’t start at once is refused with why, and never queued', () => {
    const hand = opened(yard);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    mat(hand);
    expect(hand.lines('trigger-refused')).toMatchObject([
      { scene: 'porch-scare', reason: { prop: 'path-mat', sensor: 'step', for: { code: 'mode' } } },
    ]);
    const held = opened(yard);
    held.run('lanterns-up');
    held.fresh();
    mat(held);
    expect(held.lines('trigger-refused')).toMatchObject([
      { reason: { for: { code: 'held', prop: 'lantern' } } },
    ]);
    held.plays('lantern', '10 s').advance('1 min');
    expect(held.moves).toEqual([]);
  });

  it('sooner than again-after since the last start, whoever started it, is refused', () => {
    const hand = opened(yard);
    hand.run('porch-scare');
    tick(hand, 20_000);
    expect(hand.lines('run-done')).toHaveLength(1);
    hand.fresh().sense('path-mat.step', true);
    expect(hand.lines('trigger-refused')).toMatchObject([{ reason: { for: { code: 'again-after' } } }]);
    const { for: why } = hand.lines('trigger-refused')[0]!.reason;
    expect(why).toMatchObject({ forMs: 30_000 - (hand.at - hand.show.scenes['porch-scare']!.lastStartAt!) });
    hand.sense('path-mat.step', false).advance((why as { forMs: number }).forMs);
    mat(hand);
    expect(hand.moves).toHaveLength(2);
  });

  it('a run that guests or people start is no planned run, and its name is never used twice', () => {
    const plan = [1, 2].map((n) => ({
      id: `2026-10-31.porch-scare.${n}`,
      scene: 'porch-scare',
      startMs: OPEN_MS + n * 600_000,
    }));
    const hand = opened(yard, plan);
    mat(hand);
    expect(hand.show.runs.map((r) => r.id)).toEqual(['2026-10-31.porch-scare.3']);
    tick(hand, 40_000);
    hand.run('porch-scare');
    expect(hand.show.runs.map((r) => r.id)).toEqual(['2026-10-31.porch-scare.4']);
    expect(hand.show.planned.map((r) => r.state)).toEqual(['planned', 'planned']);
    expect(hand.kinds('mendPlan').length).toBeGreaterThan(0);
  });
});

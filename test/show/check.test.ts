import { describe, expect, it } from 'vitest';
import { checkShow } from '../../server/show/check.ts';
import type { Effect, StartMove } from '../../server/show/effects.ts';
import type { Event, Fact } from '../../server/show/events.ts';
import type { Flight, PropState, Run, Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import { atHome, type Hand, linked, opened } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

/*
 * For each invariant that the core checks of itself, a mistake planted in what a step has made: the check must name it.
 * The same step unspoilt must pass, so that it is the mistake that is seen and nothing else.
 */

const yard = landing();

interface Spoilt {
  show: { -readonly [K in keyof Show]: Show[K] };
  effects: Effect[];
  set(change: Partial<Show>): void;
  prop(id: string, change: Partial<PropState>): void;
  /** Makes it so that this move has been told, as the core would have it. */
  tell(prop: string, move: string, change?: Partial<Flight>): StartMove;
}

/** Takes a fact, spoils what came of it, and answers the numbers of the invariants that the check names. */
function spoil(hand: Hand, fact: Fact, how: (made: Spoilt) => void): number[] {
  const event = { ...fact, n: hand.show.n + 1, at: hand.at } as Event;
  const done = step(hand.show, event);
  expect(checkShow(hand.show, event, done.show, done.effects)).toEqual([]);
  const show: Spoilt['show'] = { ...done.show };
  const made: Spoilt = {
    show,
    effects: [...done.effects],
    set(change) {
      Object.assign(show, change);
    },
    prop(id, change) {
      show.props = { ...show.props, [id]: { ...show.props[id]!, ...change } };
    },
    tell(prop, move, change = {}) {
      const { controller, moves } = hand.yard.props.get(prop)!;
      const session = show.controllers[controller]!.session!;
      const flight: Flight = {
        run: 'planted.1',
        step: 0,
        move,
        session,
        origin: 'hand',
        sentAt: hand.at,
        tries: 1,
        startedAt: null,
        countFrom: null,
        arrivedAt: null,
        from: null,
        leftAt: null,
        expectMs: moves.get(move)!.usualMs,
        lost: null,
        halting: null,
        ...change,
      };
      made.prop(prop, { flight });
      const { limitMs } = moves.get(move)!;
      const { run } = flight;
      const order: StartMove = { kind: 'startMove', prop, run, step: flight.step, move, session, limitMs };
      made.effects.push(order);
      return order;
    },
  };
  how(made);
  const breaches = checkShow(hand.show, event, show, made.effects);
  for (const b of breaches)
    expect(b.text).toMatch(new RegExp(`^invariant ${b.invariant}: .*event ${event.n}`));
  return [...new Set(breaches.map((b) => b.invariant))].sort((a, b) => a - b);
}

const TIME: Fact = { kind: 'timeReached' };
const rowing = (which = yard): Hand => {
  const hand = opened(which);
  hand.run('crossing');
  hand.travels('ferry', 'near', 'far');
  hand.says('ferryman', 'started');
  return hand;
};
const sensed = (hand: Hand, where: string, made: boolean): Fact => {
  const [prop, sensor] = where.split('.') as [string, string];
  const session = hand.session(hand.yard.props.get(prop)!.controller);
  return { kind: 'sensorChanged', prop, sensor, made, session, count: 99, retained: false };
};

describe('A planted mistake', () => {
  it('1: a move without its need', () => {
    // the ferry stands at near
    expect(spoil(opened(yard), TIME, (m) => void m.tell('ferryman', 'row'))).toContain(1);
    const unheard = opened(yard).hush('ferry-board').advance('2 s');
    expect(spoil(unheard, TIME, (m) => void m.tell('ferryman', 'row'))).toContain(1);
  });

  it('2: a figure that goes on when its carriage has left', () => {
    const hand = rowing();
    const spoilt = spoil(hand, sensed(hand, 'ferry.far', false), (m) => {
      m.prop('ferryman', { flight: { ...m.show.props.ferryman!.flight!, halting: null } });
    });
    expect(spoilt).toEqual([2]);
  });

  it('3: a carriage sent away from where a figure moves', () => {
    const free = landing(['limit: 10 s, needs: [ferryman at rest]', 'limit: 10 s']);
    expect(spoil(rowing(free), TIME, (m) => void m.tell('ferry', 'back'))).toEqual([3]);
  });

  it('4: a locked-out prop told to move, and two ends made that lock out nothing', () => {
    const out = opened(yard);
    out.lockout('bell');
    expect(spoil(out, TIME, (m) => void m.tell('bell', 'toll'))).toEqual([4]);
    const hand = opened(yard);
    expect(spoil(hand, sensed(hand, 'ferry.far', true), (m) => m.prop('ferry', { lockout: null }))).toEqual([
      4,
    ]);
  });

  it('5: a move from nobody knows where', () => {
    const hand = opened(yard).link('ferry-board').sense('ferry.near', false).sense('ferry.far', false);
    expect(spoil(hand, TIME, (m) => void m.tell('ferry', 'out'))).toEqual([5]);
    expect(spoil(hand, TIME, (m) => void m.tell('ferry', 'back', { origin: 'homing' }))).toEqual([]);
  });

  it('6: a second move while one is under way, and one that is told and forgotten', () => {
    const hand = opened(yard);
    hand.run('lanterns-up');
    expect(spoil(hand, TIME, (m) => void m.tell('lantern', 'flicker', { run: 'other' }))).toEqual([6]);
    expect(
      spoil(opened(yard), TIME, (m) => {
        m.tell('bell', 'toll');
        m.prop('bell', { flight: null });
      }),
    ).toEqual([6]);
  });

  it('7: an order told a third time, or when it had begun', () => {
    for (const begun of [false, true]) {
      const hand = opened(yard);
      hand.run('lanterns-up');
      if (begun) hand.says('lantern', 'started');
      else hand.advance('1100 ms');
      const { run, tries, startedAt } = hand.flight('lantern');
      const told = { run, tries: tries + 1, startedAt };
      expect(spoil(hand, TIME, (m) => void m.tell('lantern', 'flicker', told))).toEqual([7]);
    }
  });

  it('8: a move under a stop', () => {
    const hand = opened(yard).stop();
    const spoilt = spoil(hand, TIME, (m) => void m.tell('bell', 'toll'));
    expect(spoilt).toContain(8);
  });

  it('8: a move after a clear and before anyone has opened', () => {
    const hand = opened(yard).stop();
    for (const id of yard.controllers.keys()) hand.link(id, { stop: 1 });
    atHome(hand);
    hand.clear();
    expect(spoil(hand, TIME, (m) => void m.tell('bell', 'toll'))).toContain(8);
    expect(spoil(hand, TIME, (m) => void m.tell('bell', 'toll', { origin: 'bench' }))).toEqual([]);
  });

  it('8: a stop that goes away by itself, a cleared number that falls, a stop that leaves the mode as it was', () => {
    const hand = opened(yard).stop();
    const away = spoil(hand, TIME, (m) => {
      m.set({ stop: { ...m.show.stop, latched: false } });
      m.set({ mode: 'held' });
    });
    expect(away).toEqual([8]);
    const fell = spoil(linked(yard, { stop: 4, cleared: 4 }), TIME, (m) => {
      m.set({ stop: { ...m.show.stop, clearedN: 3 } });
    });
    expect(fell).toEqual([8]);
    const pressed: Fact = { kind: 'stopPressed', by: 'page' };
    expect(spoil(opened(yard), pressed, (m) => m.set({ mode: 'open' }))).toEqual([8]);
  });

  it('8: a mode that no act leads to', () => {
    expect(
      spoil(opened(yard).stop(), { kind: 'clearAsked', by: 'keeper', seen: 1e9 }, (m) => {
        m.set({ mode: 'open' });
      }),
    ).toContain(8);
    const start: Fact = {
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      stop: 0,
      cleared: 0,
      night: NIGHT,
    };
    expect(spoil(opened(yard), start, (m) => m.set({ mode: 'open' }))).toContain(8);
    expect(spoil(linked(yard), TIME, (m) => m.set({ mode: 'closing' }))).toContain(8);
  });

  it('11: a stop that does something else too, or nothing', () => {
    const pressed: Fact = { kind: 'stopPressed', by: 'page' };
    expect(spoil(opened(yard), pressed, (m) => void m.tell('bell', 'toll'))).toContain(11);
    expect(
      spoil(opened(yard), pressed, (m) => {
        m.set({ stop: { ...m.show.stop, latched: false } });
      }),
    ).toContain(11);
  });

  it('12: an order in a session that no longer stands, and a move that outlives its session', () => {
    expect(
      spoil(opened(yard), TIME, (m) => {
        const order = m.tell('bell', 'toll', { session: 'bell-0' });
        m.effects[m.effects.length - 1] = { ...order, session: 'bell-0' };
      }),
    ).toContain(12);
    const hand = opened(yard);
    hand.run('lanterns-up');
    const { flight } = hand.prop('lantern');
    const fact: Fact = {
      kind: 'linkHeard',
      controller: 'lantern',
      up: true,
      session: 'lantern-new',
      first: 'lantern-new',
      props: ['lantern'],
      stop: 0,
      epoch: 1,
      retained: false,
    };
    expect(spoil(hand, fact, (m) => m.prop('lantern', { flight }))).toEqual([12]);
  });

  it('13: word of one prop that changes another', () => {
    const hand = opened(yard);
    const spoilt = spoil(hand, sensed(hand, 'path-mat.step', false), (m) => {
      const { sensors } = m.show.props.hatch!;
      m.prop('hatch', { sensors: { ...sensors, shut: { ...sensors.shut!, count: 7 } } });
    });
    // a copy that says the same is no change; this one counts on
    expect(spoilt).toEqual([13]);
  });

  it('14: an order while another desk drives', () => {
    const hand = linked(yard);
    hand.take({ kind: 'deskHeard', desk: 'desk-b', epoch: 9, up: true, by: 'heartbeat', retained: false });
    expect(spoil(hand, TIME, (m) => void m.tell('bell', 'toll', { origin: 'bench' }))).toEqual([14]);
  });

  it('15: a lockout that goes by itself', () => {
    const hand = opened(yard);
    hand.lockout('bell');
    expect(spoil(hand, TIME, (m) => m.prop('bell', { lockout: null }))).toEqual([15]);
    const start: Fact = {
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      stop: 0,
      cleared: 0,
      night: NIGHT,
    };
    expect(spoil(hand, start, (m) => m.prop('bell', { lockout: null }))).toEqual([15]);
  });

  it('17: a move that nothing can record', () => {
    const hand = opened(yard);
    hand.take({ kind: 'recordFailed', why: 'disk full' });
    expect(spoil(hand, TIME, (m) => void m.tell('bell', 'toll'))).toEqual([17]);
  });

  it('18: a circuit for long, a circuit at a surge, a tank, a duty', () => {
    const long = landing(['lasts: 6 s, load: {dock: 1 A}', 'lasts: 6 s, load: {dock: 5.5 A}']);
    const lit = opened(long);
    lit.run('lanterns-up');
    // 6 A always, 1 A and 5.5 A: 12.5 A of 12 A
    expect(spoil(lit, TIME, (m) => void m.tell('bell', 'toll'))).toEqual([18]);
    const surge = landing([
      'lasts: 6 s, load: {dock: 1 A}',
      'lasts: 6 s, load: {dock: {run: 1 A, surge: 8.5 A for 1 s}}',
    ]);
    const peak = opened(surge);
    peak.run('lanterns-up');
    expect(spoil(peak, TIME, (m) => void m.tell('bell', 'toll'))).toEqual([18]);
    expect(
      spoil(opened(yard), TIME, (m) => {
        m.tell('hatch', 'slam');
        m.set({ tanks: { shed: { ...m.show.tanks.shed!, litres: 1 } } });
      }),
    ).toEqual([18]);
    const tired = landing([
      '  bell: {title: Bell, moves',
      '  bell: {title: Bell, duty: {on: 20 %, over: 1 min}, moves',
    ]);
    expect(
      spoil(opened(tired), TIME, (m) => {
        m.tell('bell', 'toll');
        m.prop('bell', { spans: [[OPEN_MS - 7000, OPEN_MS - 500]] });
      }),
    ).toEqual([18]);
  });

  it('19: a planned run that begins long after its time, or before it', () => {
    for (const off of [70_000, -5000]) {
      const id = '2026-10-31.crossing.1';
      const hand = opened(yard, [{ id, scene: 'crossing', startMs: OPEN_MS + 3_600_000 }]);
      const spoilt = spoil(hand, TIME, (m) => {
        const planned = m.show.planned[0]!;
        const at = OPEN_MS - off;
        m.set({ planned: [{ ...planned, startMs: at, drawnMs: at, state: 'running' }] });
        m.set({ runs: [{ ...run(id, 'plan', hand.at) }] });
      });
      expect([off, spoilt]).toEqual([off, [19]]);
    }
  });

  it('20: a move in a closed yard, a bench in an open one, a loud one that ends after quiet, a run in a held yard', () => {
    expect(spoil(linked(yard), TIME, (m) => void m.tell('bell', 'toll'))).toContain(20);
    expect(spoil(opened(yard), TIME, (m) => void m.tell('bell', 'toll', { origin: 'bench' }))).toEqual([20]);
    const late = opened(yard, [], { ...NIGHT, quietMs: OPEN_MS + 5000 });
    expect(spoil(late, TIME, (m) => void m.tell('bell', 'toll'))).toEqual([20]);
    const held = opened(yard);
    held.ask({ kind: 'holdAsked', by: 'ann' });
    expect(spoil(held, TIME, (m) => m.set({ runs: [run('planted.1', 'hand', held.at)] }))).toEqual([20]);
  });

  it('22: a retained word that sets something off', () => {
    const hand = opened(yard);
    const fact = { ...sensed(hand, 'path-mat.step', true), retained: true } as Fact;
    expect(spoil(hand, fact, (m) => m.set({ runs: [run('planted.1', 'trigger', hand.at)] }))).toEqual([22]);
  });

  it('24: a list that grows without end', () => {
    const times = Array.from({ length: 41 }, () => 6000);
    expect(spoil(opened(yard), TIME, (m) => m.prop('ferry', { travels: { out: times } }))).toEqual([24]);
  });
});

const run = (id: string, origin: Run['origin'], startedAt: number): Run => ({
  id,
  scene: 'crossing',
  origin,
  startedAt,
  state: 'running',
  pos: 0,
  step: 0,
  since: startedAt,
  begun: false,
  with: [],
  toHome: [],
  tidyPos: 0,
  waitsFor: null,
  ends: null,
  moved: [],
  journeys: [],
});

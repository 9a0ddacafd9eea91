import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Rig } from './rig.ts';
import { FERRY, FERRYMAN, HATCH, MAT } from './saltmarsh.ts';

/** Whatever is said to a board, in any order, with any payload: what must never happen does not. */

const desks = fc.record({
  desk: fc.constantFrom('a', 'q4x1', 'zz'),
  epoch: fc.integer({ min: 10, max: 14 }),
});
const props = fc.constantFrom('ferry', 'ferryman', 'hatch', 'path-mat', 'constructor');
const moves = fc.constantFrom('out', 'back', 'row', 'slam', 'close', 'sideways', '__proto__');
const real = fc.constantFrom(
  ['ferry', 'out'],
  ['ferry', 'back'],
  ['ferryman', 'row'],
  ['hatch', 'slam'],
  ['hatch', 'close'],
);
const seldom = fc.nat(9).map((n) => n === 0);

const acts = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.record({
      act: fc.constant('run' as const),
      ms: fc.integer({ min: 1, max: 4000 }),
      beats: fc.boolean(),
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      act: fc.constant('heartbeat' as const),
      who: desks,
      stop: fc.constantFrom(0, 0, 0, 1, 2, 3),
      silenceMs: fc.constantFrom(500, 1000, 1000, 2500, 10),
      retained: fc.boolean(),
    }),
  },
  { weight: 1, arbitrary: fc.record({ act: fc.constant('desk' as const), who: desks, up: fc.boolean() }) },
  {
    weight: 2,
    arbitrary: fc.record({
      act: fc.constant('stop' as const),
      who: desks,
      latched: fc.boolean(),
      n: fc.integer({ min: 1, max: 4 }),
    }),
  },
  { weight: 3, arbitrary: fc.constant({ act: 'all well' as const }) },
  {
    weight: 6,
    arbitrary: real.map(([prop, move]) => ({ act: 'order' as const, prop: prop!, move: move! })),
  },
  {
    weight: 3,
    arbitrary: fc.record({
      act: fc.constant('do' as const),
      prop: props,
      move: moves,
      run: fc.constantFrom('r1', 'r2', 'r3'),
      step: fc.integer({ min: 0, max: 2 }),
      right: fc.boolean(),
      who: desks,
      limitMs: fc.constantFrom(500, 5000, 12_000),
      retained: seldom,
    }),
  },
  { weight: 2, arbitrary: fc.record({ act: fc.constant('halt' as const), prop: props }) },
  {
    weight: 1,
    arbitrary: fc.record({
      act: fc.constant('connection' as const),
      gapMs: fc.integer({ min: 0, max: 3000 }),
    }),
  },
  {
    weight: 2,
    arbitrary: fc.record({
      act: fc.constant('anything' as const),
      topic: fc.constantFrom(
        'heartbeat',
        'stop',
        'desk',
        'announce',
        'prop/ferry/do',
        'prop/ferry/halt',
        'x/y',
      ),
      payload: fc.oneof(fc.jsonValue(), fc.anything()),
      retained: fc.boolean(),
    }),
  },
);
type Act = typeof acts extends fc.Arbitrary<infer T> ? T : never;

/** Plays the acts and checks what must hold after each step of time. */
function play(list: readonly Act[], check: (rig: Rig, model: Model) => void): void {
  const rig = new Rig({ props: [FERRY, FERRYMAN, HATCH, MAT] });
  const model = new Model(rig);
  rig.connect();
  const passes = (ms: number, beats = false) => {
    for (let done = 0; done < ms; done += 50) {
      if (beats && done % 250 === 0 && model.followed.epoch > 0) {
        rig.hear('heartbeat', { ...model.followed, n: 1, silenceMs: 1000, stop: 0 });
        model.beat(model.followed, 1000);
      }
      rig.run(Math.min(50, ms - done));
      check(rig, model);
    }
  };
  for (const a of list) {
    switch (a.act) {
      case 'run':
        passes(a.ms, a.beats);
        break;
      case 'heartbeat': {
        rig.hear('heartbeat', { ...a.who, n: 1, silenceMs: a.silenceMs, stop: a.stop }, a.retained);
        if (!a.retained && a.silenceMs >= 500) model.beat(a.who, a.silenceMs);
        break;
      }
      case 'desk':
        rig.hear('desk', { ...a.who, up: a.up, contract: 1 }, true);
        model.hear(a.who);
        break;
      case 'stop':
        rig.hear('stop', { ...a.who, latched: a.latched, n: a.n });
        model.hear(a.who);
        break;
      case 'all well': {
        // what a desk sends that has found everything in order
        const who = model.followed.epoch > 0 ? model.followed : { desk: 'q4x1', epoch: 12 };
        rig.hear('heartbeat', { ...who, n: 1, silenceMs: 1000, stop: 0 });
        model.beat(who, 1000);
        rig.hear('stop', { ...who, latched: false, n: 4 });
        break;
      }
      case 'order':
        rig.order(a.prop, a.move, model.followed);
        break;
      case 'do': {
        const right = { session: rig.board.session, ...model.followed };
        const wrong = { session: 'guess', ...a.who };
        const { prop, move, run, step, limitMs } = a;
        const payload = { prop, move, run, step, limitMs, ...(a.right ? right : wrong) };
        rig.hear(`prop/${prop}/do`, payload, a.retained);
        break;
      }
      case 'halt':
        rig.hear(`prop/${a.prop}/halt`, { prop: a.prop, epoch: 12, why: 'x' });
        break;
      case 'connection':
        rig.board.disconnect(rig.at);
        passes(a.gapMs);
        rig.connect();
        break;
      case 'anything':
        rig.hear(a.topic, a.payload, a.retained);
        break;
    }
    check(rig, model);
  }
}

/** What a reader of the contract knows of the board from outside: whom it follows and when it last heard them. */
class Model {
  followed = { desk: '', epoch: 0 };
  #heardMs: number | null = null;
  #silenceMs = 1000;
  readonly #rig: Rig;

  constructor(rig: Rig) {
    this.#rig = rig;
  }

  hear(who: { desk: string; epoch: number }): void {
    const { followed } = this;
    const higher = who.epoch > followed.epoch || (who.epoch === followed.epoch && who.desk > followed.desk);
    if (!higher) return;
    this.followed = { ...who };
    this.#heardMs = null;
  }

  beat(who: { desk: string; epoch: number }, silenceMs: number): void {
    this.hear(who);
    if (who.desk !== this.followed.desk || who.epoch !== this.followed.epoch) return;
    this.#heardMs = this.#rig.at;
    this.#silenceMs = silenceMs;
  }

  /** ms that outputs may still be on. */
  get armedForMs(): number {
    return this.#heardMs === null ? 0 : this.#heardMs + this.#silenceMs - this.#rig.at;
  }
}

const someActs = fc.array(acts, { minLength: 5, maxLength: 60 });
// `anything` may by chance be a good heartbeat; where the model must know of every one it is left out.
const knownActs = fc.array(
  acts.filter((a) => a.act !== 'anything'),
  { minLength: 5, maxLength: 60 },
);

const anyEnergised = (rig: Rig) => [...rig.machines.values()].some((m) => m.truth().energised);

describe('any messages in any order', () => {
  it('never throw', () => {
    fc.assert(
      fc.property(someActs, (list) => play(list, () => {})),
      { seed: 1031, numRuns: 400 },
    );
  });

  it('energise nothing without an accepted do: a `started` of the present session that has not ended', () => {
    let seen = 0;
    const check = (rig: Rig) => {
      for (const [id, machine] of rig.machines) {
        if (!machine.truth().energised) continue;
        seen += 1;
        const last = rig
          .dids(id)
          .filter((d) => d.is !== 'refused')
          .at(-1);
        expect(last).toMatchObject({ is: 'started', session: rig.board.session });
      }
    };
    fc.assert(
      fc.property(knownActs, (list) => play(list, check)),
      { seed: 1031, numRuns: 400 },
    );
    expect(seen).toBeGreaterThan(1000);
  });

  it('leave no output on longer than silenceMs after the last heartbeat of the desk it follows', () => {
    let armed = 0;
    const check = (rig: Rig, model: Model) => {
      if (anyEnergised(rig)) {
        armed += 1;
        expect(model.armedForMs).toBeGreaterThan(0);
      }
    };
    fc.assert(
      fc.property(knownActs, (list) => play(list, check)),
      { seed: 1031, numRuns: 400 },
    );
    expect(armed).toBeGreaterThan(1000);
  });

  it('leave no output on while a stop is latched: none follows `stopped` until a clear', () => {
    let stops = 0;
    const check = (rig: Rig) => {
      const last = rig.sent.findLast((m) => m.topic.endsWith('/stopped') || m.payload.is === 'started');
      if (!last?.topic.endsWith('/stopped')) return;
      stops += 1;
      expect(anyEnergised(rig)).toBe(false);
    };
    fc.assert(
      fc.property(knownActs, (list) => play(list, check)),
      { seed: 1031, numRuns: 200 },
    );
    expect(stops).toBeGreaterThan(1000);
  });

  it('count every edge by one, and never repeat a session', () => {
    const sessions = (rig: Rig) => {
      const seen: string[] = [];
      for (const m of rig.sent) {
        const { session, up } = m.payload as { session: string; up?: boolean };
        if (up === true && session !== seen.at(-1)) seen.push(session);
      }
      expect(new Set(seen).size).toBe(seen.length);
      const last = new Map<string, { made: unknown; n: number }>();
      for (const m of rig.sent.filter((s) => s.topic.includes('/sense/'))) {
        const now = m.payload as { made: boolean; n: number };
        const before = last.get(m.topic);
        last.set(m.topic, now);
        // unlinked edges are counted though nobody hears of them
        if (before) expect((now.n - before.n) % 2 === 0).toBe(now.made === before.made);
        if (before) expect(now.n).toBeGreaterThanOrEqual(before.n);
      }
    };
    fc.assert(
      fc.property(someActs, (list) => {
        let rig: Rig | undefined;
        play(list, (r) => {
          rig = r;
        });
        if (rig) sessions(rig);
      }),
      { seed: 1031, numRuns: 200 },
    );
  });
});

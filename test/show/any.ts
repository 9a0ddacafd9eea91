import fc from 'fast-check';
import type { Fact } from '../../server/show/events.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Yard } from '../../server/yard/types.ts';
import { atHome, EVER, Hand, opened } from './hand.ts';
import { HOUR_MS, NIGHT, OPEN_MS } from './landing.ts';

/** One thing that happens, in words, so that a failing case can be read and kept. */
export type Happening = readonly [what: string, ...about: readonly (string | number | boolean)[]];

/** Anything that may happen in a yard, boards and people behaving well more often than not. */
export function anyHappening(yard: Yard): fc.Arbitrary<Happening> {
  const controller = fc.constantFrom(...yard.controllers.keys());
  const prop = fc.constantFrom(...yard.props.keys());
  const mover = fc.constantFrom(...[...yard.props.values()].filter((p) => p.moves.size > 0).map((p) => p.id));
  const scene = fc.constantFrom(...yard.scenes.keys());
  const sensor = fc.constantFrom(
    ...[...yard.props.values()].flatMap((p) => [...p.sensors.keys()].map((s) => `${p.id}.${s}`)),
  );
  const seldom = fc.nat({ max: 9 }).map((n) => n === 0);
  const t = <A extends fc.Arbitrary<string | number | boolean>[]>(
    weight: number,
    what: string,
    ...about: A
  ): fc.WeightedArbitrary<Happening> => ({
    weight,
    arbitrary: fc.tuple(fc.constant(what), ...about) as unknown as fc.Arbitrary<Happening>,
  });
  return fc.oneof(
    t(12, 'wait', fc.integer({ min: 0, max: 1500 })),
    t(4, 'wait', fc.integer({ min: 0, max: 15_000 })),
    t(1, 'wait', fc.integer({ min: 0, max: 150_000 })),
    t(8, 'act', mover),
    t(3, 'link', controller, seldom, fc.nat({ max: 4 }), fc.constantFrom(0, 0, 0, 0, 1, 3)),
    t(1, 'oldLink', controller, fc.nat({ max: 4 }), fc.boolean()),
    t(1, 'claim', controller, prop),
    t(1, 'will', controller),
    t(1, 'hush', controller),
    t(1, 'beat', controller, fc.nat({ max: 3 })),
    t(5, 'sense', sensor, fc.boolean(), seldom, seldom),
    t(4, 'says', mover, fc.constantFrom('started', 'done', 'halted', 'failed', 'refused'), seldom, seldom),
    t(1, 'stop'),
    t(2, 'clear', seldom),
    t(2, 'open', fc.boolean()),
    t(1, 'hand'),
    t(1, 'hold'),
    t(1, 'close'),
    t(4, 'run', scene),
    t(1, 'lockout', prop),
    t(2, 'release', prop),
    t(1, 'acknowledge', prop),
    t(2, 'press', mover, fc.nat({ max: 2 }), fc.nat({ max: 3 })),
    t(1, 'lift', mover, fc.nat({ max: 3 })),
    t(1, 'busLost'),
    t(2, 'busConnected'),
    t(1, 'desk', fc.nat({ max: 4 }), fc.boolean(), fc.boolean()),
    t(1, 'epochTaken'),
    t(1, 'stopHeard', fc.boolean(), fc.nat({ max: 5 })),
    t(1, 'stopped', controller, fc.boolean()),
    t(1, 'clock', fc.integer({ min: -4_000_000, max: 4_000_000 })),
    t(1, 'stalled', fc.nat({ max: 5000 })),
    t(1, 'recordFailed'),
    t(2, 'recordResumed'),
    t(1, 'draw', fc.boolean()),
    t(1, 'mend', fc.nat({ max: 9 })),
    t(1, 'restart', fc.boolean()),
  );
}

const OTHER_DESK = 'desk-b';

/** Plays happenings on a hand: turns words into facts as the desk would give them. */
export class Player {
  readonly hand: Hand;
  #cleared = 0;
  #stop = 0;
  #taking = 0;

  /** From a desk that has heard nothing, or from an open yard with all boards well. */
  constructor(yard: Yard, open: boolean) {
    this.hand = open ? opened(yard, plannedRuns(NIGHT.date)) : new Hand(yard, OPEN_MS - 120_000);
    if (open) return;
    this.#start(false);
    this.take({ kind: 'busConnected' });
  }

  take(fact: Fact): void {
    this.hand.take(fact);
    this.#note();
  }

  /** What the desk does of itself: the small file, and the epoch. */
  #note(): void {
    for (const e of this.hand.all) {
      if (e.kind === 'sendStop') this.#stop = Math.max(this.#stop, e.stop);
      if (e.kind === 'clearStop') this.#cleared = Math.max(this.#cleared, e.stop);
      if (e.kind === 'takeEpoch') this.#taking = e.above + 1;
    }
    this.hand.fresh();
  }

  play([what, a, b, c, d]: Happening): void {
    const { hand } = this;
    const id = String(a);
    switch (what) {
      case 'wait':
        hand.advance(Number(a));
        return this.#note();
      case 'act':
        this.act(id);
        return this.#note();
      case 'link': {
        hand.link(id, { retained: b as boolean, stop: Number(d), epoch: 1 + (c === 4 ? 3 : 0) });
        if (Number(c) < 3)
          for (const p of hand.yard.controllers.get(id)!) {
            const prop = hand.yard.props.get(p)!;
            for (const s of prop.sensors.keys()) hand.sense(`${p}.${s}`, s === prop.home);
          }
        return this.#note();
      }
      case 'oldLink':
        return this.take({
          kind: 'linkHeard',
          controller: id,
          up: true,
          session: `${id}-${b}`,
          first: `${id}-${b}`,
          props: [...hand.yard.controllers.get(id)!],
          stop: 0,
          epoch: 1,
          retained: c as boolean,
        });
      case 'claim':
        return this.take({
          kind: 'linkHeard',
          controller: id,
          up: true,
          session: hand.session(id),
          first: hand.session(id),
          props: [String(b)],
          stop: 0,
          epoch: 1,
          retained: false,
        });
      case 'will':
        hand.will(id);
        return this.#note();
      case 'hush':
        hand.hush(id);
        return;
      case 'beat': {
        hand.beating.add(id);
        const session = b === 3 ? 'stranger' : hand.session(id);
        return this.take({ kind: 'beatsHeard', beats: [[id, session, hand.at - Number(b) * 100]] });
      }
      case 'sense':
        hand.sense(id, b as boolean, { retained: c as boolean, ...(d ? { count: 1 } : {}) });
        return this.#note();
      case 'says': {
        const is = b as 'started';
        hand.says(id, is, {
          why: (['limit', 'busy', 'stopped', 'driver'] as const)[hand.at % 4]!,
          ...(c ? { run: 'other' } : {}),
          ...(d ? { session: 'stranger' } : {}),
        });
        return this.#note();
      }
      case 'stop':
        hand.stop();
        return this.#note();
      case 'clear':
        return this.take({ kind: 'clearAsked', by: 'keeper', seen: a ? 3 : EVER });
      case 'open':
        return this.take({ kind: 'openAsked', by: 'ann', planned: a as boolean, night: null });
      case 'hand': {
        const wall = hand.at + hand.show.offsetMs;
        const night = {
          ...NIGHT,
          date: `${NIGHT.date}-hand`,
          openMs: wall + 30_000,
          closeMs: wall + HOUR_MS,
          quietMs: null,
          opensByItself: false,
        };
        return this.take({ kind: 'openAsked', by: 'ann', planned: true, night });
      }
      case 'hold':
        return this.take({ kind: 'holdAsked', by: 'ann' });
      case 'close':
        return this.take({ kind: 'closeAsked', by: 'ann' });
      case 'run':
        return this.take({ kind: 'sceneAsked', by: 'ann', scene: id });
      case 'lockout':
        return this.take({ kind: 'lockoutAsked', by: 'ann', prop: id, why: '' });
      case 'release':
        return this.take({ kind: 'releaseAsked', by: 'keeper', prop: id, seen: EVER });
      case 'acknowledge':
        return this.take({ kind: 'acknowledged', by: 'ann', prop: id });
      case 'press': {
        const moves = [...hand.yard.props.get(id)!.moves.keys(), 'no-such'];
        const move = moves[Number(b) % moves.length]!;
        return this.take({ kind: 'benchPressed', by: 'keeper', prop: id, move, press: `p${c}` });
      }
      case 'lift':
        return this.take({ kind: 'benchLifted', by: 'keeper', prop: id, press: `p${b}` });
      case 'busLost':
        return this.take({ kind: 'busLost' });
      case 'busConnected':
        return this.take({ kind: 'busConnected' });
      case 'desk': {
        const epoch = Number(a);
        const by = c ? 'desk' : 'heartbeat';
        return this.take({
          kind: 'deskHeard',
          desk: OTHER_DESK,
          epoch,
          up: b as boolean,
          by,
          retained: false,
        });
      }
      case 'epochTaken':
        if (this.#taking === 0) return;
        this.take({ kind: 'epochTaken', epoch: this.#taking });
        this.#taking = 0;
        return;
      case 'stopHeard':
        return this.take({
          kind: 'stopHeard',
          latched: a as boolean,
          stop: Number(b),
          desk: OTHER_DESK,
          epoch: 1,
        });
      case 'stopped':
        return this.take({
          kind: 'stoppedHeard',
          controller: id,
          stop: hand.show.stop.n,
          session: hand.session(id),
          safe: b as boolean,
        });
      case 'clock':
        return this.take({ kind: 'clockStepped', offsetMs: hand.show.offsetMs + Number(a) });
      case 'stalled':
        return this.take({ kind: 'loopStalled', forMs: Number(a) });
      case 'recordFailed':
        return this.take({ kind: 'recordFailed', why: 'disk full' });
      case 'recordResumed':
        return this.take({ kind: 'recordResumed' });
      case 'draw': {
        const night = a ? NIGHT : { ...NIGHT, noticeScene: 'lanterns-up' };
        return this.take({ kind: 'nightDrawn', night, runs: plannedRuns(night.date) });
      }
      case 'mend': {
        const { night, planned } = hand.show;
        if (!night) return;
        const left = planned.filter((r) => r.state === 'planned');
        const runs = left
          .filter((_, i) => i % 5 !== Number(a))
          .map(({ id: run, scene, startMs }) => ({ id: run, scene, startMs: startMs + 1000 * Number(a) }));
        return this.take({ kind: 'planMended', night: night.date, runs });
      }
      case 'restart': {
        hand.show = loadShow(saveShow(hand.show), hand.yard);
        hand.at += 3000;
        return this.#start(a as boolean);
      }
      default:
        throw new Error(`nothing is called ${what}`);
    }
  }

  /** A month on, so that every night is over, every fault ends: the bus, the disk, the clock and all boards are well, and no other desk is about. */
  heal(): void {
    const { hand } = this;
    this.take({ kind: 'clockStepped', offsetMs: NIGHT.openMs + 30 * 24 * HOUR_MS - hand.at });
    this.take({ kind: 'busConnected' });
    this.take({ kind: 'recordResumed' });
    this.take({ kind: 'deskHeard', desk: OTHER_DESK, epoch: 1, up: false, by: 'desk', retained: false });
    for (let tries = 0; tries < 3; tries++) {
      hand.advance('3 s');
      this.#note();
      if (this.#taking > 0) this.take({ kind: 'epochTaken', epoch: this.#taking });
      this.#taking = 0;
    }
    for (const id of hand.yard.controllers.keys()) hand.link(id, { stop: hand.show.stop.n });
    atHome(hand);
    this.#note();
  }

  #start(bus: boolean): void {
    const { hand } = this;
    const wall = hand.at + hand.show.offsetMs;
    this.#taking = 0;
    this.take({
      kind: 'deskStarted',
      epoch: hand.show.desk.epoch + 1,
      word: 'desk-a',
      offsetMs: hand.show.offsetMs,
      stop: this.#stop,
      cleared: this.#cleared,
      night: wall >= NIGHT.openMs && wall < NIGHT.closeMs ? NIGHT : null,
    });
    if (bus) this.take({ kind: 'busConnected' });
  }

  /** A prop does what it was told, a part further: started, its sensors, done. */
  act(id: string): void {
    const { hand } = this;
    const f = hand.show.props[id]!.flight;
    if (!f || f.session !== hand.session(hand.yard.props.get(id)!.controller)) return;
    if (f.halting) return void hand.says(id, 'halted');
    if (f.startedAt === null) return void hand.says(id, 'started');
    const move = hand.yard.props.get(id)!.moves.get(f.move)!;
    if (move.until === null) {
      hand.advance(Math.max(0, f.startedAt + move.usualMs - hand.at));
      if (hand.show.props[id]!.flight?.run === f.run) hand.says(id, 'done');
      return;
    }
    if (f.from && f.from !== move.until && f.leftAt === null)
      return void hand.sense(`${id}.${f.from}`, false);
    hand.advance(Math.max(0, f.startedAt + move.usualMs - hand.at));
    if (hand.show.props[id]!.flight?.run !== f.run) return;
    hand.sense(`${id}.${move.until}`, true);
    hand.says(id, 'done');
  }
}

/** Boards and people as they should be, for any hand: what is told is done, in its usual time. */
export function tick(hand: Hand, forMs: number): void {
  const end = hand.at + forMs;
  for (;;) {
    for (const prop of hand.yard.props.values()) answer(hand, prop.id);
    if (hand.at >= end) return;
    hand.advance(Math.min(100, end - hand.at));
  }
}

function answer(hand: Hand, id: string): void {
  const f = hand.show.props[id]!.flight;
  const prop = hand.yard.props.get(id)!;
  if (!f || f.session !== hand.session(prop.controller) || !hand.beating.has(prop.controller)) return;
  if (f.halting) return void hand.says(id, 'halted');
  if (f.startedAt === null) return void hand.says(id, 'started');
  const move = prop.moves.get(f.move)!;
  if (move.until !== null && f.from && f.from !== move.until && f.leftAt === null)
    return void hand.sense(`${id}.${f.from}`, false);
  if (hand.at < f.startedAt + move.usualMs) return;
  if (move.until !== null) hand.sense(`${id}.${move.until}`, true);
  if (hand.show.props[id]!.flight?.run === f.run) hand.says(id, 'done');
}

/** A crossing every two minutes and a scare every minute, for the first half hour. */
export function plannedRuns(night: string): { id: string; scene: string; startMs: number }[] {
  const of = (scene: string, everyMs: number) =>
    Array.from({ length: Math.floor(1_800_000 / everyMs) }, (_, i) => ({
      id: `${night}.${scene}.${i + 1}`,
      scene,
      startMs: NIGHT.openMs + i * everyMs,
    }));
  return [...of('crossing', 120_000), ...of('porch-scare', 60_000)].sort((a, b) => a.startMs - b.startMs);
}

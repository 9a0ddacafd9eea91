import type { NightTimes } from '../../server/plan/tonight.ts';
import { type Breach, checkShow } from '../../server/show/check.ts';
import { nextDue } from '../../server/show/due.ts';
import type { Effect, Entry, StartMove } from '../../server/show/effects.ts';
import type { Event, Fact, PersonFact, PlannedStart } from '../../server/show/events.ts';
import { newShow } from '../../server/show/fresh.ts';
import type { Fault, Mode, Reason, ReasonCode, ReasonOf } from '../../server/show/reasons.ts';
import type { Flight, PropState, Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import type { Yard } from '../../server/yard/types.ts';
import { HOUR_MS, NIGHT, OPEN_MS } from './landing.ts';
import { msOf } from './time.ts';

export const EVER = Number.MAX_SAFE_INTEGER;
const BEAT_MS = 250;

/** Freezes a value and all below it, so that a step that writes to what it was given throws. */
export function frozen<T>(value: T): T {
  if (value === null || typeof value !== 'object' || Object.isFrozen(value)) return value;
  Object.freeze(value);
  for (const below of Object.values(value)) frozen(below);
  return value;
}

export interface HandOptions {
  readonly at?: number;
  readonly night?: NightTimes | null;
  readonly stop?: number;
  readonly cleared?: number;
}

/**
 * Drives `step` by hand: every message and every millisecond is the test's own. The boards say nothing but what the test
 * says for them, save their beats. Each step is given a frozen show, and each is asked for broken invariants.
 */
export class Hand {
  show: Show;
  /** Effects of the last fact taken. */
  last: readonly Effect[] = [];
  /** All effects since the last `fresh()`. */
  all: Effect[] = [];
  /** Every event taken, for a replay. */
  readonly events: Event[] = [];
  at: number;
  readonly yard: Yard;
  readonly beating = new Set<string>();
  readonly #sessions = new Map<string, number>();
  readonly #counts = new Map<string, number>();
  #beatAt: number;
  #presses = 0;

  constructor(yard: Yard, at: number) {
    this.yard = yard;
    this.show = frozen(newShow(yard));
    this.at = at;
    this.#beatAt = at + BEAT_MS;
  }

  /** Takes one fact now; answers the effects. Throws where an invariant breaks. */
  take(fact: Fact): readonly Effect[] {
    const { breaches } = this.tryTake(fact);
    if (breaches.length > 0) throw new Error(breaches.map((b) => b.text).join('\n'));
    return this.last;
  }

  tryTake(fact: Fact): { breaches: Breach[] } {
    const event = frozen({ ...fact, n: this.show.n + 1, at: this.at } as Event);
    const before = this.show;
    const done = step(before, event);
    const breaches = checkShow(before, event, done.show, done.effects);
    this.show = frozen(done.show);
    this.last = frozen(done.effects);
    this.all.push(...done.effects);
    this.events.push(event);
    return { breaches };
  }

  /** Forgets the effects so far. */
  fresh(): this {
    this.all = [];
    return this;
  }

  /** Lets time pass: beats of the boards that beat, and `timeReached` whenever it is due. */
  advance(time: string | number): this {
    const to = this.at + (typeof time === 'number' ? time : msOf(time));
    let looks = 0;
    for (;;) {
      const due = Math.max(nextDue(this.show), this.at);
      const next = Math.min(due, this.#beatAt);
      if (next > to) break;
      if (next > this.at) looks = 0;
      this.at = next;
      if (this.#beatAt <= next) this.#beat();
      if (nextDue(this.show) <= this.at) this.take({ kind: 'timeReached' });
      looks += 1;
      if (looks > 4) throw new Error(`spins at ${this.at - OPEN_MS} ms: nextDue stays ${nextDue(this.show)}`);
    }
    this.at = to;
    return this;
  }

  #beat(): void {
    this.#beatAt = this.at + BEAT_MS;
    const beats = [...this.beating].map((c) => [c, this.session(c), this.at] as const);
    if (beats.length > 0) this.take({ kind: 'beatsHeard', beats });
  }

  // the boards

  session(controller: string): string {
    return `${controller}-${this.#sessions.get(controller) ?? 0}`;
  }

  /** A board makes a new session and says `link`; it beats from now on. */
  link(
    controller: string,
    more: { stop?: number; epoch?: number; retained?: boolean; props?: string[]; same?: boolean } = {},
  ): this {
    if (!more.same) this.#sessions.set(controller, (this.#sessions.get(controller) ?? 0) + 1);
    const session = this.session(controller);
    this.take({
      kind: 'linkHeard',
      controller,
      up: true,
      session,
      first: session,
      props: more.props ?? [...this.yard.controllers.get(controller)!],
      stop: more.stop ?? 0,
      epoch: more.epoch ?? this.show.desk.epoch,
      retained: more.retained ?? false,
    });
    if (!more.retained) this.beating.add(controller);
    return this;
  }

  /** Its will, as the broker gives it out: the connection is gone. */
  will(controller: string): this {
    this.beating.delete(controller);
    this.take({
      kind: 'linkHeard',
      controller,
      up: false,
      session: this.session(controller),
      retained: false,
    });
    return this;
  }

  hush(controller: string): this {
    this.beating.delete(controller);
    return this;
  }

  /** A sensor's word, the next of its count. `where` is `prop.sensor`. */
  sense(
    where: string,
    made: boolean,
    more: { retained?: boolean; count?: number; session?: string } = {},
  ): this {
    const [prop, sensor] = where.split('.') as [string, string];
    const count = more.count ?? (this.#counts.get(where) ?? 0) + 1;
    this.#counts.set(where, count);
    this.take({
      kind: 'sensorChanged',
      prop,
      sensor,
      made,
      session: more.session ?? this.session(this.yard.props.get(prop)!.controller),
      count,
      retained: more.retained ?? false,
    });
    return this;
  }

  /** What a board says of the move that its prop was told last. */
  says(
    prop: string,
    is: 'started' | 'done' | 'refused' | 'failed' | 'halted',
    more: { why?: string; run?: string; step?: number; move?: string; session?: string } = {},
  ): this {
    const f = this.show.props[prop]!.flight;
    this.take({
      kind: 'moveReported',
      prop,
      run: more.run ?? f?.run ?? 'none',
      step: more.step ?? f?.step ?? 0,
      move: more.move ?? f?.move ?? 'none',
      is,
      session: more.session ?? this.session(this.yard.props.get(prop)!.controller),
      ...(more.why === undefined ? {} : { why: more.why }),
      ...(is === 'done' ? { ms: 1 } : {}),
    });
    return this;
  }

  /** The ferry's whole journey as its board tells it: started, left one end, made the other, done. */
  travels(prop: string, from: string, to: string, time = '6 s'): this {
    this.says(prop, 'started');
    this.advance('200 ms').sense(`${prop}.${from}`, false);
    this.advance(msOf(time) - 200).sense(`${prop}.${to}`, true);
    return this.says(prop, 'done');
  }

  /** A timed move as its board tells it. */
  plays(prop: string, time: string): this {
    this.says(prop, 'started');
    return this.advance(time).says(prop, 'done');
  }

  // people

  /** A person's act; answers why it was refused, or null where it was taken. */
  ask(fact: PersonFact): readonly Reason[] | null {
    this.take(fact);
    const answer = this.last.find((e) => e.kind === 'answer');
    if (!answer) throw new Error(`${fact.kind} was not answered`);
    return answer.refused.length === 0 ? null : answer.refused;
  }

  stop(by = 'page'): this {
    this.take({ kind: 'stopPressed', by });
    return this;
  }

  clear(seen = EVER): readonly Reason[] | null {
    return this.ask({ kind: 'clearAsked', by: 'keeper', seen });
  }

  openAsked(planned = true): readonly Reason[] | null {
    return this.ask({ kind: 'openAsked', by: 'ann', planned, night: null });
  }

  run(scene: string): readonly Reason[] | null {
    return this.ask({ kind: 'sceneAsked', by: 'ann', scene });
  }

  release(prop: string, seen = EVER): readonly Reason[] | null {
    return this.ask({ kind: 'releaseAsked', by: 'keeper', prop, seen });
  }

  lockout(prop: string, why = 'belt frayed'): readonly Reason[] | null {
    return this.ask({ kind: 'lockoutAsked', by: 'ann', prop, why });
  }

  press(prop: string, move: string, press = `p${++this.#presses}`): readonly Reason[] | null {
    return this.ask({ kind: 'benchPressed', by: 'keeper', prop, move, press });
  }

  plan(runs: readonly PlannedStart[], night = NIGHT): this {
    this.take({ kind: 'nightDrawn', night, runs });
    return this;
  }

  // what came of it

  get mode(): Mode {
    return this.show.mode;
  }

  prop(id: string): PropState {
    return this.show.props[id]!;
  }

  flight(id: string): Flight {
    const f = this.prop(id).flight;
    if (!f) throw new Error(`${id} has no move under way`);
    return f;
  }

  fault(id: string): Fault | null {
    return this.prop(id).lockout?.fault ?? null;
  }

  /** `prop.move` of each order to move since `fresh()`. */
  get moves(): string[] {
    return this.orders.map((o) => `${o.prop}.${o.move}`);
  }

  get orders(): StartMove[] {
    return this.all.filter((e) => e.kind === 'startMove');
  }

  get halts(): string[] {
    return this.all.filter((e) => e.kind === 'haltProp').map((e) => e.prop);
  }

  kinds(kind: Effect['kind']): Effect[] {
    return this.all.filter((e) => e.kind === kind);
  }

  lines<C extends ReasonCode>(code: C): (Entry & { reason: ReasonOf<C> })[] {
    return this.all
      .filter((e) => e.kind === 'record')
      .map((e) => e.entry)
      .filter((e): e is Entry & { reason: ReasonOf<C> } => e.reason.code === code);
  }
}

/** A desk that has started and is on the bus, an hour before the night opens unless told. */
export function started(yard: Yard, options: HandOptions = {}): Hand {
  const hand = new Hand(yard, options.at ?? OPEN_MS - HOUR_MS);
  hand.take({
    kind: 'deskStarted',
    epoch: 1,
    word: 'desk-a',
    offsetMs: 0,
    stop: options.stop ?? 0,
    cleared: options.cleared ?? 0,
    night: options.night ?? null,
  });
  hand.take({ kind: 'busConnected' });
  return hand;
}

/** Every board is linked and every prop stands at home. */
export function linked(yard: Yard, options: HandOptions = {}): Hand {
  const hand = started(yard, options);
  for (const controller of yard.controllers.keys()) hand.link(controller);
  return atHome(hand);
}

/** Every sensor is heard: the homes made, all else not. */
export function atHome(hand: Hand, controllers: Iterable<string> = hand.yard.controllers.keys()): Hand {
  for (const controller of controllers)
    for (const id of hand.yard.controllers.get(controller)!) {
      const prop = hand.yard.props.get(id)!;
      for (const s of prop.sensors.keys()) hand.sense(`${id}.${s}`, s === prop.home);
    }
  return hand;
}

/** An open yard at its first instant, by itself, with these runs planned. */
export function opened(yard: Yard, runs: readonly PlannedStart[] = [], night: NightTimes = NIGHT): Hand {
  const hand = linked(yard, { at: night.openMs - night.noticeMs - 60_000 });
  hand.plan(runs, night);
  hand.advance(night.openMs - hand.at);
  if (hand.mode !== 'open') throw new Error(`the yard is ${hand.mode}, not open`);
  return hand.fresh();
}

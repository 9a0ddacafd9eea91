import type { Move, Need, Prop } from '../yard/types.ts';
import type { Desk } from './fences.ts';
import { type Topics, topicsOf } from './topics.ts';

export type Payload = Readonly<Record<string, unknown>>;

/** The bus as an examination uses it, in real time or in virtual. Only what is published under the root is told. */
export interface ExamBus {
  nowMs(): number;
  /** One listener; `payload` is null where it does not read as a JSON object. */
  onMessage(listener: (topic: string, payload: Payload | null, retained: boolean) => void): void;
  publish(topic: string, payload: string, retain: boolean, qos: 0 | 1): void;
  /** Repeats until the answered function is called; the first time at once. */
  every(ms: number, act: () => void): () => void;
  /** Lets time pass: true as soon as `until` holds, which is asked after each message; false after `ms`. */
  wait(ms: number, until?: () => boolean): Promise<boolean>;
  /** What the broker holds on these topics, by a subscription made now: a message heard live says nothing of that. */
  kept(topics: readonly string[]): Promise<ReadonlyMap<string, Payload>>;
  close(): Promise<void>;
}

export interface Heard {
  readonly atMs: number;
  readonly topic: string;
  readonly payload: Payload;
  readonly retained: boolean;
}

/** A move that may be tried now: its needs hold, and it has somewhere to go. */
export interface Choice {
  readonly prop: Prop;
  readonly move: Move;
}

/** A move under way: where in the record it began. */
export interface Trial extends Choice {
  readonly run: string;
  readonly mark: number;
}

/** ms that any answer may take: the contract's first try of a `do`, and half as much again. */
export const ANSWER_MS = 1500;
/** ms for the bus and for the board's own loop, on top of every time that is measured. */
export const SLACK_MS = 250;
const HEARTBEAT_MS = 250;

/**
 * Acts as the desk of a bus that has no other, and keeps the record of all that the examined controller says. The
 * checks say through it what a desk would say, right or wrong on purpose, and read in the record what came of it.
 */
export class Examiner {
  readonly controller: string;
  readonly props: readonly Prop[];
  readonly bus: ExamBus;
  readonly topics: Topics;
  readonly silenceMs: number;
  readonly record: Heard[] = [];
  me: Desk;
  /** The last stop's number; that of the latched one while `latched`. */
  stop: number;
  latched = false;
  /** The session that the board last spoke under. */
  session: string | null = null;
  /** Needs of props that this controller does not drive hold, by the word of a person. */
  readonly #assumesNeeds: boolean;
  /** `prop.move`: what the board has begun at least once. */
  readonly begun = new Set<string>();
  /** By run: what was ordered and has not ended, as far as the board says. */
  readonly #under = new Map<string, Trial>();
  readonly #started = new Set<string>();
  readonly #made = new Map<string, boolean>();
  #quiet: (() => void) | null = null;
  #beats = 0;
  #runs = 0;

  constructor(given: {
    controller: string;
    props: readonly Prop[];
    bus: ExamBus;
    root: string;
    silenceMs: number;
    me: Desk;
    stop: number;
    assumesNeeds?: boolean;
  }) {
    this.controller = given.controller;
    this.props = given.props;
    this.bus = given.bus;
    this.topics = topicsOf(given.root);
    this.silenceMs = given.silenceMs;
    this.me = given.me;
    this.stop = given.stop;
    this.#assumesNeeds = given.assumesNeeds ?? false;
  }

  hear(topic: string, payload: Payload | null, retained: boolean): void {
    if (!payload) return;
    this.record.push({ atMs: this.bus.nowMs(), topic, payload, retained });
    const t = this.topics;
    const own = [t.link(this.controller), t.beat(this.controller), t.stopped(this.controller)];
    if (own.includes(topic) && payload.up !== false && typeof payload.session === 'string') {
      if (payload.session !== this.session) this.#under.clear();
      this.session = payload.session;
    }
    for (const prop of this.props) {
      for (const s of prop.sensors.keys()) {
        if (topic === t.sense(prop.id, s)) this.#made.set(`${prop.id}.${s}`, payload.made === true);
      }
      if (topic === t.did(prop.id)) this.#hearDid(prop.id, payload);
    }
  }

  #hearDid(prop: string, did: Payload): void {
    if (did.is === 'started') {
      this.#started.add(String(did.run));
      const trial = this.#under.get(String(did.run));
      if (trial) this.begun.add(`${trial.prop.id}.${trial.move.id}`);
    }
    // A halt ends whatever that prop did; every other word is about one run, and a refusal does not end one started.
    for (const [run, trial] of this.#under) {
      const about = did.run === run && (did.is === 'done' || did.is === 'failed');
      const refused = did.run === run && did.is === 'refused' && !this.#started.has(run);
      if (trial.prop.id === prop && (did.is === 'halted' || about || refused)) this.#under.delete(run);
    }
  }

  /** Where the record stands now. */
  mark(): number {
    return this.record.length;
  }

  /** What came on a topic since then. */
  since(mark: number, topic: string): Heard[] {
    return this.record.slice(mark).filter((h) => h.topic === topic);
  }

  links(mark: number): Heard[] {
    return this.since(mark, this.topics.link(this.controller)).filter((h) => h.payload.up === true);
  }

  dids(mark: number, prop: string, run?: string): Payload[] {
    const all = this.since(mark, this.topics.did(prop)).map((h) => h.payload);
    return run === undefined ? all : all.filter((d) => d.run === run);
  }

  /** Whether every sensor was read out live since then under this session. */
  readOut(mark: number, session: string | null): boolean {
    return this.props.every((p) =>
      [...p.sensors.keys()].every((s) =>
        this.since(mark, this.topics.sense(p.id, s)).some((h) => h.payload.session === session),
      ),
    );
  }

  say(topic: string, payload: object, retain = false, qos: 0 | 1 = 1): void {
    this.bus.publish(topic, JSON.stringify(payload), retain, qos);
  }

  heartbeat(over: object = {}): void {
    this.#beats += 1;
    const payload = { ...this.me, n: this.#beats, silenceMs: this.silenceMs, stop: 0, ...over };
    this.say(this.topics.heartbeat, payload, false, 0);
  }

  /** The heartbeat on or off; `over` changes its payload. */
  beat(on: boolean, over: object = {}): void {
    this.#quiet?.();
    this.#quiet = on ? this.bus.every(HEARTBEAT_MS, () => this.heartbeat(over)) : null;
  }

  /** Latches the next stop. */
  stopAll(): number {
    this.stop += 1;
    this.latched = true;
    this.say(this.topics.stop, { latched: true, n: this.stop, ...this.me }, true);
    return this.stop;
  }

  clear(n: number, over: object = {}): void {
    this.say(this.topics.stop, { latched: false, n, ...this.me, ...over }, true);
  }

  nextRun(): string {
    this.#runs += 1;
    return `exam.${this.me.epoch}.${this.#runs}`;
  }

  /** Sends a `do` that is right in every way but for what `over` changes. */
  order(choice: Choice, over: Record<string, unknown> = {}): Trial {
    const { prop, move } = choice;
    const run = this.nextRun();
    const payload = {
      prop: prop.id,
      run,
      step: 0,
      move: move.id,
      session: this.session,
      ...this.me,
      limitMs: move.limitMs,
      ...(move.lastsMs === null ? {} : { lastsMs: move.lastsMs }),
      ...over,
    };
    const trial: Trial = { ...choice, run: String(payload.run), mark: this.mark() };
    this.#under.set(trial.run, trial);
    this.say(this.topics.order(prop.id), payload, false, 0);
    return trial;
  }

  halt(prop: string): void {
    this.say(this.topics.halt(prop), { prop, epoch: this.me.epoch, why: 'exam' });
  }

  /** Sends a good `do` and waits until it has been answered, or should have been. */
  async begin(choice: Choice, over: Record<string, unknown> = {}): Promise<Trial> {
    const trial = this.order(choice, over);
    await this.bus.wait(ANSWER_MS, () => this.dids(trial.mark, trial.prop.id, trial.run).length > 0);
    return trial;
  }

  /** Waits until a move has ended by any word, as long as it may last. */
  async ended(trial: Trial): Promise<boolean> {
    return this.bus.wait(trial.move.limitMs + ANSWER_MS, () => !this.#under.has(trial.run));
  }

  /** Whether since then it got where it was sent: its sensor went to made, or its end was told. */
  arrived(trial: Trial, mark: number): boolean {
    return (
      this.madeSince(trial, mark) || this.dids(mark, trial.prop.id, trial.run).some((d) => d.is === 'done')
    );
  }

  /** Whether the sensor that ends the move has gone to made since then; a reading told once more is no edge. */
  madeSince({ prop, move }: Choice, mark: number): boolean {
    if (move.until === null) return false;
    const topic = this.topics.sense(prop.id, move.until);
    const before = this.since(0, topic).length - this.since(mark, topic).length;
    const readings = this.since(0, topic).map((h) => h.payload);
    const last = readings[before - 1];
    return readings.slice(before).some((r) => r.made === true && (last?.made !== true || r.n !== last.n));
  }

  isMade(prop: string, sensor: string): boolean | undefined {
    return this.#made.get(`${prop}.${sensor}`);
  }

  /** All moves that may be tried now, the best to watch first: those that end at a sensor, the longest of them. */
  choices(): Choice[] {
    const all = this.props.flatMap((prop) => [...prop.moves.values()].map((move) => ({ prop, move })));
    const weight = ({ move }: Choice) => (move.until === null ? 0 : 1e9) + move.usualMs;
    return all
      .filter(({ prop, move }) => move.until === null || this.isMade(prop.id, move.until) === false)
      .filter(({ move }) => move.needs.every((n) => this.holds(n)))
      .sort((a, b) => weight(b) - weight(a));
  }

  /** Whether a need holds by what this controller itself says; of others' props only a person can say it. */
  holds(need: Need): boolean {
    const prop = this.props.find((p) => p.id === need.prop);
    if (!prop) return this.#assumesNeeds;
    if (need.kind === 'made') return this.isMade(prop.id, need.sensor) === true;
    if (need.kind === 'not-made') return this.isMade(prop.id, need.sensor) === false;
    const atRest = [...this.#under.values()].every((t) => t.prop !== prop);
    return need.kind === 'at-rest'
      ? atRest
      : atRest && prop.home !== null && this.isMade(prop.id, prop.home) === true;
  }

  /** Everything at rest, nothing latched, the heartbeat on: where each check begins. */
  async settle(): Promise<void> {
    this.beat(true);
    if (this.latched) {
      this.clear(this.stop);
      this.latched = false;
    }
    for (const trial of [...this.#under.values()]) {
      this.halt(trial.prop.id);
      if (!(await this.bus.wait(ANSWER_MS, () => !this.#under.has(trial.run)))) await this.ended(trial);
      this.#under.delete(trial.run);
    }
    await this.bus.wait(SLACK_MS);
  }

  /** Brings each prop that stands between its ends to one, so that what is tried next has its whole way before it. */
  async findEnds(): Promise<void> {
    for (const prop of this.props) {
      const ends = [...prop.moves.values()].flatMap((m) => m.until ?? []);
      if (ends.length === 0 || ends.some((s) => this.isMade(prop.id, s) !== false)) continue;
      const ways = this.choices().filter((c) => c.prop === prop && c.move.until !== null);
      const choice = ways.find((c) => c.move.until === prop.home) ?? ways[0];
      if (choice) await this.ended(await this.begin(choice));
    }
  }

  /** Sends each prop home that has a move for it and is not there. */
  async home(): Promise<void> {
    for (const prop of this.props) {
      const { home } = prop;
      if (home === null || this.isMade(prop.id, home) !== false) continue;
      const choice = this.choices().find((c) => c.prop === prop && c.move.until === home);
      if (choice) await this.ended(await this.begin(choice));
    }
  }
}

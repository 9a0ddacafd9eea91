import { type Chance, wordOf } from './chance.ts';
import { Fences } from './fences.ts';
import type { Machine } from './physics.ts';
import { type Reading, Readings } from './readings.ts';
import {
  deskSchema,
  doSchema,
  haltSchema,
  heartbeatSchema,
  linkDownSchema,
  type Order,
  type Out,
  type Qos,
  stopSchema,
  type Topics,
  topicsOf,
} from './topics.ts';
import { Work } from './work.ts';

export interface BoardOptions {
  readonly controller: string;
  readonly root: string;
  /** The props it drives, in the order of the file. */
  readonly machines: readonly Machine[];
  /** Of the session words. Seed it differently at each start of a process: a word may never come back. */
  readonly chance: Chance;
  readonly atMs: number;
  readonly firmware?: string;
}

type Hears = (atMs: number, payload: unknown, retained: boolean) => void;
type Schema<T> = { safeParse(v: unknown): { success: true; data: T } | { success: false } };

/**
 * One controller in virtual time: the whole contract, no clock and no socket. Each call answers what goes out.
 * Whoever drives it calls `advanceTo` no later than `nextDue`; one called late acts as if its loop had stood still.
 *
 * Lifecycle: booted, linked (after `dial` and `connect`), unlinked again, hung. A session lasts until the next
 * connect, silence, higher desk or stop, and with it go its jobs and the outputs.
 */
export class Board {
  readonly controller: string;
  readonly topics: Topics;
  readonly #options: BoardOptions;
  readonly #work: readonly Work[];
  readonly #hears = new Map<string, Hears>();
  readonly #readings: Readings;
  #fences: Fences;
  #session: string;
  /** The session with which the present or coming connection begins; its will bears it. */
  #first: string;
  #linked = false;
  #hung = false;
  #beats = 0;
  #nextBeatMs = 0;
  #atMs: number;
  #out: Out[] = [];

  constructor(options: BoardOptions) {
    this.controller = options.controller;
    this.topics = topicsOf(options.root);
    this.#options = options;
    this.#atMs = options.atMs;
    this.#session = wordOf(options.chance);
    this.#first = this.#session;
    this.#fences = new Fences(options.atMs);
    this.#work = options.machines.map(
      (m) => new Work(m, (did) => this.#send(this.topics.did(m.prop.id), did, false, 1)),
    );
    this.#readings = new Readings(options.machines, this.topics);
    this.#route();
  }

  get machines(): readonly Machine[] {
    return this.#options.machines;
  }

  get linked(): boolean {
    return this.#linked;
  }

  get hung(): boolean {
    return this.#hung;
  }

  get session(): string {
    return this.#session;
  }

  /** What it subscribes to on each connection. */
  get subscriptions(): { topic: string; qos: Qos }[] {
    const t = this.topics;
    const props = this.machines.map((m) => m.prop.id);
    const sure = [t.stop, t.announce, t.desk, t.link(this.controller), ...props.map(t.halt)];
    const swift = [t.heartbeat, ...props.map(t.order)];
    return [
      ...sure.map((topic) => ({ topic, qos: 1 as const })),
      ...swift.map((topic) => ({ topic, qos: 0 as const })),
    ];
  }

  /** Before connecting: makes the session that the connection will begin with, and answers its will. */
  dial(atMs: number): Out {
    this.advanceTo(atMs);
    this.#first = wordOf(this.#options.chance);
    const payload = { up: false, session: this.#first };
    return { topic: this.topics.link(this.controller), payload, retain: true, qos: 1 };
  }

  /** Connected and subscribed. A `dial` came before. */
  connect(atMs: number): Out[] {
    const before = this.advanceTo(atMs);
    this.#letGo(atMs);
    this.#session = this.#first;
    this.#fences.arm(atMs);
    this.#linked = true;
    this.#report();
    this.#beat(atMs);
    return [...before, ...this.#take()];
  }

  /** The link is gone. The outputs follow when the heartbeat has been missing for `silenceMs`. */
  disconnect(atMs: number): Out[] {
    const before = this.advanceTo(atMs);
    this.#linked = false;
    return before;
  }

  /** Power lost and back: outputs off, nothing remembered, not linked. */
  reboot(atMs: number): Out[] {
    const before = this.advanceTo(atMs);
    this.#letGo(atMs);
    this.#linked = false;
    this.#hung = false;
    this.#fences = new Fences(atMs);
    this.#beats = 0;
    this.#readings.boot();
    return before;
  }

  /** The loop stands still: nothing in or out. Its watchdog takes the outputs off at the end of the silence. */
  hang(atMs: number): Out[] {
    const before = this.advanceTo(atMs);
    this.#hung = true;
    return before;
  }

  /** A message as it arrived; what is not for this board, or does not read as the contract has it, is dropped. */
  receive(atMs: number, topic: string, payload: unknown, retained: boolean): Out[] {
    const before = this.advanceTo(atMs);
    if (!this.#hung) this.#hears.get(topic)?.(this.#atMs, payload, retained);
    return [...before, ...this.#take()];
  }

  advanceTo(atMs: number): Out[] {
    const period = this.#beatPeriod();
    const missed = Math.floor((atMs - this.#nextBeatMs) / period);
    // A loop that stood still sends one beat when it goes on, not all that it missed.
    if (this.#linked && missed > 0) this.#nextBeatMs += missed * period;
    for (let due = this.nextDue(); due !== null && due <= atMs; due = this.nextDue()) this.#runAt(due);
    this.#runAt(Math.max(this.#atMs, atMs));
    return this.#take();
  }

  /** When `advanceTo` is wanted next, ms; null: nothing will happen by itself. */
  nextDue(): number | null {
    let due = this.#fences.silenceDue() ?? Infinity;
    if (this.#linked && !this.#hung) due = Math.min(due, this.#nextBeatMs);
    for (const w of this.#work) {
      due = Math.min(due, w.machine.nextDue() ?? Infinity);
      if (!this.#hung) due = Math.min(due, w.nextDue());
    }
    return due === Infinity ? null : Math.max(due, this.#atMs);
  }

  /** One pass of the loop: sensors, outputs, silence, beat. */
  #runAt(atMs: number): void {
    this.#atMs = atMs;
    for (const w of this.#work) w.machine.advanceTo(atMs);
    if (!this.#hung) {
      this.#readings.take((r) => this.#sense(r));
      for (const w of this.#work) w.judge(atMs, this.#session);
    }
    if ((this.#fences.silenceDue() ?? Infinity) <= atMs) {
      this.#fences.fallSilent();
      this.#letGo(atMs);
    }
    if (this.#linked && !this.#hung && this.#nextBeatMs <= atMs) this.#beat(atMs);
  }

  #route(): void {
    const t = this.topics;
    this.#on(t.desk, deskSchema, (atMs, who) => this.#hearDesk(atMs, who));
    this.#on(t.heartbeat, heartbeatSchema, (atMs, h) => this.#hearHeartbeat(atMs, h), 'live only');
    this.#on(t.stop, stopSchema, (atMs, s) => this.#hearStop(atMs, s));
    this.#hears.set(t.announce, () => this.#report());
    this.#on(t.link(this.controller), linkDownSchema, () => this.#report());
    for (const w of this.#work) {
      const prop = w.machine.prop.id;
      const hearOrder = (atMs: number, order: Order) => {
        if (order.prop !== prop) return;
        w.hear(atMs, order, this.#session, this.#fences.refusal(atMs, order, this.#session));
      };
      this.#on(t.order(prop), doSchema, hearOrder, 'live only');
      this.#on(t.halt(prop), haltSchema, (atMs, h) => {
        if (h.prop === prop) w.halt(atMs, this.#session);
      });
    }
  }

  #on<T>(topic: string, schema: Schema<T>, act: (atMs: number, data: T) => void, when?: 'live only'): void {
    this.#hears.set(topic, (atMs, payload, retained) => {
      if (retained && when === 'live only') return;
      const read = schema.safeParse(payload);
      if (read.success) act(atMs, read.data);
    });
  }

  #hearDesk(atMs: number, who: { desk: string; epoch: number }): void {
    if (!this.#fences.hearDesk(atMs, who)) return;
    this.#letGo(atMs);
    this.#report();
  }

  #hearHeartbeat(atMs: number, h: { desk: string; epoch: number; silenceMs: number; stop: number }): void {
    this.#hearDesk(atMs, h);
    const back = this.#fences.follows(h) && this.#fences.hearHeartbeat(atMs, h.silenceMs);
    this.#nextBeatMs = Math.min(this.#nextBeatMs, atMs + this.#beatPeriod());
    if (this.#fences.hearHeartbeatStop(h.stop)) this.#obey(atMs, h.stop);
    else if (back) this.#report();
  }

  #hearStop(atMs: number, s: { latched: boolean; n: number; desk: string; epoch: number }): void {
    this.#hearDesk(atMs, s);
    if (!s.latched) {
      if (this.#fences.follows(s)) this.#fences.hearClear(s.n);
    } else if (this.#fences.hearStop(s.n)) this.#obey(atMs, s.n);
  }

  #obey(atMs: number, n: number): void {
    this.#letGo(atMs);
    this.#send(this.topics.stopped(this.controller), { n, session: this.#session, safe: true }, false, 1);
    this.#report();
  }

  #letGo(atMs: number): void {
    for (const w of this.#work) w.forget(atMs);
    this.#session = wordOf(this.#options.chance);
  }

  #sense({ machine, topic, made, n }: Reading): void {
    this.#send(topic, { prop: machine.prop.id, made, session: this.#session, n }, true, 1);
  }

  /** `link`, then every sensor's present reading. */
  #report(): void {
    const payload = {
      up: true,
      session: this.#session,
      first: this.#first,
      contract: 1,
      props: this.machines.map((m) => m.prop.id),
      stop: this.#fences.obeyed,
      epoch: this.#fences.followed.epoch,
      firmware: this.#options.firmware ?? 'stand-in 1',
    };
    this.#send(this.topics.link(this.controller), payload, true, 1);
    for (const r of this.#readings.all) this.#sense(r);
  }

  /** A quarter of the silence, where a third is the most allowed. */
  #beatPeriod(): number {
    return Math.floor(this.#fences.silenceMs / 4);
  }

  #beat(atMs: number): void {
    this.#beats += 1;
    this.#nextBeatMs = atMs + this.#beatPeriod();
    this.#send(this.topics.beat(this.controller), { session: this.#session, n: this.#beats }, false, 0);
  }

  #send(topic: string, payload: Out['payload'], retain: boolean, qos: Qos): void {
    if (this.#linked && !this.#hung) this.#out.push({ topic, payload, retain, qos });
  }

  #take(): Out[] {
    const out = this.#out;
    this.#out = [];
    return out;
  }
}

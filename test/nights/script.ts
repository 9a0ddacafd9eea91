import { expect } from 'vitest';
import { replay } from '../../server/journal/replay.ts';
import type { Picture, PropPicture } from '../../server/picture.ts';
import { pictureOf } from '../../server/picture-of.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { type Rehearsal, rehearse } from '../../server/rehearse/rehearsal.ts';
import type { Entry } from '../../server/show/effects.ts';
import type { PersonFact, PlannedStart } from '../../server/show/events.ts';
import type { Fault, Mode, Reason } from '../../server/show/reasons.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import { wordsOf } from '../../server/words-of.ts';
import type { Yard } from '../../server/yard/types.ts';
import { NIGHT } from '../show/landing.ts';
import { msOf } from '../show/time.ts';

export const EVER = Number.MAX_SAFE_INTEGER;

export interface Night {
  readonly night?: Partial<NightTimes>;
  readonly runs?: readonly PlannedStart[];
  /** How long before the notice the desk starts. */
  readonly early?: string;
  readonly seed?: number;
  /** After every turn of the desk. */
  readonly watch?: (r: Rehearsal) => void;
  /** Each line as it goes to the record. */
  readonly heard?: (entry: Entry, after: Show) => void;
}

export interface SaidLine {
  readonly at: number;
  readonly code: string;
  readonly text: string;
  readonly prop: string | null;
  readonly scene: string | null;
  readonly reason: Reason;
}

/**
 * A night told as a builder would tell it: time passes, something goes wrong with a prop, someone says something on the
 * bus, a person asks for something; and what the page shows and the record says is looked at. The desk, the core and
 * the boards are the real ones, in virtual time. An invariant that breaks fails the test wherever it happens.
 */
export class Script {
  readonly r: Rehearsal;
  readonly yard: Yard;
  readonly night: NightTimes;
  /** What the boards heard from the desk, topics below the root. */
  readonly said: { at: number; topic: string; payload: Record<string, unknown>; retain: boolean }[] = [];
  #seen = 0;

  constructor(yard: Yard, options: Night = {}) {
    this.yard = yard;
    this.night = { ...NIGHT, ...options.night };
    const startMs = this.night.openMs - this.night.noticeMs - msOf(options.early ?? '1 min');
    const { seed, watch, heard } = options;
    this.r = rehearse({
      yard,
      startMs,
      ...(seed === undefined ? {} : { seed }),
      ...(watch === undefined ? {} : { watch }),
      ...(heard === undefined ? {} : { heard }),
    });
    const { fleet } = this.r;
    const receive = fleet.receive.bind(fleet);
    fleet.receive = (at, topic, payload, retain) => {
      const below = topic.slice(yard.bus.root.length + 1);
      this.said.push({ at, topic: below, payload: payload as Record<string, unknown>, retain });
      receive(at, topic, payload, retain);
    };
    this.r.desk.tell({ kind: 'nightDrawn', night: this.night, runs: [...(options.runs ?? [])] });
    this.advance('2 s');
  }

  /** Time passes. */
  advance(time: string): this {
    return this.until(this.r.clock.now() + msOf(time));
  }

  until(atMs: number): this {
    this.r.runTo(atMs);
    if (this.r.breach !== null) throw new Error(this.r.breach);
    return this;
  }

  /** To the night's opening and a moment on. */
  untilOpen(): this {
    this.until(this.night.openMs + 100);
    return this.expectMode('open');
  }

  /** Looks every 50 ms until something is so; fails where it is not so within that time. */
  await(what: string, so: () => boolean, within: string): this {
    const end = this.r.clock.now() + msOf(within);
    while (!so()) {
      if (this.r.clock.now() >= end) throw new Error(`not so within ${within}: ${what}\n${this.told()}`);
      this.until(Math.min(end, this.r.clock.now() + 50));
    }
    return this;
  }

  /** A line to the stand-ins: `jam ferry`, `cut ferry-board`, `mend all`, `press path-mat.step`. */
  standin(line: string): this {
    const answer = this.r.fleet.say(this.r.clock.now(), line);
    if (answer.startsWith('No:')) throw new Error(answer);
    return this;
  }

  /** Anyone says something on the bus: the desk hears it, and every board that listens there. Topics below the root. */
  say(topic: string, payload: unknown, retained = false): this {
    const whole = `${this.yard.bus.root}/${topic}`;
    this.r.bus.hear(this.r.desk, whole, payload, retained);
    this.r.fleet.receive(this.r.clock.now(), whole, payload, retained);
    this.r.clock.settle();
    return this;
  }

  /** Orders to a prop are lost on the way from now on, as a bus may lose them. */
  loseOrders(prop: string): this {
    const { bus } = this.r;
    const send = bus.startMove.bind(bus);
    bus.startMove = (order, who) => order.prop === prop || send(order, who);
    return this;
  }

  /** What a person asks for: the codes of why not, or none. */
  async ask(fact: PersonFact): Promise<string[]> {
    const answer = this.r.desk.ask(fact);
    this.r.clock.settle();
    const { ok, ...rest } = await answer;
    return ok ? [] : (rest as { refused: readonly Reason[] }).refused.map((r) => r.code);
  }

  stop(by = 'page'): this {
    this.r.desk.stop(by);
    return this;
  }

  clear(seen = EVER): Promise<string[]> {
    return this.ask({ kind: 'clearAsked', by: 'keeper', seen });
  }

  open(): Promise<string[]> {
    return this.ask({ kind: 'openAsked', by: 'ann', planned: true, night: null });
  }

  run(scene: string): Promise<string[]> {
    return this.ask({ kind: 'sceneAsked', by: 'ann', scene });
  }

  release(prop: string): Promise<string[]> {
    return this.ask({ kind: 'releaseAsked', by: 'keeper', prop, seen: EVER });
  }

  /** What the boards heard on this topic since an instant. */
  heard(topic: string, since = 0): Record<string, unknown>[] {
    return this.said.filter((m) => m.topic === topic && m.at >= since).map((m) => m.payload);
  }

  // what the page shows

  picture(): Picture {
    const { show, at } = this.r.desk;
    return pictureOf(show, { seq: 1, at, demonstration: false, words: wordsOf(show, at), notes: [] });
  }

  prop(id: string): PropPicture {
    return this.picture().props[id]!;
  }

  fault(id: string): Fault | null {
    return this.r.desk.show.props[id]!.lockout?.fault ?? null;
  }

  expectProp(id: string, like: Partial<Omit<PropPicture, 'lockout' | 'why'>> & { why?: RegExp }): this {
    const { why, ...rest } = like;
    const prop = this.prop(id);
    expect(prop).toMatchObject(rest);
    if (why) expect(prop.why).toMatch(why);
    return this;
  }

  expectMode(mode: Mode): this {
    expect(this.r.desk.show.mode).toBe(mode);
    return this;
  }

  /** Whether a prop truly moves, whatever anyone believes. */
  moves(id: string): boolean {
    return this.r.fleet.truth(this.r.clock.now(), id).moving;
  }

  /** Whether its board drives its outputs; what was driven may roll on for a moment after. */
  driven(id: string): boolean {
    return this.r.fleet.truth(this.r.clock.now(), id).energised;
  }

  // what the record says

  lines(code?: string): SaidLine[] {
    this.r.desk.tell({ kind: 'timeReached' });
    this.until(this.r.clock.now() + 1100);
    return this.r.journal
      .lines(0, EVER)
      .map((l) => ({ ...l, reason: JSON.parse(l.reason) as Reason }))
      .filter((l) => code === undefined || l.code === code);
  }

  /** A line of this code that no `expectLine` has had yet, later than the last one had. */
  expectLine(code: string, like: RegExp): this {
    const all = this.lines();
    const found = all.findIndex((l, i) => i >= this.#seen && l.code === code && like.test(l.text));
    if (found < 0) throw new Error(`the record has no later ${code} like ${like}:\n${this.told(this.#seen)}`);
    this.#seen = found + 1;
    return this;
  }

  expectNoLine(code: string): this {
    expect(this.lines(code).map((l) => l.text)).toEqual([]);
    return this;
  }

  told(from = 0): string {
    return this.r.journal
      .lines(from, EVER)
      .map((l) => `  ${new Date(l.at).toISOString().slice(11, 23)} ${l.code}: ${l.text}`)
      .join('\n');
  }

  /** Ends the desk and folds its record anew: the same state at every snapshot and at the end. */
  expectReplays(): { events: number; compared: number } {
    const { desk, journal } = this.r;
    desk.end();
    const report = replay({
      journal,
      load: (state) => loadShow(state, this.yard),
      save: saveShow,
      step: (show, event) => step(show, event).show,
    });
    expect(report.difference).toBe(null);
    expect(report.gaps).toEqual([]);
    expect(journal.latestSnapshot()!.state).toBe(saveShow(desk.show));
    return { events: report.events, compared: report.compared };
  }
}

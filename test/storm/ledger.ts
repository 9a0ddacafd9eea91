import type { Need, Prop, Yard } from '../../server/yard/types.ts';
import type { Message } from './message.ts';

/** A move that the desk has told a prop and that nothing has ended yet, as far as the desk can have heard. */
export interface Told {
  readonly prop: string;
  readonly run: string;
  readonly step: number;
  readonly move: string;
  readonly session: string;
  readonly sentAt: number;
  tries: number;
  startedAt: number | null;
  /** From when its limit counts: `started`, or an edge of its sensors. */
  countFrom: number | null;
  arrived: boolean;
  haltSentAt: number | null;
  /** Told in the same instant and overtaken: see `Starts`. */
  lost: boolean;
}

export interface LinkHeard {
  up: boolean;
  session: string | null;
  first: string | null;
  heardAt: number;
  /** When a beat of another session was last heard: of many that come in one burst the last one counts. */
  strangeAt: number;
  /** Highest stop that it said it obeyed. */
  stop: number;
  /** When a session was last replaced. */
  since: number;
  /** Sessions before this one, newest first, a few. */
  past: string[];
}

export interface ReadingHeard {
  readonly made: boolean;
  readonly session: string;
  readonly n: number;
  /** Heard as it happened, and not kept by the broker from earlier. */
  readonly live: boolean;
}

/**
 * What one desk can know, kept from the messages that reached it and that it sent, by the words of the contract and by
 * nothing of the desk's own code: the other side of every question that the checkers ask.
 */
export class Ledger {
  readonly yard: Yard;
  readonly links = new Map<string, LinkHeard>();
  readonly readings = new Map<string, ReadingHeard>();
  readonly told = new Map<string, Told>();
  /** Whether a prop's place is known in its present session. */
  readonly known = new Map<string, boolean>();
  /** When a prop at rest was last heard to leave its end. */
  readonly lostAt = new Map<string, number>();
  /** When a sensor was last heard to go from not made to made, both live and in one session. */
  readonly rose = new Map<string, number>();

  constructor(yard: Yard, before: Ledger | null) {
    this.yard = yard;
    for (const c of yard.controllers.keys())
      this.links.set(c, {
        up: false,
        session: null,
        first: null,
        heardAt: Number.NEGATIVE_INFINITY,
        strangeAt: Number.NEGATIVE_INFINITY,
        stop: 0,
        since: 0,
        past: [],
      });
    // what a desk before this one told and nobody has ended may still move
    for (const [id, t] of before?.told ?? []) if (yard.props.has(id)) this.told.set(id, { ...t, lost: true });
  }

  prop(id: string): Prop {
    return this.yard.props.get(id)!;
  }

  link(prop: string): LinkHeard {
    return this.links.get(this.prop(prop).controller)!;
  }

  isLive(prop: string, at: number): boolean {
    const l = this.link(prop);
    return l.up && l.session !== null && at - l.heardAt <= this.yard.bus.silenceMs;
  }

  /** True or false where the sensor is fresh, else null. */
  reading(prop: string, sensor: string, at: number): boolean | null {
    const r = this.readings.get(`${prop}/${sensor}`);
    if (!r || !this.isLive(prop, at)) return null;
    return r.session === this.link(prop).session ? r.made : null;
  }

  /** Ends that are fresh and made. */
  endsMade(prop: string, at: number): string[] {
    const p = this.prop(prop);
    return [...p.sensors.values()]
      .filter((s) => (s.kind === 'end' || s.id === p.home) && this.reading(prop, s.id, at) === true)
      .map((s) => s.id);
  }

  holds(need: Need, at: number): boolean {
    switch (need.kind) {
      case 'made':
        return this.reading(need.prop, need.sensor, at) === true;
      case 'not-made':
        return this.reading(need.prop, need.sensor, at) === false;
      case 'at-rest':
        return this.isLive(need.prop, at) && !this.told.has(need.prop);
      case 'at-home': {
        const { home } = this.prop(need.prop);
        return (
          home !== null &&
          this.isLive(need.prop, at) &&
          !this.told.has(need.prop) &&
          this.reading(need.prop, home, at) === true
        );
      }
    }
  }

  /** A message that reached the desk; only what a good board may say is believed. */
  received(m: Message, retained: boolean, at: number): void {
    if (m.from.startsWith('weather') || !m.data) return;
    const d = m.data;
    if (m.kind === 'link') this.#linked(m.id, d, retained, at);
    else if (m.kind === 'beat') this.beat(m.id, d.session, at);
    else if (m.kind === 'stopped') {
      const link = this.links.get(m.id);
      if (!link || d.safe !== true) return;
      link.stop = Math.max(link.stop, d.n as number);
      // as it obeyed, its outputs went off: what it was told in another session is over
      for (const p of this.yard.controllers.get(m.id)!)
        if (this.told.get(p)?.session !== d.session) this.told.delete(p);
    } else if (m.kind === 'sense' && !(retained && d.session === undefined))
      this.#sensed(m.id, m.sensor, d, retained, at);
    else if (m.kind === 'did' && !retained) this.#did(m.id, d, at);
  }

  beat(controller: string, session: unknown, at: number): void {
    if (this.#heard(controller, session, at)) return;
    const link = this.links.get(controller);
    if (link) link.strangeAt = at;
  }

  #heard(controller: string, session: unknown, at: number): boolean {
    const link = this.links.get(controller);
    if (!link || link.session !== session) return false;
    link.heardAt = at;
    return true;
  }

  #linked(c: string, d: Message['data'] & object, retained: boolean, at: number): void {
    const link = this.links.get(c);
    if (!link) return;
    if (d.up !== true) {
      if (d.session === link.first) link.up = false;
      return;
    }
    if (d.contract !== 1) return;
    link.stop = Math.max(link.stop, d.stop as number);
    // what the broker kept from earlier says nothing against a board that is heard, nor of a session that is past
    const live = link.up && at - link.heardAt <= this.yard.bus.silenceMs;
    const past = link.past.includes(d.session as string);
    if (retained && d.session !== link.session && link.session !== null && (live || past)) return;
    if (d.session !== link.session) {
      if (link.session !== null) link.past = [link.session, ...link.past].slice(0, 6);
      link.session = d.session as string;
      link.since = at;
      for (const p of this.yard.controllers.get(c)!) {
        this.told.delete(p);
        this.known.set(p, this.prop(p).home === null);
      }
    }
    if (!retained || !link.up) link.up = true;
    link.first = d.first as string;
    if (!retained) link.heardAt = at;
  }

  #sensed(prop: string, sensor: string, d: Message['data'] & object, retained: boolean, at: number): void {
    const p = this.yard.props.get(prop);
    if (!p?.sensors.has(sensor) || d.prop !== prop) return;
    const link = this.link(prop);
    if (d.session !== link.session) return;
    if (!retained) link.heardAt = at;
    const key = `${prop}/${sensor}`;
    const was = this.readings.get(key);
    const now = { made: d.made as boolean, session: d.session as string, n: d.n as number, live: !retained };
    const same = was !== undefined && was.session === now.session;
    if (same && now.n < was.n) return;
    // the broker's copy of what was heard from the board itself takes nothing from it
    if (retained && same && was.live && was.n === now.n && was.made === now.made) now.live = true;
    this.readings.set(key, now);
    if (same && was.live && !was.made && now.made && now.live) this.rose.set(key, at);
    const isEnd = p.sensors.get(sensor)!.kind === 'end' || sensor === p.home;
    const told = this.told.get(prop);
    const edge = same && was.made !== now.made;
    if (told && edge) {
      told.countFrom ??= at;
      if (now.made && p.moves.get(told.move)?.until === sensor) told.arrived = true;
    }
    if (!isEnd) return;
    if (now.made) this.known.set(prop, true);
    else if (!told && edge) {
      this.known.set(prop, this.endsMade(prop, at).length > 0);
      this.lostAt.set(prop, at);
    }
  }

  #did(prop: string, d: Message['data'] & object, at: number): void {
    const p = this.yard.props.get(prop);
    if (!p || !this.#heard(p.controller, d.session, at)) return;
    const told = this.told.get(prop);
    if (!told || told.session !== d.session) return;
    const about = d.run === told.run && d.step === told.step;
    if (d.is === 'halted' && (about || told.haltSentAt !== null))
      return this.#ended(prop, told, 'halted', at);
    if (!about) return;
    if (d.is === 'started') {
      told.startedAt ??= at;
      told.countFrom ??= at;
      const until = p.moves.get(told.move)?.until ?? null;
      if (until !== null && this.reading(prop, until, at) === true) told.arrived = true;
    } else this.#ended(prop, told, d.is as string, at);
  }

  #ended(prop: string, told: Told, how: string, at: number): void {
    this.told.delete(prop);
    const end = this.endsMade(prop, at).length > 0;
    if (how === 'refused' || this.prop(prop).home === null) return;
    this.known.set(prop, end || (how === 'done' && !told.run.startsWith('bench.')));
  }
}

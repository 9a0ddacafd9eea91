import { replay } from '../../server/journal/replay.ts';
import type { Event } from '../../server/show/events.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

interface Out {
  readonly prop: string;
  readonly raisedN: number;
  readonly raisedAt: number;
  releasedN: number | null;
  /** It ends by itself once this stop is answered. */
  readonly untilStop: number | null;
}

interface Book {
  /** The last turns, to be met again after a restart. */
  turns: Show[];
  show: Show | null;
  outs: Out[];
  /** Releases asked for and not answered yet. */
  readonly releasing: Set<string>;
  tailLost: boolean;
  yardHash: string;
  turned: number;
  /** The last event before the stop that is latched, or was: who had seen no more can't know of it. */
  stoppedAfter: number;
}

const TURNS_KEPT = 800;
const LOOK_EVERY = 1500;

/** 15, 16 and 24: what is kept, what survives, and that nothing grows without bound. */
export class Records {
  readonly #r: Referee;
  readonly #books = new Map<string, Book>();

  constructor(referee: Referee) {
    this.#r = referee;
  }

  #book(p: Process): Book {
    const { name } = p.machine;
    const known = this.#books.get(name);
    if (known) return known;
    const made: Book = {
      turns: [],
      show: null,
      outs: [],
      releasing: new Set(),
      tailLost: false,
      yardHash: '',
      turned: 0,
      stoppedAfter: -1,
    };
    this.#books.set(name, made);
    return made;
  }

  tailLost(p: Process): boolean {
    return this.#book(p).tailLost;
  }

  /** The power went and took the end of the record with it. */
  noteTailLost(machine: string): void {
    const book = this.#books.get(machine);
    if (book) book.tailLost = true;
  }

  releaseAsked(p: Process, prop: string): () => void {
    const { releasing } = this.#book(p);
    releasing.add(prop);
    return () => releasing.delete(prop);
  }

  /** 8 and 15: a clear or a release acts only on what the person can have seen. */
  answeredYes(p: Process, fact: { kind: string; prop?: string; seen?: number }): void {
    const book = this.#book(p);
    const { seen } = fact;
    if (seen === undefined) return;
    if (fact.kind === 'clearAsked') {
      this.#r.ask(8);
      if (book.stoppedAfter > seen)
        this.#r.breach(
          8,
          `a clear by someone who had seen event ${seen} ended a stop that came after event ${book.stoppedAfter}`,
        );
    } else if (fact.kind === 'releaseAsked') {
      // a newer one may have come since, in the same turn: asked of is the one that was lifted
      const out = book.outs.findLast((o) => o.prop === fact.prop && o.releasedN !== null);
      this.#r.ask(15);
      if (out && out.raisedN > seen)
        this.#r.breach(
          15,
          `a release by someone who had seen event ${seen} lifted the lockout of event ${out.raisedN}`,
        );
    }
  }

  isOut(p: Process, prop: string): boolean {
    return this.#book(p).outs.some((o) => o.prop === prop && o.releasedN === null);
  }

  started(p: Process): void {
    const book = this.#book(p);
    const now = p.desk.show;
    const durable = p.machine.disk.lastEvent;
    this.#r.ask(15);
    for (const out of book.outs) {
      if (out.raisedN > durable || (out.releasedN !== null && out.releasedN <= durable)) continue;
      // it died around the write of a release, or of the answer that ends one: on the disk it may be done
      if (book.releasing.size > 0 || out.untilStop !== null) continue;
      if (now.props[out.prop] && !now.props[out.prop]!.lockout)
        this.#r.breach(15, `${out.prop}'s lockout of event ${out.raisedN} did not survive the restart`);
    }
    if (book.yardHash === p.machine.yardHash && !book.tailLost) this.#compare(book, now);
    book.tailLost = false;
    book.yardHash = p.machine.yardHash;
    book.turns = [];
    book.show = now;
    book.releasing.clear();
    book.stoppedAfter = -1;
    book.outs = Object.entries(now.props)
      .filter(([, s]) => s.lockout)
      .map(([prop, s]) => ({
        prop,
        raisedN: s.lockout!.n,
        raisedAt: this.#r.world.now,
        releasedN: null,
        untilStop: s.lockout!.untilStop,
      }));
  }

  /** 16: what was read back is what memory had. */
  #compare(book: Book, now: Show): void {
    const was = book.turns.findLast((s) => s.n === now.n);
    if (!was) return;
    this.#r.ask(16);
    const [a, b] = [textOf(was), textOf(now)];
    if (a !== b)
      this.#r.breach(16, `after event ${now.n} memory and record differ: ${firstDifference(a, b)}`);
  }

  turned(p: Process, show: Show): void {
    const book = this.#book(p);
    const before = book.show;
    book.show = show;
    book.turns.push(show);
    if (book.turns.length > 2 * TURNS_KEPT) book.turns = book.turns.slice(-TURNS_KEPT);
    if (before && show.stop.latched && !before.stop.latched) book.stoppedAfter = before.n;
    if (before && before.props !== show.props) this.#outs(p, book, before, show);
    if (++book.turned % LOOK_EVERY === 0) this.#bounds(show);
  }

  #outs(p: Process, book: Book, before: Show, show: Show): void {
    for (const id of Object.keys(show.props)) {
      const was = before.props[id]?.lockout ?? null;
      const now = show.props[id]!.lockout;
      if (was === now) continue;
      if (now && (!was || was.n !== now.n)) {
        for (const o of book.outs) if (o.prop === id) o.releasedN ??= show.n;
        book.outs.push({
          prop: id,
          raisedN: now.n,
          raisedAt: this.#r.world.now,
          releasedN: null,
          untilStop: now.untilStop,
        });
      }
      if (was && !now) this.#released(p, book, id, was, show.n);
    }
    if (book.outs.length > 200) book.outs = book.outs.filter((o) => o.releasedN === null);
  }

  /** 15: only a person's release lifts a lockout, but for the one that ends when its stop is answered. */
  #released(
    p: Process,
    book: Book,
    id: string,
    was: NonNullable<Show['props'][string]['lockout']>,
    n: number,
  ): void {
    this.#r.ask(15);
    const first = was.fault.first;
    const asked = book.releasing.has(id) || (first !== undefined && book.releasing.has(first));
    const link = this.#r.ledger(p).link(id);
    const raisedAt = book.outs.findLast((o) => o.prop === id)?.raisedAt ?? 0;
    const answered = was.untilStop !== null && (link.stop >= was.untilStop || link.since > raisedAt);
    if (!asked && !answered) this.#r.breach(15, `${id}'s lockout (${was.fault.code}) went away by itself`);
    for (const o of book.outs) if (o.prop === id) o.releasedN ??= n;
  }

  /** 24: lists in the state are bounded, and so is its text. */
  #bounds(show: Show): void {
    this.#r.ask(24);
    const too = (what: string, size: number, most: number): void => {
      if (size > most) this.#r.breach(24, `${what} holds ${size}, more than ${most}`);
    };
    too('runs', show.runs.length, show.yard.scenes.size);
    for (const [id, p] of Object.entries(show.props)) {
      for (const t of Object.values(p.travels)) too(`${id}'s travel times`, t.length, 40);
      for (const e of Object.values(p.edges)) too(`${id}'s edges`, e.length, 20);
      too(`${id}'s spans`, p.spans.length, 2000);
      too(`${id}'s lost links`, p.lostAt.length, 200);
    }
    for (const [id, l] of Object.entries(show.controllers)) {
      too(`${id}'s past sessions`, l.past.length, 10);
      too(`${id}'s returns`, l.returnedAt.length, 10);
    }
    for (const [id, gaps] of Object.entries(show.zoneGaps)) too(`${id}'s gaps`, gaps.length, 50);
    too('the saved state, in characters,', saveShow(show).length, 400_000);
  }

  /** 16, of the whole night: the record folded through the core once more, against its snapshots. */
  replayed(p: Process, yards: ReadonlyMap<string, Show['yard']>): void {
    this.#r.ask(16);
    const report = replay<Show>({
      journal: p.disk.journal,
      load: (state, hash) => loadShow(state, yards.get(hash)!),
      save: saveShow,
      step: (show: Show, event: Event) => step(show, event).show,
    });
    if (report.difference)
      this.#r.breach(
        16,
        `the replay differs after event ${report.difference.n} at ${report.difference.path}`,
      );
  }
}

/** All of a show but its yard, written down by nothing of the desk's own, which may leave something out. */
function textOf(show: Show): string {
  const { yard: _, ...rest } = show;
  return JSON.stringify(rest);
}

function firstDifference(a: string, b: string): string {
  let i = 0;
  while (i < a.length && a[i] === b[i]) i += 1;
  return `…${a.slice(Math.max(0, i - 60), i + 60)}… against …${b.slice(Math.max(0, i - 60), i + 60)}…`;
}

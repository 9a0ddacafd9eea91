import { inHours } from '../../server/show/admission.ts';
import type { Run, Show } from '../../server/show/show.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

/** How far the desk's wall clock may be off before it takes note. */
const CLOCK_MS = 600;
const RETRY_MS = 1000;
const LOOK_MS = 1500;
/** As long as a night opened by hand before it may take to close. */
const SELF_OPEN_MS = 301_000;

interface Book {
  show: Show;
  /** Planned runs that were ever begun, by name. */
  readonly begun: Set<string>;
  /** When a run of a prop or scene or zone last ended. */
  readonly ended: Map<string, number>;
  readonly zoneEnds: Map<string, number[]>;
  opening: number;
}

/** 8, 18 to 20 and 22, of whole runs and modes: what began, why it might, and not twice. */
export class Runs {
  readonly #r: Referee;
  readonly #books = new Map<string, Book>();
  /** People who were told yes to an opening, by process. */
  readonly opening = new Map<string, number>();
  made = 0;

  constructor(referee: Referee) {
    this.#r = referee;
  }

  /** A person asks to open: until it is answered an opening is theirs. */
  openAsked(p: Process): () => void {
    this.opening.set(p.name, (this.opening.get(p.name) ?? 0) + 1);
    return () => this.opening.set(p.name, (this.opening.get(p.name) ?? 1) - 1);
  }

  openingBySomeone(p: Process): boolean {
    return (this.opening.get(p.name) ?? 0) > 0;
  }

  started(p: Process): void {
    // what the lost end of the record told is lost with it
    if (this.#r.records.tailLost(p)) this.#books.delete(p.machine.name);
  }

  turned(p: Process, show: Show): void {
    const key = p.machine.name;
    const book: Book = this.#books.get(key) ?? {
      show,
      begun: new Set(),
      ended: new Map(),
      zoneEnds: new Map(),
      opening: 0,
    };
    this.#books.set(key, book);
    const before = book.show;
    book.show = show;
    if (before.runs !== show.runs) {
      for (const run of before.runs)
        if (!show.runs.some((r) => r.id === run.id)) this.#ended(book, show, run);
      for (const run of show.runs)
        if (!before.runs.some((r) => r.id === run.id)) this.#began(p, book, before, show, run);
    }
    if (before.mode !== show.mode) this.#mode(p, before, show);
  }

  #ended(book: Book, show: Show, run: Run): void {
    const scene = show.yard.scenes.get(run.scene);
    if (!scene) return;
    const state = show.scenes[run.scene];
    if (state && state.made > 0) this.made += 1;
    const { now } = this.#r.world;
    book.ended.set(`scene ${scene.id}`, now);
    for (const prop of scene.props) book.ended.set(`prop ${prop}`, now);
    if (!scene.zone) return;
    const gapMs = show.yard.zones.get(scene.zone)!.gapMs;
    const ends = book.zoneEnds.get(scene.zone) ?? [];
    if (gapMs > 0) ends.push(now + gapMs);
    book.zoneEnds.set(
      scene.zone,
      ends.filter((t) => t > now),
    );
  }

  #began(p: Process, book: Book, before: Show, show: Show, run: Run): void {
    this.#r.ask(20);
    const notice = run.origin === 'notice';
    // a turn may open, begin a run and end up stopped, held or closing by something after it
    const modes = [before.mode, show.mode];
    const changed = modes[0] !== modes[1] || this.openingBySomeone(p);
    const passed = changed && show.modeAt === show.at && modes[1] !== 'closed';
    if (!passed && (notice ? !modes.includes('opening') : !modes.includes('open')))
      this.#r.breach(20, `${run.id} began while ${show.mode}`);
    if (!notice && !inHours(before.night ? before : show, show.at) && !inHours(show, show.at))
      this.#r.breach(20, `${run.id} began outside the hours of the night`);
    this.#rests(book, show, run);
    if (run.origin === 'plan') this.#planned(p, book, before, show, run);
    if (run.origin === 'trigger') this.#triggered(p, show, run);
  }

  /** 18: rests of props and scenes, and what a zone bears. */
  #rests(book: Book, show: Show, run: Run): void {
    const scene = show.yard.scenes.get(run.scene)!;
    const { now } = this.#r.world;
    this.#r.ask(18);
    const since = (key: string): number => now - (book.ended.get(key) ?? Number.NEGATIVE_INFINITY);
    if (since(`scene ${scene.id}`) < scene.restMs)
      this.#r.breach(18, `${run.id} began ${since(`scene ${scene.id}`)} ms after the last of its scene`);
    for (const prop of scene.props)
      if (since(`prop ${prop}`) < show.yard.props.get(prop)!.restMs)
        this.#r.breach(18, `${run.id} began ${since(`prop ${prop}`)} ms after ${prop} was last used`);
    if (!scene.zone) return;
    const zone = show.yard.zones.get(scene.zone)!;
    const others = show.runs.filter(
      (r) => r.id !== run.id && show.yard.scenes.get(r.scene)?.zone === zone.id,
    );
    const gaps = (book.zoneEnds.get(zone.id) ?? []).filter((t) => t > now);
    if (others.length + gaps.length >= zone.atMost)
      this.#r.breach(
        18,
        `${run.id} began in ${zone.id} beside ${others.length} others and ${gaps.length} gaps`,
      );
  }

  /** 19: once, not before its time, and not later than is allowed. */
  #planned(p: Process, book: Book, before: Show, show: Show, run: Run): void {
    this.#r.ask(19);
    if (book.begun.has(run.id)) this.#r.breach(19, `${run.id} began a second time`);
    book.begun.add(run.id);
    const planned = show.planned.find((r) => r.id === run.id);
    if (!planned) return this.#r.breach(19, `${run.id} began and is on no plan`);
    const every = show.yard.scenes.get(run.scene)!.everyMs ?? 0;
    const most = Math.max(10_000, every / 2);
    const late = show.at + show.offsetMs - planned.drawnMs;
    // the clock may have been found out in this very turn, after the run began
    const lateBefore = show.at + before.offsetMs - planned.drawnMs;
    const fits = (ms: number): boolean => ms >= -CLOCK_MS && ms <= most + RETRY_MS;
    if (!fits(late) && !fits(lateBefore))
      this.#r.breach(19, `${run.id} began ${late} ms after its time; ${most} are allowed`);
    const lateTrue = p.clock.wall() - planned.drawnMs;
    if (this.#knowsTheHour(p) && !fits(lateTrue))
      this.#r.breach(19, `${run.id} began ${lateTrue} ms after its time by the clock; ${most} are allowed`);
  }

  /** The desk looks at the wall clock several times a second: unless it was set just now, it knows what it says. */
  #knowsTheHour(p: Process): boolean {
    const { now } = this.#r.world;
    return now - p.machine.lastSet > LOOK_MS && now - p.machine.lastFreeze > LOOK_MS;
  }

  /** 22: set off by an edge that was heard live, both before and after, in one session. */
  #triggered(p: Process, show: Show, run: Run): void {
    this.#r.ask(22);
    const on = show.yard.scenes.get(run.scene)!.on;
    const rose = on ? this.#r.ledger(p).rose.get(`${on.prop}/${on.sensor}`) : undefined;
    if (rose === undefined || this.#r.world.now - rose > 100)
      if (p.machine.lastFreeze < this.#r.world.now - 200)
        this.#r.breach(22, `${run.id} was set off though no edge of its trigger was heard live`);
  }

  #mode(p: Process, before: Show, show: Show): void {
    if (show.mode !== 'opening' && !(show.mode === 'open' && before.mode !== 'opening')) return;
    this.#r.ask(8);
    if ((this.opening.get(p.name) ?? 0) > 0) return this.#r.starts.opened(p);
    if (show.modeBy === 'after a restart' && show.yard.restart === 'auto') return this.#r.starts.opened(p);
    if (show.modeBy !== 'by itself')
      return this.#r.breach(8, `the yard opened (${show.modeBy}) though nobody asked for it`);
    this.#r.starts.opened(p);
    this.#r.ask(19);
    const night = show.night!;
    const opensMs = night.openMs - night.noticeMs;
    const late = this.#knowsTheHour(p) ? p.clock.wall() - opensMs : show.at + show.offsetMs - opensMs;
    if (late < -CLOCK_MS || late > SELF_OPEN_MS)
      this.#r.breach(19, `the yard opened by itself ${late} ms after its instant`);
  }
}

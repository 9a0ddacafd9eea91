import { alike } from './alike.ts';
import { nightAt } from './calendar/find.ts';
import { handNight } from './calendar/hand.ts';
import type { Clock } from './clock.ts';
import { type Curves, type CurvesTold, curvesOf, SoFar } from './curves.ts';
import type { Desk } from './desk.ts';
import type { Answer, DeskDoor, PictureChange, RecordLine } from './desk-door.ts';
import type { JournalPort } from './journal/port.ts';
import { asRecordLine } from './past/story.ts';
import type { Picture } from './picture.ts';
import { pictureOf } from './picture-of.ts';
import type { NightTimes, TonightPlan } from './plan/tonight.ts';
import { nothingPlanned, openMsOf, type PlanNow, plannedNow } from './plan-now.ts';
import { type PropTravels, travelsNow } from './prop-travels.ts';
import { KeptReports } from './report/kept.ts';
import { type NightReport, nightReport } from './report/night-report.ts';
import { type Told, tellReport } from './report/tables.ts';
import { inHours } from './show/admission.ts';
import type { Entry } from './show/effects.ts';
import type { PersonFact } from './show/events.ts';
import type { Reason } from './show/reasons.ts';
import type { Show } from './show/show.ts';
import { type RunLine, UnplannedRuns } from './unplanned.ts';
import { english } from './words/en/english.ts';
import { say } from './words/reasons.ts';
import type { Tongue } from './words/tongue.ts';
import { wordsOf } from './words-of.ts';

/** The present of the page is drawn at most so often; a stop is drawn at once. */
const DRAW_EVERY_MS = 50;
/** While something moves or waits, its seconds go on without any event. */
const TICK_MS = 1000;
const SEEN_KEPT = 4096;

export interface DoorParts {
  readonly desk: Desk;
  readonly clock: Clock;
  readonly journal: JournalPort;
  readonly demonstration: boolean;
  /** What is said is said in this language; left out, in English. */
  readonly tongue?: Tongue;
  /** What the desk says about itself. */
  readonly notes: () => readonly string[];
  /** It waits for another desk to go, and this says so; null where it does not. */
  readonly waitsFor?: () => string | null;
  readonly ready: () => { ready: boolean; why: string | null };
  readonly plan: () => TonightPlan | null;
  /** A night opened by hand needs its plan. */
  readonly onOpened: (night: NightTimes) => void;
}

/** The only way from a person to the desk: draws the picture, says what changed, and takes commands. */
export class Door implements DeskDoor {
  readonly #parts: DoorParts;
  readonly #tongue: Tongue;
  readonly #listeners = new Set<(change: PictureChange) => void>();
  #picture: Picture | null = null;
  /** Begins where no earlier start of this yard computer can have come to: a page of yesterday has seen nothing of today. */
  #seq: number;
  /** For each picture given out, the last event that it includes: what a person can have seen. */
  readonly #seen = new Map<number, number>();
  #dirty = true;
  #timer: NodeJS.Timeout | null = null;
  #drawnAt = 0;
  readonly #reports = new KeptReports();
  readonly #soFar = new SoFar();
  readonly #unplanned = new UnplannedRuns();

  constructor(parts: DoorParts) {
    this.#parts = parts;
    this.#tongue = parts.tongue ?? english;
    this.#seq = Math.floor(parts.clock.wall() / DRAW_EVERY_MS);
  }

  /** After a turn: drawn soon, or at once where it stopped something. */
  turned(urgent: boolean): void {
    this.#dirty = true;
    if (urgent) this.#draw();
    else this.#drawWithin(Math.max(0, DRAW_EVERY_MS - (performance.now() - this.#drawnAt)));
  }

  close(): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#listeners.clear();
  }

  picture(): Picture {
    if (this.#dirty || !this.#picture) this.#draw();
    const { desk } = this.#parts;
    return { ...this.#picture!, at: desk.at + desk.show.offsetMs };
  }

  onChange(listener: (change: PictureChange) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  plan(): PlanNow | null {
    const { show } = this.#parts.desk;
    const plan = this.#planOrNothing();
    if (!plan) return null;
    const say = (reason: Reason): string => this.say(reason);
    const unplanned = this.#unplanned.of(plan.night, openMsOf(plan, show), show, say);
    return { ...plannedNow(plan, show, say), unplanned };
  }

  /** The plan that was drawn up; for a night that is on with nothing planned, one that says so. */
  #planOrNothing(): TonightPlan | null {
    const plan = this.#parts.plan();
    const { night, planned, mode, unplanned, yard } = this.#parts.desk.show;
    if (!night || planned.length > 0 || plan?.night === night.date) return plan;
    // until it has opened, its plan may be on its way; held or stopped since, it is still this night
    const opened = mode !== 'closed' && mode !== 'opening';
    return unplanned || opened ? nothingPlanned(yard, night) : plan;
  }

  /** A line goes to the record. */
  heard(entry: Entry, show: Show): void {
    this.#unplanned.heard(entry, show);
  }

  curves(): Curves {
    return curvesOf(this.#parts.desk.show.yard, this.plan(), this.#soFar);
  }

  /** What was so far tonight before this start. */
  soFarBefore(told: CurvesTold): void {
    this.#soFar.before(told);
  }

  /** What ran tonight without being planned before this start. */
  unplannedBefore(night: NightTimes, lines: readonly RunLine[]): void {
    this.#unplanned.before(night, lines);
  }

  travels(prop: string): PropTravels {
    return travelsNow(this.#parts.desk.show, prop);
  }

  async ask(fact: Exclude<PersonFact, { kind: 'stopPressed' }>): Promise<Answer> {
    const seen = 'seen' in fact ? { seen: this.#seen.get(fact.seen) ?? 0 } : {};
    const night = fact.kind === 'openAsked' ? (fact.night ?? this.#nightLost()) : null;
    const opens = night ? { night } : {};
    const { unplanned: without, planned } = this.#parts.desk.show;
    // or its plan had not come yet when the computer was started anew
    const unplanned = without || planned.length === 0;
    const answer = await this.#parts.desk.ask({ ...fact, ...seen, ...opens } as PersonFact);
    if (!answer.ok || fact.kind !== 'openAsked' || !fact.planned) return answer;
    // what was opened with nothing planned has let its plan go: opened with it, it is drawn up anew
    const drawn = night ?? (unplanned ? this.#parts.desk.show.night : null);
    if (drawn) this.#parts.onOpened(drawn);
    return answer;
  }

  /** The night whose hours hold by the file, where the desk holds another or none: its clock was wrong for a while. */
  #nightLost(): NightTimes | null {
    const { show, at } = this.#parts.desk;
    return inHours(show, at) ? null : nightAt(show.yard, at + show.offsetMs);
  }

  stop(by: string): { n: number; bus: boolean; kept: Promise<void> } {
    return this.#parts.desk.stop(by);
  }

  ready(): { ready: boolean; why: string | null } {
    return this.#parts.ready();
  }

  handNight(forMs: number): NightTimes {
    const { desk } = this.#parts;
    return handNight(desk.show.yard, desk.at + desk.show.offsetMs, forMs);
  }

  nightNow(): NightTimes | null {
    const { show, at } = this.#parts.desk;
    return inHours(show, at) ? show.night : nightAt(show.yard, at + show.offsetMs);
  }

  record(after: number, limit: number): RecordLine[] {
    return this.#parts.journal.lines(after, limit).map(asRecordLine);
  }

  report(night: string): NightReport | null {
    const { show, at } = this.#parts.desk;
    const about = { tonight: show.night, nowMs: at + show.offsetMs };
    return this.#reports.of(night, night === show.night?.date, at, () =>
      nightReport(this.#parts.journal, show.yard, night, about),
    );
  }

  told(night: string): Told | null {
    const report = this.report(night);
    return report && tellReport(report, this.#parts.desk.show.yard, this.#tongue.report);
  }

  say(reason: Reason): string {
    const { show, at } = this.#parts.desk;
    return say(reason, wordsOf(show, at, this.#tongue));
  }

  #drawWithin(ms: number): void {
    if (this.#timer && ms >= TICK_MS) return;
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#draw();
    }, ms);
    this.#timer.unref();
  }

  #draw(): void {
    const { desk } = this.#parts;
    const { show } = desk;
    this.#dirty = false;
    this.#drawnAt = performance.now();
    const next = pictureOf(show, {
      seq: this.#seq,
      at: desk.at,
      demonstration: this.#parts.demonstration,
      words: wordsOf(show, desk.at, this.#tongue),
      notes: this.#parts.notes(),
      waitsFor: this.#parts.waitsFor?.() ?? null,
    });
    this.#soFar.note(next);
    const before = this.#picture;
    const change = before && changeOf(before, next);
    if (!before || change) {
      this.#seq += 1;
      next.seq = this.#seq;
    }
    this.#see(this.#seq, show.n);
    this.#picture = next;
    if (change) for (const listener of this.#listeners) listener({ ...change, seq: this.#seq, at: next.at });
    if (show.runs.length > 0 || show.homing || show.opening) this.#drawWithin(TICK_MS);
  }

  #see(seq: number, n: number): void {
    this.#seen.delete(seq);
    this.#seen.set(seq, n);
    if (this.#seen.size > SEEN_KEPT) this.#seen.delete(this.#seen.keys().next().value!);
  }
}

const KEYED = ['props', 'scenes', 'circuits', 'tanks', 'zones'] as const;
const WHOLE = ['yard', 'mode', 'modeWhy', 'night', 'bus', 'stop', 'now', 'next', 'notes'] as const;

/** What differs between two pictures; null where nothing does. */
export function changeOf(before: Picture, after: Picture): PictureChange | null {
  const set: Record<string, unknown> = {};
  for (const key of WHOLE) if (!alike(before[key], after[key])) set[key] = after[key];
  const change: Record<string, unknown> = {};
  for (const key of KEYED) {
    const was: Record<string, unknown> = before[key];
    const changed: [string, unknown][] = Object.entries(after[key]).filter(
      ([id, value]) => !alike(was[id], value),
    );
    // a changed yard file may know it no more
    for (const id of Object.keys(was)) if (!Object.hasOwn(after[key], id)) changed.push([id, null]);
    if (changed.length > 0) change[key] = Object.fromEntries(changed);
  }
  if (Object.keys(set).length === 0 && Object.keys(change).length === 0) return null;
  return { seq: after.seq, at: after.at, set, ...change };
}

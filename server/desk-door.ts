import type { Curves } from './curves.ts';
import type { Picture } from './picture.ts';
import type { NightTimes } from './plan/tonight.ts';
import type { PlanNow } from './plan-now.ts';
import type { PropTravels } from './prop-travels.ts';
import type { NightReport } from './report/night-report.ts';
import type { Told } from './report/tables.ts';
import type { PersonFact } from './show/events.ts';
import type { Reason } from './show/reasons.ts';

/** What the api may ask of the desk; the only way from a person to the core. */
export interface DeskDoor {
  /** The picture as of the last turn, with the present `at`. */
  picture(): Picture;
  /** Told after each turn that changed the picture; gets only what changed. Returns how to leave. */
  onChange(listener: (change: PictureChange) => void): () => void;
  /** Tonight's (or the next night's) plan with what became of it, and what ran besides; null where none is drawn yet. */
  plan(): PlanNow | null;
  /** Loads and pressures through that night, planned and so far. */
  curves(): Curves;
  /** A prop's last travel times; the prop is one of the picture's. */
  travels(prop: string): PropTravels;
  /** Takes a command through the turn. Resolves once the event is durable and stepped. */
  ask(fact: Exclude<PersonFact, { kind: 'stopPressed' }>): Promise<Answer>;
  /**
   * Stop all: at once, never waits, never throws. `bus`: handed to the bus. `kept` resolves once it has left the process
   * and is on disk as far as the disk takes it; who tells a person that it is done waits for that.
   */
  stop(by: string): { n: number; bus: boolean; kept?: Promise<void> };
  /** Bus connected and epoch taken, and not standing down. */
  ready(): { ready: boolean; why: string | null };
  /** A night by hand from now; null where `now` lies between a night's open and close (no `for` wanted). */
  handNight(forMs: number): NightTimes;
  /** The night whose open–close holds now, if any. */
  nightNow(): NightTimes | null;
  /** The record, oldest first, entries numbered above `after`. */
  record(after: number, limit: number): RecordLine[];
  /** What happened in a night; null where nothing of it is recorded. */
  report(night: string): NightReport | null;
  /** The same in words; null as there. */
  told(night: string): Told | null;
  /** A sentence for a reason, with the yard's titles and local times. */
  say(reason: Reason): string;
}

export type Answer = { readonly ok: true } | { readonly ok: false; readonly refused: readonly Reason[] };

/** What changed, by top-level key; objects keyed by id hold only the changed ids (null: gone). */
export interface PictureChange {
  seq: number;
  at: number;
  set: Partial<Omit<Picture, 'props' | 'scenes' | 'circuits' | 'tanks' | 'zones' | 'seq' | 'at'>>;
  props?: Partial<Picture['props']>;
  scenes?: Partial<Picture['scenes']>;
  circuits?: Partial<Picture['circuits']>;
  tanks?: Partial<Picture['tanks']>;
  zones?: Partial<Picture['zones']>;
}

export interface RecordLine {
  n: number;
  /** ms since 1970. */
  at: number;
  code: string;
  text: string;
  prop: string | null;
  scene: string | null;
  run: string | null;
}

import { SoFar } from '../curves.ts';
import type { RecordLine } from '../desk-door.ts';
import type { JournalPort } from '../journal/port.ts';
import type { Picture } from '../picture.ts';
import { loadsOf, pictureOf } from '../picture-of.ts';
import type { NightTimes } from '../plan/tonight.ts';
import { yardOf } from '../restore.ts';
import { wallOf } from '../show/show.ts';
import { type RunLine, unplannedIn } from '../unplanned.ts';
import type { Tongue } from '../words/tongue.ts';
import { wordsOf } from '../words-of.ts';
import type { Yard } from '../yard/types.ts';
import { type Course, courseOf } from './course.ts';
import { Folds } from './fold.ts';
import { type KnownNight, NightsKnown } from './nights.ts';
import { placeOf } from './place.ts';
import { asRecordLine, type Story, storyOf } from './story.ts';

/** The yard as it was at an instant. */
export interface Then {
  /** The instant, ms since 1970. */
  at: number;
  /** As the page was shown it, with `at` for its own; `seq` is the number of the last event and `notes` is empty. */
  picture: Picture;
  /** What was recorded around then, oldest first. */
  lines: RecordLine[];
  /** The yard computer was not running then. */
  off: boolean;
  /** Part of the record before it is missing. */
  gap: boolean;
}

export interface PastAbout {
  readonly demonstration: boolean;
  /** Left out, English. */
  readonly tongue?: Tongue;
  readonly nowMs: () => number;
  /** Awaited between pieces of work, so that others are served. */
  readonly pause: () => Promise<void>;
}

/** So long a moment is folded for in one go; the furthest one takes a small computer longer. */
const FOLD_MS = 5000;
const LINES_BEFORE_MS = 180_000;
const LINES_AFTER_MS = 60_000;
const LINES_BEFORE = 24;
const LINES_AFTER = 8;

/** Reads what was out of the record. It folds and looks through much, so it never works on the loop that takes a stop. */
export class PastReader {
  readonly #journal: JournalPort;
  readonly #about: PastAbout;
  readonly #folds: Folds;
  readonly #nights: NightsKnown;
  readonly #yards = new Map<string, Yard>();

  constructor(journal: JournalPort, about: PastAbout) {
    this.#journal = journal;
    this.#about = about;
    this.#folds = new Folds(journal, (hash) => this.#yardOf(hash), about.pause);
    this.#nights = new NightsKnown(journal);
  }

  nights(): KnownNight[] {
    return this.#nights.list();
  }

  /** Null where nothing of that night is recorded. `tonight` is the one that the desk knows now. */
  course(night: string, tonight: NightTimes | null): Course | null {
    const yard = this.#yardNow();
    return yard && courseOf(this.#journal, yard, night, { tonight, nowMs: this.#about.nowMs() });
  }

  /** The yard as it was; null where nothing is kept of then. Throws `FoldSlow` where it is to be asked again for more. */
  async moment(wallMs: number): Promise<Then | null> {
    if (wallMs > this.#about.nowMs()) return null;
    const place = placeOf(this.#journal, wallMs);
    const until = this.#about.nowMs() + FOLD_MS;
    const folded = place && (await this.#folds.at(place.n, () => this.#about.nowMs() > until));
    if (!place || !folded) return null;
    const { show, gap } = folded;
    const at = Math.max(place.at, show.at);
    const picture = pictureOf(show, {
      seq: show.n,
      at,
      demonstration: this.#about.demonstration,
      words: wordsOf(show, at, this.#about.tongue),
      notes: [],
    });
    return { at: wallMs, picture, lines: this.#linesAround(wallMs), off: place.off, gap };
  }

  /** `before`: lines numbered below it; null: from the newest on. */
  story(prop: string, before: number | null, limit: number): Story {
    const yard = this.#yardNow();
    if (!yard) return { lines: [], before: null };
    const from = before ?? this.#journal.lastLine() + 1;
    return storyOf(this.#journal, yard, prop, from, limit);
  }

  /** Loads and pressures of a night from an instant to an event, as the desk reckoned them then. */
  async soFar(night: string, fromMs: number, to: number): Promise<SoFar> {
    const soFar = new SoFar();
    const place = placeOf(this.#journal, fromMs) ?? this.#firstAfter(fromMs);
    if (!place) return soFar;
    await this.#folds.each(place.n, Math.min(to, this.#journal.lastEvent()), (show) => {
      const at = wallOf(show, show.at);
      if (show.night?.date !== night || at < fromMs) return;
      soFar.note({ at, night: { date: night }, ...loadsOf(show, show.at) });
    });
    return soFar;
  }

  /** Starts and ends of the runs of a night, from an instant on, that are on no plan. */
  unplanned(night: string, fromMs: number): RunLine[] {
    return unplannedIn(this.#journal.linesBetween(fromMs, Number.MAX_SAFE_INTEGER), night);
  }

  /** Where the record begins after an instant. */
  #firstAfter(fromMs: number): { n: number } | null {
    const line = this.#journal.linesBetween(fromMs, Number.MAX_SAFE_INTEGER)[0];
    return line ? { n: line.n } : null;
  }

  #linesAround(wallMs: number): RecordLine[] {
    const lines = this.#journal.linesBetween(wallMs - LINES_BEFORE_MS, wallMs + LINES_AFTER_MS);
    const was = lines.filter(({ at }) => at <= wallMs).slice(-LINES_BEFORE);
    const came = lines.filter(({ at }) => at > wallMs).slice(0, LINES_AFTER);
    return [...was, ...came].map(asRecordLine);
  }

  /** The yard of the newest file that the record knows: it may have changed since this was opened. */
  #yardNow(): Yard | null {
    const newest = this.#journal.latestSnapshot();
    return newest && this.#yardOf(newest.yardHash);
  }

  #yardOf(hash: string): Yard {
    const yard = this.#yards.get(hash) ?? yardOf(this.#journal, hash);
    this.#yards.set(hash, yard);
    return yard;
  }
}

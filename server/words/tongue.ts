import type { FaultCode, Reason } from '../show/reasons.ts';
import type { ReportWords } from './en/report.ts';
import type { FaultWords } from './fault-words.ts';
import type { Sentences, WordContext, Words } from './words.ts';

/**
 * All that the daemon says to people in one language. A language is an object of this type: what it does not say yet
 * is a type error. A builder's own titles stand in the sentences as they are, whatever language they are in.
 */
export interface Tongue {
  readonly lang: Language;
  /** Its name in itself. */
  readonly called: string;
  /** The yard's names as they are said within a sentence. `clause` says another reason as a clause. */
  readonly names: (context: WordContext, clause: (reason: Reason) => string) => Words;
  /** A sentence for every code but the lockout's, which is made of the fault's own words. */
  readonly sentences: Omit<Sentences, 'lockout-raised'>;
  /** The codes whose clause is said after the title of their scene in the record. */
  readonly ofScene: ReadonlySet<string>;
  readonly faults: Readonly<Record<FaultCode, FaultWords>>;
  /** Each fault in a few words, as it heads its page and stands in the middle of other sentences. */
  readonly titles: Readonly<Record<FaultCode, string>>;
  readonly frame: FaultFrame;
  /** A skipped run with its scene, as a whole sentence. */
  readonly skipped: (clock: string, scene: string, clause: string) => string;
  readonly notice: Notice;
  readonly pages: PageWords;
  readonly plain: PlainWords;
  readonly notes: NoteWords;
  /** Of the same shape as the English one, whose type it is. */
  readonly report: ReportWords;
}

/** The languages there are; the first is what holds where none is named. */
export const LANGUAGES = ['en', 'de'] as const;
export type Language = (typeof LANGUAGES)[number];

/** What stands around a fault's own words, wherever it is said. */
export interface FaultFrame {
  /** What happened to the prop, without a full stop. */
  readonly headline: (prop: string, how: 'out' | 'slowing' | 'locked' | 'not-heard') => string;
  readonly followed: (first: string) => string;
  readonly look: (where: string) => string;
  readonly releaseMovesNothing: string;
  readonly alsoByHand: (why: string) => string;
}

/** The cautions. Each language says all of them, to the letter of the same meaning. */
export interface Notice {
  /** The first of the cautions, said alone where a stop is spoken of. */
  readonly redButton: string;
  readonly cautions: readonly string[];
}

/** What stands on the pages of the faults besides the faults' own words. */
export interface PageWords {
  readonly index: string;
  readonly intro: string;
  readonly cautions: string;
  /** `code` is HTML. */
  readonly fault: (code: string) => string;
  readonly rule: string;
  readonly now: string;
  readonly handsIn: string;
  readonly checks: string;
  readonly causes: string;
  readonly find: string;
  readonly will: string;
  readonly wont: string;
  readonly prevent: string;
  readonly all: string;
  readonly yard: string;
}

/** The pages without script: what the page shows before its script runs, refusals, and the answer to a stop. */
export interface PlainWords {
  /** What the page is, where a phone lists it. */
  readonly about: string;
  readonly stopAll: string;
  readonly hint: string;
  readonly loading: string;
  readonly ifItStays: string;
  readonly yardPage: string;
  readonly convenience: string;
  readonly stopSent: (n: number) => string;
  readonly onItsWay: string;
  readonly pressRedButton: string;
  readonly noBus: string;
}

/** What the yard computer says of itself, above the yard. */
export interface NoteWords {
  readonly busNotYet: string;
  readonly busGone: string;
  readonly anotherTookOver: (desk: string) => string;
  readonly anotherDrives: (desk: string) => string;
  readonly numberNotKept: (why: string) => string;
  readonly noticeFailed: (why: string) => string;
  readonly fileFromStart: string;
  readonly fileOnceClosed: string;
  readonly fileOnceAtRest: (titles: readonly string[]) => string;
  readonly dropped: (n: number) => string;
  /** What most of them had, by its kind, and what to do. `what`: the name that is unknown, else a topic or an address. */
  readonly mostDropped: Readonly<
    Record<'unknown' | 'unreadable' | 'too-large' | 'kept' | 'barred', (what: string) => string>
  >;
  readonly flooded: (n: number) => string;
  /** What goes out as a notice besides lines of the record. */
  readonly recordFails: (why: string) => string;
  readonly busGoneNotice: string;
  readonly trialFailed: (why: string) => string;
  readonly trialNotice: (by: string) => string;
}

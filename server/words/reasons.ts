import type { Entry } from '../show/effects.ts';
import type { Fault, Reason, ReasonCode } from '../show/reasons.ts';
import { faultText } from './faults.ts';
import { upper } from './figures.ts';
import { BARS } from './reasons/bars.ts';
import { DOINGS } from './reasons/doings.ts';
import { LIMITS } from './reasons/limits.ts';
import { RECORD } from './reasons/record.ts';
import { RUNS } from './reasons/runs.ts';
import { type Sentences, type Told, type WordContext, type Words, wordsOf } from './words.ts';

export type { WordContext } from './words.ts';

/** The groups, for the test that no code stands in two of them. */
export const GROUPS = [BARS, LIMITS, DOINGS, RUNS, RECORD] as const;

/** A sentence for every code. A code without one is a type error here: add its line to the group it belongs to. */
const SENTENCES: Sentences = {
  ...BARS,
  ...LIMITS,
  ...DOINGS,
  ...RUNS,
  ...RECORD,
  'lockout-raised': ({ fault }, w) => whole(faultText(fault as Fault, w.context)),
};

/** The codes there are sentences for. */
export const SAID_CODES = Object.keys(SENTENCES) as ReasonCode[];

/** A text of whole sentences as it stands: first sentence as the clause, the others as what to do. */
function whole(text: string): Told {
  const end = text.indexOf('. ');
  return end < 0 ? text.replace(/\.$/, '') : [text.slice(0, end), text.slice(end + 2)];
}

function told(reason: Reason, words: Words): Told {
  // One function a code; that the code and its function belong together is what `Sentences` says.
  const sentence = SENTENCES[reason.code] as (reason: Reason, words: Words) => Told;
  return sentence(reason, words);
}

function clauseOf(reason: Reason, words: Words): string {
  const t = told(reason, words);
  return typeof t === 'string' ? t : t[0];
}

function speaker(c: WordContext): Words {
  const words: Words = wordsOf(c, (reason) => clauseOf(reason, words));
  return words;
}

function sentenceOf(t: Told): string {
  return typeof t === 'string' ? `${upper(t)}.` : `${upper(t[0])}. ${t[1]}`;
}

/**
 * A reason as one or more whole sentences, with the yard's titles and local times: what, how much, the limit, and
 * what to do where a person can do something. Never throws, whatever the ids in it.
 */
export function say(reason: Reason, c: WordContext): string {
  return sentenceOf(told(reason, speaker(c)));
}

/** Several reasons, in the order given, as one text. */
export function sayAll(reasons: readonly Reason[], c: WordContext): string {
  return reasons.map((r) => say(r, c)).join(' ');
}

/**
 * A line of the record: as `say`, with the title of the scene that it is about, which the reason itself does not
 * bear (`Skipped 21:16 The crossing: ferry is locked out.`, `The crossing: done in 59.0 s.`).
 */
export function sayEntry(entry: Entry, c: WordContext): string {
  const { reason, scene, prop } = entry;
  const words = speaker(c);
  const title = scene === undefined ? null : words.scene(scene);
  if (title !== null && reason.code === 'run-skipped')
    return `Skipped ${c.short(reason.plannedMs)} ${title}: ${words.clause(reason.for)}.`;
  if (title !== null && Object.hasOwn(RUNS, reason.code)) return `${title}: ${clauseOf(reason, words)}.`;
  if (reason.code === 'run-started' && (title ?? prop) !== undefined)
    return `${title ?? upper(words.prop(prop!))}: ${clauseOf(reason, words)}.`;
  const released = reason.code === 'lockout-released' || reason.code === 'acknowledged';
  if (released && prop !== undefined) return `${upper(words.prop(prop))} ${clauseOf(reason, words)}.`;
  return say(reason, c);
}

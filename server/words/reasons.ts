import type { Entry } from '../show/effects.ts';
import type { Fault, Reason } from '../show/reasons.ts';
import { faultText } from './faults.ts';
import { upper } from './figures.ts';
import type { Told, WordContext, Words } from './words.ts';

export type { WordContext } from './words.ts';

/** A text of whole sentences as it stands: first sentence as the clause, the others as what to do. */
function whole(text: string): Told {
  const end = text.indexOf('. ');
  return end < 0 ? text.replace(/\.$/, '') : [text.slice(0, end), text.slice(end + 2)];
}

function told(reason: Reason, words: Words): Told {
  if (reason.code === 'lockout-raised') return whole(faultText(reason.fault as Fault, words.context));
  // One function a code; that the code and its function belong together is what `Sentences` says.
  const sentence = words.context.tongue.sentences[reason.code] as (reason: Reason, words: Words) => Told;
  return sentence(reason, words);
}

function clauseOf(reason: Reason, words: Words): string {
  const t = told(reason, words);
  return typeof t === 'string' ? t : t[0];
}

function speaker(c: WordContext): Words {
  const words: Words = c.tongue.names(c, (reason) => clauseOf(reason, words));
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
    return c.tongue.skipped(c.short(reason.plannedMs), title, words.clause(reason.for));
  if (title !== null && c.tongue.ofScene.has(reason.code)) return `${title}: ${clauseOf(reason, words)}.`;
  if (reason.code === 'run-started' && (title ?? prop) !== undefined)
    return `${title ?? upper(words.prop(prop!))}: ${clauseOf(reason, words)}.`;
  const released = reason.code === 'lockout-released' || reason.code === 'acknowledged';
  if (released && prop !== undefined) return `${upper(words.prop(prop))} ${clauseOf(reason, words)}.`;
  return say(reason, c);
}

import type { Fault, FaultCode } from '../show/reasons.ts';
import { failed, linkLost, noAnswer, refused, twoBoards } from './faults/boards.ts';
import { bothEnds, chatter, endLost, strayMove } from './faults/ends.ts';
import type { FaultWords } from './faults/fault-words.ts';
import { byHand, deadHalt, interlockLost } from './faults/rules.ts';
import { FAULT_TITLES } from './faults/titles.ts';
import { drift, noDeparture, overrun, travelShort, travelSlow } from './faults/travel.ts';
import { upper } from './figures.ts';
import { type WordContext, type Words, wordsOf } from './words.ts';

/** The words of every kind of fault: a new code without words is a type error here. */
export const FAULT_WORDS: Readonly<Record<FaultCode, FaultWords>> = {
  'travel-slow': travelSlow,
  'no-departure': noDeparture,
  'travel-short': travelShort,
  'both-ends': bothEnds,
  'end-lost': endLost,
  chatter,
  'interlock-lost': interlockLost,
  overrun,
  'no-answer': noAnswer,
  refused,
  failed,
  'link-lost': linkLost,
  'stray-move': strayMove,
  'two-boards': twoBoards,
  'dead-halt': deadHalt,
  drift,
  'by-hand': byHand,
};

/** How many `link-lost` within ten minutes lock a prop out. Must agree with the core's rule. */
const LOST_TOO_OFTEN = 3;

/** Whether a fault of this kind takes its prop out of service; `link-lost` does so only when it comes often. */
export function locksOut(fault: Fault): boolean {
  if (fault.code === 'link-lost') return (fault.times ?? 1) >= LOST_TOO_OFTEN;
  return fault.code !== 'drift';
}

/** What happened to the prop, as the head of the text. */
function headline(fault: Fault, words: Words): string {
  if (fault.code === 'by-hand') return `${words.does(fault.prop, 'is')} out of service`;
  if (fault.code === 'drift') return `${words.does(fault.prop, 'is')} slowing down`;
  return `${words.prop(fault.prop)} ${locksOut(fault) ? 'locked out' : 'not heard'}`;
}

export function faultTitle(code: FaultCode): string {
  return FAULT_TITLES[code];
}

/**
 * A fault as one text: what happened with figures and times, where to look, what a release does not do. Times by the
 * caller's clock. (`Ferry locked out. Left near at 21:13:58, far not made after 12.0 s (usual 7.1 s). Look for a jam,
 * then at the belt. Release moves nothing.`)
 */
export function faultText(fault: Fault, c: WordContext): string {
  const words = wordsOf(c, () => '');
  const kind = FAULT_WORDS[fault.code];
  const parts = [`${upper(headline(fault, words))}.`, kind.seen(fault, words)];
  if (fault.first !== undefined && fault.first !== fault.prop)
    parts.push(`It followed from ${words.whose(fault.first)} fault and is released with it.`);
  parts.push(`Look ${kind.look(fault, words)}.`);
  if (locksOut(fault)) parts.push('Release moves nothing.');
  return parts.join(' ');
}

/** Likely causes, the likeliest first; at least one. */
export function faultCauses(fault: Fault): string[] {
  return [...FAULT_WORDS[fault.code].causes(fault)];
}

/** What to look at, in order; at least one. */
export function faultChecks(fault: Fault): string[] {
  return [...FAULT_WORDS[fault.code].checks(fault)];
}

export function releaseWill(code: FaultCode): string {
  return FAULT_WORDS[code].releaseWill;
}

export function releaseWont(code: FaultCode): string {
  return FAULT_WORDS[code].releaseWont;
}

import type { Fault } from '../show/reasons.ts';
import { upper } from './figures.ts';
import type { Tongue } from './tongue.ts';
import type { WordContext } from './words.ts';

/** How many `link-lost` within ten minutes lock a prop out. Must agree with the core's rule. */
const LOST_TOO_OFTEN = 3;

/** Whether a fault of this kind takes its prop out of service; `link-lost` does so only when it comes often. */
export function locksOut(fault: Fault): boolean {
  if (fault.code === 'link-lost') return (fault.times ?? 1) >= LOST_TOO_OFTEN;
  return fault.code !== 'drift';
}

function became(fault: Fault): 'out' | 'slowing' | 'locked' | 'not-heard' {
  if (fault.code === 'by-hand') return 'out';
  if (fault.code === 'drift') return 'slowing';
  return locksOut(fault) ? 'locked' : 'not-heard';
}

/**
 * A fault as one text: what happened with figures and times, where to look, what a release does not do. Times by the
 * caller's clock. (`Ferry locked out. Left near at 21:13:58, far not made after 12.0 s (usual 7.1 s). Look for a jam,
 * then at the belt. Release moves nothing.`)
 */
export function faultText(fault: Fault, c: WordContext): string {
  const { frame, faults, names } = c.tongue;
  const words = names(c, () => '');
  const kind = faults[fault.code];
  const parts = [`${upper(frame.headline(words.prop(fault.prop), became(fault)))}.`, kind.seen(fault, words)];
  if (fault.first !== undefined && fault.first !== fault.prop)
    parts.push(frame.followed(words.prop(fault.first)));
  parts.push(frame.look(kind.look(fault, words)));
  if (locksOut(fault)) parts.push(frame.releaseMovesNothing);
  return parts.join(' ');
}

/** Likely causes, the likeliest first; at least one. */
export function faultCauses(fault: Fault, tongue: Tongue): string[] {
  return [...tongue.faults[fault.code].causes(fault)];
}

/** What to look at, in order; at least one. */
export function faultChecks(fault: Fault, tongue: Tongue): string[] {
  return [...tongue.faults[fault.code].checks(fault)];
}

import type { FaultCode } from '../../show/reasons.ts';
import type { FaultWords } from '../fault-words.ts';
import type { FaultFrame } from '../tongue.ts';
import { failed, linkLost, noAnswer, refused, twoBoards } from './faults/boards.ts';
import { bothEnds, chatter, endLost, strayMove } from './faults/ends.ts';
import { byHand, deadHalt, interlockLost } from './faults/rules.ts';
import { drift, noDeparture, overrun, travelShort, travelSlow } from './faults/travel.ts';
import { agree, possessive } from './names.ts';

/** The words of every kind of fault: a new code without words is a type error here. */
export const FAULTS: Readonly<Record<FaultCode, FaultWords>> = {
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

export const FRAME: FaultFrame = {
  headline: (prop, how) => {
    if (how === 'out') return `${agree(prop, 'is')} out of service`;
    if (how === 'slowing') return `${agree(prop, 'is')} slowing down`;
    return `${prop} ${how === 'locked' ? 'locked out' : 'not heard'}`;
  },
  followed: (first) => `It followed from ${possessive(first)} fault and is released with it.`,
  look: (where) => `Look ${where}.`,
  releaseMovesNothing: 'Release moves nothing.',
  alsoByHand: (why) => `Also out of service by hand: ${why}.`,
};

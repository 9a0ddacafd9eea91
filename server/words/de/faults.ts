import type { FaultCode } from '../../show/reasons.ts';
import type { FaultWords } from '../fault-words.ts';
import type { FaultFrame } from '../tongue.ts';
import { failed, linkLost, noAnswer, refused, twoBoards } from './faults/boards.ts';
import { bothEnds, chatter, endLost, strayMove } from './faults/ends.ts';
import { byHand, deadHalt, interlockLost } from './faults/rules.ts';
import { drift, noDeparture, overrun, travelShort, travelSlow } from './faults/travel.ts';

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
    if (how === 'out') return `${prop} außer Betrieb`;
    if (how === 'slowing') return `${prop} zunehmend langsamer`;
    return `${prop} ${how === 'locked' ? 'gesperrt' : 'nicht zu hören'}`;
  },
  followed: (first) => `Das folgte aus der Störung von ${first} und wird mit ihr freigegeben.`,
  look: (where) => `Prüfen: ${where}.`,
  releaseMovesNothing: 'Freigeben bewegt nichts.',
  alsoByHand: (why) => `Außerdem von Hand außer Betrieb: ${why}.`,
};

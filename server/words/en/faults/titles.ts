import type { FaultCode } from '../../../show/reasons.ts';

/** Each fault in a few words, as it heads its page and stands in the middle of other sentences. */
export const TITLES: Readonly<Record<FaultCode, string>> = {
  'travel-slow': 'Did not arrive in time',
  'no-departure': 'Did not leave its end',
  'travel-short': 'Arrived too soon',
  'both-ends': 'Both ends seen at once',
  'end-lost': 'Left its end without a command',
  chatter: 'End sensor flutters',
  'interlock-lost': 'What it needed went away',
  overrun: 'Routine did not end in time',
  'no-answer': 'Board did not answer',
  refused: 'Board refused the move',
  failed: 'Board reported a failure',
  'link-lost': 'Board not heard',
  'stray-move': 'Moved without a command',
  'two-boards': 'Two boards claim one prop',
  'dead-halt': 'Did not answer a halt',
  drift: 'Slowing down',
  'by-hand': 'Out of service by hand',
};

import type { PropPicture, RunFate, UnplannedRun } from '../../server/picture.ts';
import type { FaultCode, Mode } from '../../server/show/reasons.ts';

/** English names of what has a code: faults, modes, states, fates. A code without its word here is a type error. */

/** Each fault in a few words; the same as head the pages of the documentation, which test/web/words.test.ts checks. */
export const faults: Record<FaultCode, string> = {
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

export const modes: Record<Mode, string> = {
  closed: 'closed',
  opening: 'opening',
  open: 'open',
  held: 'held',
  closing: 'closing',
  stopped: 'stopped',
};

export const modeSentences: Record<Mode, string> = {
  closed: 'The yard is closed. Nothing starts by itself.',
  opening: 'The yard is opening. Props are going home; keep clear of them.',
  open: 'The yard is open. Scenes start by themselves.',
  held: 'Held. Nothing new starts; what runs ends.',
  closing: 'The yard is closing. What runs ends, then everything goes home.',
  stopped: 'Stopped. Nothing is started until the stop is cleared, and the yard then opened.',
};

export const fates: Record<RunFate['state'], string> = {
  planned: 'planned',
  running: 'running',
  done: 'done',
  failed: 'failed',
  abandoned: 'broken off',
  skipped: 'skipped',
  stopped: 'stopped',
};

/** Who or what started a run that is on no plan. */
export const origins: Record<UnplannedRun['origin'], string> = {
  hand: 'by hand',
  trigger: 'guest',
  notice: 'notice',
};

export const states: Record<PropPicture['state'], string> = {
  unknown: 'position not known',
  ready: 'ready',
  moving: 'moving',
  resting: 'rests',
  'locked-out': 'locked out',
  silent: 'no answer',
};

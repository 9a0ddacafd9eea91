import { lengthOf } from '../time.ts';
import { listed } from './listed.ts';
import { modeSentences } from './names.ts';

/** English words of the yard as a whole. */

export const yard = {
  heading: 'Yard',
  trouble: 'Trouble',
  noTrouble: 'No trouble.',
  nowNext: 'Now and next',
  nothingNow: 'No scene runs.',
  notOpen: 'Nothing starts until the yard is opened.',
  closing: 'Nothing new starts: the yard is closing.',
  planned: 'planned',
  inTime: (ms: number) => `in ${lengthOf(ms)}`,
  due: 'due',
  since: (ms: number) => `for ${lengthOf(ms)}`,
  /** What stands in no zone; in a yard that has none, all of it. */
  noZone: (zones: number): string => (zones === 0 ? 'The yard' : 'Elsewhere'),
  allWell: (count: number) => (count === 1 ? '1, well' : `all ${count} well`),
  someWell: (well: number, all: number) => `${well} of ${all} well`,
  notes: 'From the yard computer',
  tonight: 'Tonight',
};

/** On a screen on the wall. */
export const wall = {
  open: 'Show it large, for the wall',
  obeyed: (answered: number, all: number) => `${answered} of ${all} obeyed.`,
  leave: 'The key Esc leads back to the yard.',
  back: 'Back, in the browser, leads to the yard.',
};

export const mode = {
  sentences: modeSentences,
  atRest: 'The yard is closed. Everything is at rest.',
  noneHeard: 'No board is heard; nobody here knows what moves.',
  notHeard: (names: readonly string[]) =>
    names.length === 1
      ? `${names[0]} is not heard; nobody here knows whether it moves.`
      : `${listed(names)} are not heard; nobody here knows whether they move.`,
  hours: (open: string, close: string) => `Open ${open} to ${close}`,
  quiet: (quiet: string) => `quiet from ${quiet}`,
  noNight: 'No night is planned for now.',
  open: 'Open',
  openLonger: 'for',
  hold: 'Hold',
  close: 'Close',
  nothingPlanned: 'with nothing planned',
  openWarns: 'Props will move. Walk the yard before you open.',
};

import { count, nightName } from '../figures.ts';
import { day } from './day.ts';

/** A night's report: titles, heads and notes of its tables. Rows bear figures, titles and lines of the record. */
export const REPORT = {
  title: (yard: string, night: string, open: string, close: string) =>
    `${yard}, night of ${nightName(night, day, 'by hand')}, ${open} to ${close}`,
  fates: {
    made: 'made',
    failed: 'failed',
    abandoned: 'given up',
    stopped: 'stopped',
    skipped: 'skipped',
  },
  runs: { title: 'Runs', none: 'The yard has no scene.', scene: 'scene' },
  missed: {
    title: 'Missed, by cause',
    none: 'No run was missed.',
    head: ['runs', 'scene', 'what became of them', 'the first of them'],
  },
  faults: {
    title: 'Faults',
    none: 'No fault.',
    head: ['at', 'prop', 'lasted', 'what'],
    warning: 'a warning',
    notEnded: 'not ended',
    follows: (lasted: string, first: string) => `${lasted}, follows ${first}`,
  },
  alarms: {
    title: 'Alarms',
    none: 'No alarm.',
    head: ['flood from', 'to', 'alarms'],
    loads: {
      well: 'one person keeps up with that',
      'at-most': 'that is the most one person can keep up with',
      'too-many': 'that is more than one person can keep up with',
    },
    /** The figures and their names, so that a reader can judge the judgement. */
    source:
      'By EEMUA 191 and ISA-18.2 one person keeps up with about 1 alarm in 10 min, with 2 at most; 10 in 10 min are a flood, which should be less than 1 % of the time.',
    rate: (alarms: number, over: string, perTen: string, load: string) =>
      `${count(alarms, 'alarm')} in ${over}, ${perTen} in 10 min on average: ${load}.`,
    tooShort: (alarms: number, over: string) =>
      `${count(alarms, 'alarm')} in ${over}. That is too short a time to judge by a rate.`,
    most: (n: number) => `At most ${n} came within 10 min.`,
    flooded: (share: string, tooMuch: boolean) =>
      `${share} of the time was flood${tooMuch ? ', which is too much' : ''}.`,
  },
  stops: {
    title: 'Stops',
    none: 'No stop.',
    head: ['at', 'what', 'held for', 'who answered'],
    notCleared: 'not cleared',
    answered: (n: number, all: number) => `${n} of ${all}`,
    slowest: (after: string) => `, the last after ${after}`,
    silent: (who: readonly string[]) => `; not: ${who.join(', ')}`,
  },
  refused: {
    title: 'Triggers that set nothing off',
    none: 'No trigger was refused.',
    head: ['times', 'sensor', 'scene', 'the first of them'],
  },
  travels: {
    title: 'Travel times',
    none: 'No journey was timed.',
    head: ['move', 'journeys', 'middle', 'spread', 'least', 'most', 'usual', 'limit', 'drift'],
    spread: 'Two journeys in three lie within the spread of the middle.',
    atLimit: 'at its limit',
    left: (nights: number) => `${count(nights, 'night')} left`,
    drift: (from: string, now: string, left: string) => `${from} to ${now}, ${left}`,
  },
  service: { title: 'Service due', none: 'No prop came due for service.', head: ['at', 'prop', 'what'] },
};

export type ReportWords = typeof REPORT;

import type { Yard } from '../yard/types.ts';
import { localTime } from './local-time.ts';
import type { NoNight } from './night.ts';

/** Why a date has no night, as a sentence: for `plan --night` and for the check of the file. */
export function whyNoNight(yard: Yard, date: string, why: NoNight): string {
  const at = (ms: number): string => localTime(yard, ms);
  switch (why.code) {
    case 'not-a-date':
      return `"${date}" is no date; write it as 2026-10-31.`;
    case 'no-entry':
      return `${date} has no show: no entry of nights has a prepare on it.`;
    case 'dark':
      return `${date} has no show: it stands under dark.`;
    case 'no-sun': {
      const gone = why.event === 'sunset' ? 'the sun does not set' : 'it does not get dark (civil dusk)';
      const wanted =
        why.key === 'open'
          ? 'add fallback-open, as in fallback-open: "18:30"'
          : `give ${why.key} as a clock time, as in "22:30"`;
      return `On ${date} ${gone} here; ${wanted}.`;
    }
    case 'open-other-day':
      return `The night of ${date} would open at ${at(why.openMs)} of another date; a night opens on the date of its prepare.`;
    case 'prepare-late':
      return `On ${date} prepare is at ${at(why.prepareMs)} and open at ${at(why.openMs)}; prepare must come before open on the same date.`;
    case 'close-early':
      return `On ${date} the clock change puts close (${at(why.closeMs)}) at or before open (${at(why.openMs)}); move one of them out of that hour.`;
    case 'too-long':
      return `The night of ${date} would last ${why.hours.toFixed(1)} hours; a night lasts a day at most.`;
  }
}

import { checkNights as checkCalendar } from '../calendar/check.ts';
import { entryOn } from '../calendar/night.ts';
import { dateOf, dayOf } from '../calendar/wall.ts';
import type { Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import { known } from './known.ts';

export interface Years {
  readonly from: number;
  readonly to: number;
}

export type Problem = ReturnType<typeof checkCalendar>[number];

/** Of an entry, what its opening and its close follow from where the sun sets. */
const TIMES = ['open', 'close'];

/** Dates of `dark` that may be unreadable and the rest still looked at. */
const MOST_DATES_LOST = 5;

/** What the calendar finds wrong with the nights, and would whatever was meant where the file has errors. */
export function calendarProblems(yard: Yard, book: Book, years: Years): Problem[] {
  const sure = sureNights(yard, book, years);
  const lost = book.clean(['dark']) ? 0 : Math.max(1, book.count(['dark']) - yard.dark.length);
  if (lost > MOST_DATES_LOST) return [];
  const dates: string[] = [];
  const first = find(yard, sure, dates, book, years);
  let left = first;
  // A date that was not read may be any. With it a night is dark that may be one of two that overlap.
  for (let n = 0; n < 2 * lost; n += 1) {
    dates.push(...left.flatMap((p) => p.date ?? []));
    left = find(yard, sure, dates, book, years);
  }
  const same = (p: Problem, q: Problem): boolean =>
    p.entry === q.entry && p.code === q.code && p.key === q.key;
  return first.filter((p) => left.some((q) => same(p, q)));
}

function find(yard: Yard, sure: Yard, dark: readonly string[], book: Book, years: Years): Problem[] {
  const look = (at: Yard): Problem[] =>
    checkCalendar(dark.length === 0 ? at : { ...at, dark: [...at.dark, ...dark] }, years.from, years.to);
  const fallback = ({ code, entry }: Problem): boolean =>
    code !== 'no-sun' || book.clean(['nights', entry, 'fallback-open']);
  // These follow neither from `close` nor from another night.
  const early = ({ code, entry }: Problem): boolean =>
    (code === 'prepare-late' || code === 'open-other-day') && book.clean(['nights', entry, 'open']);
  const unsure = sure === yard ? [] : look({ ...yard, nights: sure.nights }).filter(early);
  return [...look(sure).filter(fallback), ...unsure];
}

/** Whether all is known of every night, so that they can be measured. */
export function allSure(yard: Yard, book: Book): boolean {
  const keys = ['prepare', 'quiet', 'fallback-open', ...TIMES];
  return yard.nights.every((_, i) => known(book, ['nights', i], keys));
}

/**
 * The yard with no other nights than those that are known: where only an entry's times are not, its dates are dark; where
 * its `prepare` is not, any date may be its own, and the entries from there on are left out. The yard itself where all are.
 */
function sureNights(yard: Yard, book: Book, years: Years): Yard {
  const blind = yard.nights.findIndex((_, i) => !book.clean(['nights', i, 'prepare']));
  const nights = blind < 0 ? yard.nights : yard.nights.slice(0, blind);
  const unsure = nights.map((_, i) => !known(book, ['nights', i], TIMES));
  if (blind < 0 && !unsure.includes(true)) return yard;
  const sure = { ...yard, nights };
  const dark = [...yard.dark];
  // As far back as the calendar looks for a night that goes on into the first year.
  const [from, to] = [dayOf(`${years.from}-01-01`) - 7, dayOf(`${years.to}-12-31`)];
  for (let day = from; unsure.includes(true) && day <= to; day += 1) {
    if (unsure[entryOn(sure, dateOf(day))]) dark.push(dateOf(day));
  }
  return { ...sure, dark };
}

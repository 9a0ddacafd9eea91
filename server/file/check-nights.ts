import { entryOn, findNight } from '../calendar/night.ts';
import { dateOf, dayOf, wallOf } from '../calendar/wall.ts';
import { timelineOf } from '../yard/timeline.ts';
import type { Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Longest } from './check-runs.ts';
import type { Path } from './errors.ts';
import { known } from './known.ts';
import { writeTime } from './quantities.ts';
import { allSure, calendarProblems, type Problem, type Years } from './sure-nights.ts';

/** Looks at the nights, date by date through the years given, and says how long the longest is; null where there is none. */
export function checkNights(yard: Yard, book: Book, years: Years): Longest | null {
  if (!book.clean(['nights']) && yard.nights.length === 0) return null;
  if (yard.nights.length === 0) {
    const say = 'the file has no nights: the yard would never open. Add an entry to `nights`.';
    const example = '- {prepare: "0 16 * 10 fri,sat", open: "18:00", close: "22:30", opens: by hand}';
    book.fail(['nights'], { say, wanted: 'at least one entry', example }, 'key');
    return null;
  }
  if (!known(book, ['yard'], ['timezone', 'latitude', 'longitude'])) return null;
  // An entry that is missing from the draft may be the one that makes the nights of the entries below it.
  if (yard.nights.length < book.count(['nights'])) return null;
  const off = sunOff(yard);
  if (off !== null) book.note(['yard', 'longitude'], off);
  tellCalendar(yard, book, calendarProblems(yard, book, years), off);
  checkDark(yard, book);
  checkNotice(yard, book);
  return allSure(yard, book) ? longestNight(yard, book, years) : null;
}

function tellCalendar(yard: Yard, book: Book, problems: readonly Problem[], sunOff: string | null): void {
  for (const problem of problems) {
    const path: Path = ['nights', problem.entry, problem.key];
    const at = book.wrote(path) ? path : path.slice(0, 2);
    const text = `${problem.text.charAt(0).toLowerCase()}${problem.text.slice(1)}`;
    const { open, close } = yard.nights[problem.entry]!;
    const bySun = open.kind === 'sun' || close.kind === 'sun';
    const say = bySun && sunOff !== null ? `${text} Mind that ${sunOff}` : text;
    if (problem.severity === 'warning') book.note(at, text);
    else book.fail(at, { say, ...WANTED[problem.code] });
  }
}

/** What would be right, for each thing that the calendar can find wrong. */
const WANTED: Readonly<Record<Problem['code'], { wanted: string; example: string }>> = {
  'no-sun': { wanted: 'a time that exists on every date', example: 'fallback-open: "18:30"' },
  'open-other-day': { wanted: 'an opening on the date of `prepare`', example: 'open: sunset + 20 min' },
  'prepare-late': { wanted: 'a `prepare` before `open` on the same date', example: '"0 16 * 10 fri,sat"' },
  'close-early': { wanted: 'a `close` after `open`', example: 'close: "22:30"' },
  'too-long': { wanted: 'a night of a day at most', example: 'close: "22:30"' },
  unreadable: { wanted: 'five cron fields', example: '"0 16 * 10 fri,sat"' },
  twice: { wanted: 'one time a date', example: '"0 16 * 10 fri,sat"' },
  overlap: { wanted: 'nights that end before the next begins', example: 'close: "22:30"' },
  never: { wanted: 'dates that come', example: '"0 16 * 10 fri,sat"' },
  'prepares-in-a-night': {
    wanted: 'a `prepare` after the night before has closed',
    example: '"0 16 * 10 fri,sat"',
  },
  'notice-before-prepare': { wanted: 'a `prepare` before the notice', example: '"0 16 * 10 fri,sat"' },
  'quiet-after-close': { wanted: 'a `quiet` before `close`', example: 'quiet: "21:00"' },
};

/** Hours by which a clock may be ahead of the sun anywhere on land, with room: western China has a little over three. */
const MOST_HOURS_OFF = 4;

/**
 * Says that sun and clock can't belong together; null where they may. A longitude with the wrong sign is easily written
 * and puts sunset into the middle of the day.
 */
function sunOff(yard: Yard): string | null {
  const sunHours = yard.longitude / 15;
  const clockHours = wallOf(yard.timezone, Date.UTC(2026, 0, 15)).offsetMs / 3_600_000;
  const off = Math.abs(apart(clockHours, sunHours));
  if (off <= MOST_HOURS_OFF) return null;
  const hint =
    Math.abs(apart(clockHours, -sunHours)) <= MOST_HOURS_OFF
      ? ' Is its sign wrong? East is positive, west negative.'
      : '';
  return `at longitude ${yard.longitude} the sun is ${off.toFixed(0)} hours away from the clock of ${yard.timezone}.${hint}`;
}

/** Hours from one to the other round the clock, -12 to 12. */
function apart(a: number, b: number): number {
  return ((((a - b) % 24) + 36) % 24) - 12;
}

function checkDark(yard: Yard, book: Book): void {
  const seen = new Set<string>();
  yard.dark.forEach((date, i) => {
    if (seen.has(date)) book.note(['dark', i], `${date} stands twice in \`dark\`.`);
    else if (entryOn(yard, date) < 0)
      book.note(['dark', i], `${date} has no show anyway: no \`prepare\` falls on it. Is it the right date?`);
    seen.add(date);
  });
}

function checkNotice(yard: Yard, book: Book): void {
  yard.nights.forEach((night, i) => {
    const path: Path = ['nights', i];
    if (night.noticeMs < 5000) {
      book.note(
        [...path, book.wrote([...path, 'notice']) ? 'notice' : 'open'],
        `a notice of ${writeTime(night.noticeMs)} gives nobody time to step back before things move.`,
      );
    }
    const scene = night.noticeScene === null ? undefined : yard.scenes.get(night.noticeScene);
    if (!scene || !book.clean(['scenes', scene.id]) || !book.clean(['props'])) return;
    const { lengthMs } = timelineOf(yard, scene);
    if (lengthMs > night.noticeMs) {
      book.note(
        [...path, 'notice-scene'],
        `\`${scene.id}\` takes ${writeTime(lengthMs)}, longer than the notice of ${writeTime(night.noticeMs)}: homing begins only after it.`,
      );
    }
  });
}

/** Nights outside these are told of: `close` means the next day as soon as it is not after `open`. */
const SHORT_MS = 30 * 60_000;
const LONG_MS = 16 * 3_600_000;

function longestNight(yard: Yard, book: Book, years: Years): Longest | null {
  let [closeMs, loudMs] = [0, 0];
  const odd = new Set<number>();
  for (let day = dayOf(`${years.from}-01-01`); day <= dayOf(`${years.to}-12-31`); day += 1) {
    const date = dateOf(day);
    const { night, entry } = { entry: -1, ...findNight(yard, date) };
    if (!night) continue;
    const longMs = night.closeMs - night.openMs;
    closeMs = Math.max(closeMs, longMs);
    loudMs = Math.max(loudMs, Math.min(night.quietMs ?? night.closeMs, night.closeMs) - night.openMs);
    if ((longMs >= SHORT_MS && longMs <= LONG_MS) || odd.has(entry)) continue;
    odd.add(entry);
    const text = `the night of ${date} lasts ${writeTime(longMs)}. A \`close\` that is at or before \`open\` on the clock is on the next day; is that meant?`;
    book.note(['nights', entry, 'close'], text);
  }
  return closeMs > 0 ? { closeMs, loudMs } : null;
}

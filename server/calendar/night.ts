import type { NightTimes } from '../plan/tonight.ts';
import type { ClockTime, NightEntry, Yard } from '../yard/types.ts';
import { fallsOn, type PrepareRead, readPrepare } from './cron.ts';
import { sunMs } from './sun.ts';
import { addDays, DAY_MS, instantOf, isDate, MINUTE_MS, wallOf } from './wall.ts';

/** Why a date has no night. `entry` counts the file's `nights` from 0; `prepare` is the entry that would make it. */
export type NoNight =
  | { readonly code: 'not-a-date' }
  | { readonly code: 'dark'; readonly entry: number }
  | { readonly code: 'no-entry' }
  | {
      readonly code: 'no-sun';
      readonly entry: number;
      readonly key: 'open' | 'close' | 'quiet';
      readonly event: 'sunset' | 'dusk';
    }
  | { readonly code: 'open-other-day'; readonly entry: number; readonly openMs: number }
  | {
      readonly code: 'prepare-late';
      readonly entry: number;
      readonly prepareMs: number;
      readonly openMs: number;
    }
  | {
      readonly code: 'close-early';
      readonly entry: number;
      readonly openMs: number;
      readonly closeMs: number;
    }
  | { readonly code: 'too-long'; readonly entry: number; readonly hours: number };

export type NightFound =
  | { readonly night: NightTimes; readonly entry: number; readonly why: null }
  | { readonly night: null; readonly why: NoNight };

/** A night from sunset to the next day's, or round the clock on the day the clock goes back, and no more. */
const LONGEST_MS = DAY_MS + 60 * MINUTE_MS;

/** The night of a date, null where there is none. */
export function nightOn(yard: Yard, date: string): NightTimes | null {
  return findNight(yard, date).night;
}

/**
 * The night of a date, or why there is none. The first entry whose `prepare` falls on the date makes it, and names it.
 * Pure but for a memory of what it worked out before: the yard never changes after parsing.
 */
export function findNight(yard: Yard, date: string): NightFound {
  if (!isDate(date)) return none({ code: 'not-a-date' });
  const index = entryOn(yard, date);
  if (index < 0) return none({ code: 'no-entry' });
  if (yard.dark.includes(date)) return none({ code: 'dark', entry: index });
  const known = memory.get(yard) ?? new Map<string, NightFound>();
  const found = known.get(date) ?? workOut(yard, date, index);
  if (known.size >= REMEMBERED) known.clear();
  known.set(date, found);
  memory.set(yard, known);
  return found;
}

const REMEMBERED = 1_000;
const memory = new WeakMap<Yard, Map<string, NightFound>>();
const prepares = new WeakMap<NightEntry, PrepareRead>();

/** An entry's `prepare`, read once. */
export function prepareOf(entry: NightEntry): PrepareRead {
  const read = prepares.get(entry) ?? readPrepare(entry.prepare);
  prepares.set(entry, read);
  return read;
}

/** The index of the entry whose `prepare` falls on a date, dark or not; -1 if none does. */
export function entryOn(yard: Yard, date: string): number {
  return yard.nights.findIndex((entry) => {
    const read = prepareOf(entry);
    return read.ok && fallsOn(read.prepare, date);
  });
}

function workOut(yard: Yard, date: string, index: number): NightFound {
  const entry = yard.nights[index]!;

  const open = openOn(yard, entry, date);
  if (!open) return none(noSun(index, 'open', entry.open));
  if (open.date !== date) return none({ code: 'open-other-day', entry: index, openMs: open.ms });
  const prepareMs = prepareOn(yard, entry, date);
  if (prepareMs >= open.ms) return none({ code: 'prepare-late', entry: index, prepareMs, openMs: open.ms });

  const closeMs = laterThan(yard, date, entry.close, open, true);
  if (closeMs === null) return none(noSun(index, 'close', entry.close));
  if (closeMs <= open.ms) return none({ code: 'close-early', entry: index, openMs: open.ms, closeMs });
  const longMs = closeMs - open.ms;
  if (longMs > LONGEST_MS) return none({ code: 'too-long', entry: index, hours: longMs / 3_600_000 });

  const quietMs = entry.quiet && laterThan(yard, date, entry.quiet, open, false);
  if (entry.quiet && quietMs === null) return none(noSun(index, 'quiet', entry.quiet));
  return {
    night: {
      date,
      prepareMs,
      openMs: open.ms,
      closeMs,
      quietMs,
      opensByItself: entry.opens === 'by itself',
      noticeMs: entry.noticeMs,
      noticeScene: entry.noticeScene,
    },
    entry: index,
    why: null,
  };
}

/** A time of the file on a date: its instant, and what the clock says then. */
export interface OnDate {
  readonly ms: number;
  readonly date: string;
  /** ms into the day by the clock; of a fixed time the one written, even where the clock change skips it. */
  readonly clockMs: number;
}

/** When an entry opens on a date; null where the sun does not set and no other time is given. */
export function openOn(yard: Yard, entry: NightEntry, date: string): OnDate | null {
  return timeOn(yard, date, entry.open) ?? (entry.fallbackOpen && timeOn(yard, date, entry.fallbackOpen));
}

/**
 * The instant of `close` or `quiet` for a night that opens so. Earlier than `open` on the clock (for `close` also the
 * same) means the next day; a time of the sun is itself an instant and is compared as one. Null: no such event.
 */
export function laterThan(
  yard: Yard,
  date: string,
  time: ClockTime,
  open: OnDate,
  sameIsNext: boolean,
): number | null {
  const at = timeOn(yard, date, time);
  if (!at) return null;
  const ahead = time.kind === 'sun' ? at.ms - open.ms : at.clockMs - open.clockMs;
  if (ahead > 0 || (ahead === 0 && !sameIsNext)) return at.ms;
  return timeOn(yard, addDays(date, 1), time)?.ms ?? null;
}

function timeOn(yard: Yard, date: string, time: ClockTime): OnDate | null {
  if (time.kind === 'clock') {
    const ms = instantOf(yard.timezone, date, time.hour, time.minute);
    return { ms, date, clockMs: (time.hour * 60 + time.minute) * MINUTE_MS };
  }
  const sun = sunMs(yard, date, time.event);
  if (sun === null) return null;
  const ms = sun + time.offsetMs;
  const wall = wallOf(yard.timezone, ms);
  const clockMs = (wall.hour * 60 + wall.minute) * MINUTE_MS + wall.second * 1000 + wall.ms;
  return { ms, date: wall.date, clockMs };
}

function prepareOn(yard: Yard, entry: NightEntry, date: string): number {
  const read = prepareOf(entry);
  if (!read.ok) throw new Error(`prepare "${entry.prepare}" ${read.why}`);
  return instantOf(yard.timezone, date, read.prepare.hour, read.prepare.minute);
}

function noSun(entry: number, key: 'open' | 'close' | 'quiet', time: ClockTime): NoNight {
  return { code: 'no-sun', entry, key, event: time.kind === 'sun' ? time.event : 'sunset' };
}

function none(why: NoNight): NightFound {
  return { night: null, why };
}

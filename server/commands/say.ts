import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { upcoming } from '../calendar/find.ts';
import { localTime } from '../calendar/local-time.ts';
import { findNight } from '../calendar/night.ts';
import { whyNoNight } from '../calendar/why.ts';
import { readYardBytes } from '../file/check.ts';
import { journalPath } from '../journal/sqlite.ts';
import type { Clock } from '../plan/explain.ts';
import type { NightTimes } from '../plan/tonight.ts';
import { stateFolder } from '../settings.ts';
import type { Yard } from '../yard/types.ts';

/** Standard output is for results. */
export const out = (text = ''): void => void process.stdout.write(text.endsWith('\n') ? text : `${text}\n`);
/** Standard error is for what is said on the way. */
export const err = (text: string): void =>
  void process.stderr.write(text.endsWith('\n') ? text : `${text}\n`);

/** The answer is no: said on standard error, and the command ends with this code. */
export class No extends Error {
  readonly exitCode: 1 | 2;

  constructor(message: string, exitCode: 1 | 2 = 1) {
    super(message);
    this.exitCode = exitCode;
  }
}

/** Refuses where a data folder has no record, and names the demonstration's where that has one. */
export function recordIn(data: string): void {
  if (existsSync(journalPath(data))) return;
  const demonstration = join(stateFolder(), 'demonstration');
  const other =
    demonstration !== data && existsSync(journalPath(demonstration))
      ? ` The demonstration's is in ${demonstration}: add --data ${demonstration}`
      : '';
  throw new No(`There is no record in ${data}.${other}`);
}

export interface YardText {
  readonly text: string;
  readonly yard: Yard;
}

/** A yard file that is fine; else `No` with its errors, all of them. */
export function yardOf(path: string): YardText {
  let bytes: Buffer;
  try {
    bytes = readFileSync(path);
  } catch (error) {
    const e = error as NodeJS.ErrnoException;
    throw new No(
      e.code === 'ENOENT' ? `There is no file ${path}.` : `${path} can't be read: ${e.message}.`,
      2,
    );
  }
  const read = readYardBytes(bytes, path);
  if (read.ok) return { text: bytes.toString('utf8'), yard: read.yard };
  const n = read.errors.length;
  const told = read.errors.map((e) => `  ${e.message}`).join('\n');
  throw new No(`${path} has ${n} ${n === 1 ? 'error' : 'errors'}:\n${told}`);
}

/** The night of a date, or, without one, tonight's or the next. */
export function nightOf(yard: Yard, date: string | undefined): NightTimes {
  if (date === undefined) {
    const next = upcoming(yard, Date.now(), 1)[0];
    if (!next) throw new No('No night is to come in this yard file.');
    return next;
  }
  const found = findNight(yard, date);
  if (!found.night) throw new No(whyNoNight(yard, date, found.why), found.why.code === 'not-a-date' ? 2 : 1);
  return found.night;
}

/** Writes seconds from a night's open as the local time of day, over a change of the clocks too. */
export function clockFrom(yard: Yard, night: NightTimes): Clock {
  return (seconds) => localTime(yard, night.openMs + Math.round(seconds * 1000));
}

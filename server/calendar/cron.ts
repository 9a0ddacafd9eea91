import { validateDetailed } from 'node-cron';
import { dayOf } from './wall.ts';

/** `prepare` as read: on which dates, and the one wall time on each. */
export interface Prepare {
  readonly hour: number;
  readonly minute: number;
  readonly days: ReadonlySet<number>;
  /** 1 to 12. */
  readonly months: ReadonlySet<number>;
  /** 0 is Sunday. */
  readonly weekdays: ReadonlySet<number>;
}

export type PrepareRead =
  | { readonly ok: true; readonly prepare: Prepare }
  | { readonly ok: false; readonly code: 'unreadable' | 'twice'; readonly why: string };

const FIELDS = ['minute', 'hour', 'day', 'month', 'weekday'] as const;
const MONTHS = 'jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec';
const LONG_MONTHS = 'january|february|march|april|may|june|july|august|september|october|november|december';
const WEEKDAYS = 'sun|mon|tue|wed|thu|fri|sat';
const LONG_WEEKDAYS = 'sunday|monday|tuesday|wednesday|thursday|friday|saturday';

/** What a field may say. The library takes more (nicknames, L, W, #, ?, seconds), which the yard file does not. */
const SHAPES = {
  minute: shape(''),
  hour: shape(''),
  day: shape(''),
  month: shape(`${LONG_MONTHS}|${MONTHS}`),
  weekday: shape(`${LONG_WEEKDAYS}|${WEEKDAYS}`),
};

function shape(names: string): RegExp {
  const one = names === '' ? '\\d{1,2}' : `(?:\\d{1,2}|${names})`;
  const part = `(?:\\*|${one}-${one})(?:/\\d{1,2})?|${one}`;
  return new RegExp(`^(?:${part})(?:,(?:${part}))*$`, 'i');
}

/**
 * Reads the five cron fields of `prepare`. Where day and weekday are both restricted both must match, unlike the
 * classic crontab. A refusal says in a sentence what is wrong; `twice` where it names more than one time a day.
 */
export function readPrepare(text: string): PrepareRead {
  const words = text.trim().split(/\s+/);
  if (text.trim() === '' || words.length !== FIELDS.length) {
    return unreadable(
      `wants five fields (minute, hour, day, month, weekday), as in "0 16 * 10 fri,sat", and has ${text.trim() === '' ? 'none' : words.length}`,
    );
  }
  for (const [i, field] of FIELDS.entries()) {
    const word = words[i]!;
    if (!SHAPES[field].test(word)) {
      return unreadable(
        `"${word}" can't be read as ${field}: numbers${names(field)} with * , - / between them`,
      );
    }
  }
  const read = validateDetailed(words.join(' '));
  if (!read.valid || !read.fields) return unreadable(whyInvalid(words, read.errors[0]));
  const { minute, hour, dayOfMonth, month, dayOfWeek } = read.fields;
  if (new Set(minute).size !== 1 || new Set(hour).size !== 1) {
    return {
      ok: false,
      code: 'twice',
      why: `names more than one time a day; a night is prepared once, as in "0 16 ${words.slice(2).join(' ')}"`,
    };
  }
  return {
    ok: true,
    prepare: {
      hour: hour[0]!,
      minute: minute[0]!,
      days: new Set(dayOfMonth.map(Number)),
      months: new Set(month),
      weekdays: new Set(dayOfWeek.map(Number)),
    },
  };
}

/** Whether the date is one of its dates. */
export function fallsOn(prepare: Prepare, date: string): boolean {
  const day = dayOf(date);
  // 1970-01-01 was a Thursday.
  const weekday = (((day + 4) % 7) + 7) % 7;
  return (
    prepare.months.has(Number(date.slice(5, 7))) &&
    prepare.days.has(Number(date.slice(8, 10))) &&
    prepare.weekdays.has(weekday)
  );
}

function names(field: (typeof FIELDS)[number]): string {
  if (field === 'month') return ' or names (jan to dec)';
  return field === 'weekday' ? ' or names (sun to sat)' : '';
}

const RANGES = {
  second: '',
  minute: '0 to 59',
  hour: '0 to 23',
  dayOfMonth: '1 to 31',
  month: '1 to 12 or jan to dec',
  dayOfWeek: '0 to 7 or sun to sat',
};

function whyInvalid(words: string[], error: { field: string; message: string } | undefined): string {
  const index = ['minute', 'hour', 'dayOfMonth', 'month', 'dayOfWeek'].indexOf(error?.field ?? '');
  const word = words[index];
  if (!error || word === undefined) return `"${words.join(' ')}" can't be read as cron fields`;
  if (error.message.includes('impossible')) return `no ${words[3]} has a day ${words[2]}`;
  const range = RANGES[error.field as keyof typeof RANGES];
  return `"${word}" is no ${FIELDS[index]}: ${range}`;
}

function unreadable(why: string): PrepareRead {
  return { ok: false, code: 'unreadable', why };
}

import { z } from 'zod';
import { readPrepare } from '../calendar/cron.ts';
import { isDate, isTimezone } from '../calendar/wall.ts';
import type { Cable, Sensor } from '../yard/types.ts';
import { readClockTime } from './clock-times.ts';
import { ID_PATTERN, nearestOf, readId, readNeed, readRef } from './names.ts';
import {
  type Complaint,
  type Dimension,
  patternOf,
  type Reading,
  readQuantity,
  wantedOf,
} from './quantities.ts';

/** What the error texts need to know of a part of the schema, and JSON Schema has no place for. */
export interface Words {
  /** 'a move'; of a plain value what it is: 'a time'. */
  readonly noun: string;
  /** A value that would be accepted, as the file writes it. */
  readonly example: string;
}

export const WORDS = z.registry<Words>();

/** A plain value: read by one of our own readers, so that a refusal can say what it would take. */
export function leaf<T>(
  read: (raw: unknown) => Reading<T>,
  noun: string,
  example: string,
  description: string,
  json: Record<string, unknown> = { type: 'string' },
) {
  return z
    .unknown()
    .meta({ ...json, description })
    .transform((raw, context): T => {
      const reading = read(raw);
      if (reading.ok) return reading.value;
      const params: Record<string, unknown> = { complaint: reading.complaint };
      context.issues.push({ code: 'custom', input: raw, params, message: reading.complaint.what });
      return z.NEVER;
    })
    .register(WORDS, { noun, example });
}

/** The complaint that a leaf of ours put into an issue. */
export function complaintOf(params: unknown): Complaint | undefined {
  return (params as { complaint?: Complaint } | undefined)?.complaint;
}

interface Bounds {
  /** In base units. */
  readonly least?: number;
  readonly above?: number;
  readonly most: number;
  /** What is said of a value beyond, 'at most 24 h'. */
  readonly said: string;
}

const HOUR = 3_600_000;

/** Bounds that keep slips of the pen out; each leaves room for any yard. Base units of quantities.ts. */
export const BOUNDS = {
  /** A time that may be nothing. */
  pause: { least: 0, most: 24 * HOUR, said: '24 h at most' },
  span: { above: 0, most: 24 * HOUR, said: 'above zero and 24 h at most' },
  /** The bus gives a board no less than half a second to hear two heartbeats. */
  silence: { least: 500, most: 60_000, said: '500 ms to 60 s' },
  notice: { least: 0, most: HOUR, said: '1 h at most' },
  every: { least: 1000, most: 24 * HOUR, said: '1 s to 24 h' },
  travel: { above: 0, most: 1_000_000, said: 'above zero and 1000 m at most' },
  pitch: { above: 0, most: 1000, said: 'above zero and 1 m at most' },
  cable: { above: 0, most: 10_000_000, said: 'above zero and 10 000 m at most' },
  current: { above: 0, most: 1000, said: 'above zero and 1000 A at most' },
  draw: { least: 0, most: 1000, said: '1000 A at most' },
  pressure: { above: 0, most: 4000, said: 'above zero and 40 bar at most' },
  tank: { above: 0, most: 100_000, said: 'above zero and 100 000 l at most' },
  air: { above: 0, most: 10_000, said: 'above zero and 10 000 l at most' },
  flow: { above: 0, most: 100_000, said: 'above zero and 100 000 l/min at most' },
  share: { above: 0, most: 1, said: 'above zero and 100 % at most' },
  vary: { least: 0, most: 1, said: '100 % at most' },
} as const satisfies Record<string, Bounds>;

/** A quantity key. Times come out in whole milliseconds, since the plan is made to the millisecond. */
export function quantity(dimension: Dimension, bounds: Bounds, example: string, description: string) {
  const noun = wantedOf(dimension, example);
  const read = (raw: unknown): Reading<number> => {
    const reading = readQuantity(dimension, raw, example);
    if (!reading.ok) return reading;
    const value = dimension === 'time' ? Math.round(reading.value) : reading.value;
    const low = bounds.above !== undefined ? value <= bounds.above : value < (bounds.least ?? 0);
    if (!low && value <= bounds.most) return { ok: true, value };
    const what = `is ${low ? 'too small' : 'too much'}: ${bounds.said}`;
    return { ok: false, complaint: { what, wanted: `${noun}, ${bounds.said}`, example } };
  };
  return leaf(read, noun, example, description, {
    type: 'string',
    pattern: patternOf(dimension),
    examples: [example],
  });
}

interface NumberBounds {
  readonly least: number;
  readonly most: number;
  readonly whole?: boolean;
}

/** A bare number: its key names its unit. */
export function number(bounds: NumberBounds, example: number, description: string, noun: string) {
  const wanted = `${noun}, ${bounds.whole ? 'whole, ' : ''}${bounds.least} to ${bounds.most}`;
  const read = (raw: unknown): Reading<number> => {
    const no = (what: string, better: string = String(example)): Reading<number> => ({
      ok: false,
      complaint: { what, wanted, example: better },
    });
    if (typeof raw === 'string') {
      const bare = /^\s*([+-]?\d+(?:\.\d+)?)/u.exec(raw)?.[1];
      const unit =
        bare === undefined
          ? 'is no number'
          : bare === raw.trim()
            ? 'is a number in quotes'
            : 'is more than a number';
      return no(`${unit}: this key wants a bare number`, bare ?? String(example));
    }
    if (typeof raw !== 'number' || !Number.isFinite(raw)) return no('is no number');
    if (bounds.whole && !Number.isInteger(raw)) return no('is no whole number', String(Math.round(raw)));
    if (raw < bounds.least || raw > bounds.most)
      return no(`is out of range: ${bounds.least} to ${bounds.most}`);
    return { ok: true, value: raw };
  };
  return leaf(read, wanted, String(example), description, {
    type: bounds.whole ? 'integer' : 'number',
    minimum: bounds.least,
    maximum: bounds.most,
    examples: [example],
  });
}

export function choice<const C extends string>(choices: readonly C[], example: C, description: string) {
  const wanted = `one of ${choices.map((c) => `\`${c}\``).join(', ')}`;
  const read = (raw: unknown): Reading<C> => {
    const chosen = choices.find((c) => c === raw);
    if (chosen !== undefined) return { ok: true, value: chosen };
    const near = typeof raw === 'string' ? nearestOf(raw, choices) : undefined;
    return { ok: false, complaint: { what: `is not ${wanted}`, wanted, example: near ?? example } };
  };
  return leaf(read, wanted, example, description, { enum: [...choices] });
}

export function flag(description: string) {
  const read = (raw: unknown): Reading<boolean> => {
    if (typeof raw === 'boolean') return { ok: true, value: raw };
    const yes = typeof raw === 'string' && /^(yes|on|y|1|true)$/iu.test(raw);
    return {
      ok: false,
      complaint: {
        what: 'is neither `true` nor `false`',
        wanted: '`true` or `false`',
        example: yes ? 'true' : 'false',
      },
    };
  };
  return leaf(read, '`true` or `false`', 'true', description, { type: 'boolean' });
}

export function title(example: string, description: string) {
  const wanted = 'a text of 1 to 100 letters';
  const read = (raw: unknown): Reading<string> => {
    const no = (what: string, better = example): Reading<string> => ({
      ok: false,
      complaint: { what, wanted, example: better },
    });
    if (typeof raw === 'number' || typeof raw === 'boolean') {
      return no('is read as a value and not as text: put it in quotes', `"${raw}"`);
    }
    if (typeof raw !== 'string') return no('is no text');
    const text = raw.trim().replace(/\s+/gu, ' ');
    if (text === '') return no('is empty');
    return text.length <= 100 ? { ok: true, value: text } : no('is longer than 100 letters');
  };
  return leaf(read, wanted, example, description, { type: 'string', minLength: 1, maxLength: 100 });
}

export function id(noun: string, example: string, description: string) {
  return leaf(readId, noun, example, description, { type: 'string', pattern: ID_PATTERN });
}

/** The names of a table. */
export const key = z.string().regex(new RegExp(ID_PATTERN, 'u'));

const REF_JSON = { type: 'string', pattern: '^[a-z0-9-]{1,40}\\.[a-z0-9-]{1,40}$' };

export const moveRef = leaf(
  (raw) => readRef(raw, 'move'),
  'a prop and its move',
  'ferry.out',
  'A move of a prop, as prop.move.',
  REF_JSON,
);

export const sensorRef = leaf(
  (raw) => readRef(raw, 'sensor'),
  'a prop and its sensor',
  'path-mat.step',
  'The sensor that sets the scene off, as prop.sensor.',
  REF_JSON,
);

export const need = leaf(
  readNeed,
  'a need',
  'ferry.far',
  'An interlock that must hold when the move starts and until it ends.',
  {
    type: 'string',
    pattern: '^((not )?[a-z0-9-]{1,40}\\.[a-z0-9-]{1,40}|[a-z0-9-]{1,40} at (rest|home))$',
    examples: ['ferry.far', 'not ferry.far', 'ferryman at rest', 'ferry at home'],
  },
);

export function clockTime(example: string, description: string) {
  return leaf(readClockTime, 'a clock time', example, description, {
    type: 'string',
    pattern: '^(([01]\\d|2[0-3]):[0-5]\\d|(sunset|dusk)( ?[+-] ?\\S.*)?)$',
    examples: ['18:00', 'sunset + 20 min', 'dusk'],
  });
}

export const prepare = leaf(
  (raw): Reading<string> => {
    const no = (what: string): Reading<string> => ({
      ok: false,
      complaint: {
        what,
        wanted: 'five cron fields in quotes: minute hour day month weekday',
        example: '"0 16 * 10 fri,sat"',
      },
    });
    if (typeof raw !== 'string') return no('is no text of five cron fields');
    const read = readPrepare(raw);
    return read.ok ? { ok: true, value: raw.trim() } : no(`: ${read.why}`);
  },
  'five cron fields',
  '"0 16 * 10 fri,sat"',
  "When tonight's plan is drawn up and the checks begin: minute hour day month weekday, local time. Where day and weekday are both restricted, both must match.",
  { type: 'string', examples: ['0 16 * 10 fri,sat'] },
);

export const date = leaf(
  (raw): Reading<string> => {
    if (typeof raw === 'string' && isDate(raw.trim())) return { ok: true, value: raw.trim() };
    const loose = typeof raw === 'string' ? /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$/u.exec(raw.trim()) : null;
    const better = loose ? `${loose[1]}-${loose[2]!.padStart(2, '0')}-${loose[3]!.padStart(2, '0')}` : '';
    const example = isDate(better) ? better : '2026-10-17';
    return { ok: false, complaint: { what: 'is no date', wanted: 'a date as YYYY-MM-DD', example } };
  },
  'a date',
  '2026-10-17',
  'A date without a show, YYYY-MM-DD.',
  { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}$', examples: ['2026-10-17'] },
);

export const timezone = leaf(
  (raw): Reading<string> => {
    if (typeof raw === 'string' && isTimezone(raw)) return { ok: true, value: raw };
    const near = typeof raw === 'string' ? nearZone(raw) : undefined;
    const wanted = 'a time zone by its IANA name, Area/City';
    return {
      ok: false,
      complaint: {
        what: 'is no time zone that this computer knows',
        wanted,
        example: near ?? 'America/Chicago',
      },
    };
  },
  'a time zone',
  'America/Chicago',
  'IANA name of the time zone: Area/City.',
  { type: 'string', examples: ['America/Chicago', 'Europe/Berlin'] },
);

function nearZone(name: string): string | undefined {
  const zones = Intl.supportedValuesOf('timeZone');
  const plain = name
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/gu, '_');
  return (
    zones.find((z) => z.toLowerCase().split('/').at(-1) === plain) ??
    zones[
      zones
        .map((z) => z.toLowerCase())
        .indexOf(
          nearestOf(
            plain,
            zones.map((z) => z.toLowerCase()),
          ) ?? '',
        )
    ]
  );
}

export const sensorKind = choice(
  ['end', 'plain'] as const satisfies readonly Sensor['kind'][],
  'end',
  'end: marks an end of its travel, and at most one end of a prop can be made at a time. plain: any other.',
);

export const gauge = leaf(
  (raw): Reading<Cable['gauge']> => {
    const text = typeof raw === 'string' ? raw.trim() : String(raw);
    const metric = /^(\d+(?:\.\d+)?) ?(?:mm²|mm2|mm\^2)$/u.exec(text);
    if (metric && Number(metric[1]) > 0 && Number(metric[1]) <= 1000)
      return { ok: true, value: { mm2: Number(metric[1]) } };
    const awg = /^(\d{1,2}) ?AWG$/u.exec(text);
    if (awg && Number(awg[1]) <= 40) return { ok: true, value: { awg: Number(awg[1]) } };
    const digits = /^(?:awg|ga|#)?\s*(\d+(?:\.\d+)?)/iu.exec(text)?.[1];
    const whole = digits !== undefined && /^\d{1,2}$/u.test(digits) && Number(digits) <= 40;
    const example =
      digits === undefined ? '14 AWG' : whole && !/mm/u.test(text) ? `${digits} AWG` : `${digits} mm²`;
    const what = /^\d+(\.\d+)?$/u.test(text) ? 'has no unit' : 'is no wire gauge';
    return { ok: false, complaint: { what, wanted: 'a wire gauge such as `14 AWG` or `1.5 mm²`', example } };
  },
  'a wire gauge',
  '14 AWG',
  "The conductor's size, by American wire gauge or by cross-section.",
  {
    type: 'string',
    pattern: '^(\\d{1,2} ?AWG|\\d+(\\.\\d+)? ?(mm²|mm2|mm\\^2))$',
    examples: ['14 AWG', '1.5 mm²'],
  },
);

export const service = leaf(
  (raw): Reading<number> => {
    const text = typeof raw === 'string' ? raw.trim() : String(raw);
    const count = /^(\d{1,9}) cycles?$/u.exec(text);
    if (count && Number(count[1]) > 0) return { ok: true, value: Number(count[1]) };
    const digits = /^\d{1,9}/u.exec(text.replace(/[ ,'](?=\d{3})/gu, ''))?.[0];
    const example = `${digits && Number(digits) > 0 ? digits : 2000} cycles`;
    const what = /^\d+$/u.test(text) ? 'has no unit' : 'is no number of cycles';
    return { ok: false, complaint: { what, wanted: 'a number of cycles such as `2000 cycles`', example } };
  },
  'a number of cycles',
  '2000 cycles',
  'A reminder after so many runs in which the prop moved.',
  { type: 'string', pattern: '^\\d{1,9} cycles?$', examples: ['2000 cycles'] },
);

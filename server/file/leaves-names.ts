import { z } from 'zod';
import { readPrepare } from '../calendar/cron.ts';
import { isDate, isTimezone } from '../calendar/wall.ts';
import type { Cable, Sensor } from '../yard/types.ts';
import { readClockTime } from './clock-times.ts';
import { choice, leaf } from './leaf.ts';
import { ID_PATTERN, nearestOf, readId, readNeed, readRef } from './names.ts';
import type { Reading } from './quantities.ts';

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
    const text = typeof raw === 'string' || typeof raw === 'number' ? String(raw).trim() : '';
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
    const text = typeof raw === 'string' || typeof raw === 'number' ? String(raw).trim() : '';
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

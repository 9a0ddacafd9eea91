import { z } from 'zod';
import { nearestOf } from './names.ts';
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
    if (Number.isFinite(raw) || typeof raw === 'boolean') {
      return no('is read as a value and not as text: put it in quotes', `"${raw}"`);
    }
    if (typeof raw !== 'string') return no('is no text');
    const text = raw.trim().replace(/\s+/gu, ' ');
    if (text === '') return no('is empty');
    return text.length <= 100 ? { ok: true, value: text } : no('is longer than 100 letters');
  };
  return leaf(read, wanted, example, description, { type: 'string', minLength: 1, maxLength: 100 });
}

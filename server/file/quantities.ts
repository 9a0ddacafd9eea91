/**
 * Quantities as the yard file writes them: one number and one unit, the space optional.
 *
 * Base units (the daemon's own, see yard/types.ts): time ms, length mm, current A, gauge pressure kPa,
 * volume litres, free-air flow litres a minute, share a fraction of 1.
 */

export type Dimension = 'time' | 'length' | 'current' | 'pressure' | 'volume' | 'flow' | 'share';

/** What is wrong with a value, said so that it can follow the value as it was read. */
export interface Complaint {
  /** Ends a sentence that begins with the value: 'has no unit'. */
  readonly what: string;
  /** What would be right, in words. */
  readonly wanted: string;
  /** A value that would be accepted. */
  readonly example: string;
}

export type Reading<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly complaint: Complaint };

/**
 * Base units per unit. Exact by definition: inch 25.4 mm, US gallon 3.785411784 l (231 in³), cubic foot
 * 28.316846592 l (0.3048³ m³). 1 psi = 6.894757 kPa, rounded from 6.894757293 (NIST SP 811).
 * The order is that in which the units are offered.
 */
const UNITS: Readonly<Record<Dimension, ReadonlyMap<string, number>>> = {
  time: new Map([
    ['ms', 1],
    ['s', 1000],
    ['min', 60_000],
    ['h', 3_600_000],
  ]),
  length: new Map([
    ['mm', 1],
    ['cm', 10],
    ['m', 1000],
    ['in', 25.4],
    ['ft', 304.8],
  ]),
  current: new Map([['A', 1]]),
  pressure: new Map([
    ['psi', 6.894757],
    ['bar', 100],
    ['kPa', 1],
  ]),
  volume: new Map([
    ['gal', 3.785411784],
    ['l', 1],
  ]),
  flow: new Map([
    ['cfm', 28.316846592],
    ['l/min', 1],
  ]),
  share: new Map([['%', 0.01]]),
};

const NOUNS: Readonly<Record<Dimension, string>> = {
  time: 'a time',
  length: 'a length',
  current: 'a current',
  pressure: 'a pressure',
  volume: 'a volume',
  flow: 'an air flow',
  share: 'a share',
};

/** Spellings that people write for a unit of ours; mA has its own factor. */
const SPELLINGS: ReadonlyMap<string, readonly [unit: string, times: number]> = new Map([
  ...spell('ms', 'msec', 'millis', 'millisecond', 'milliseconds'),
  ...spell('s', 'sec', 'secs', 'second', 'seconds'),
  ...spell('min', 'mins', 'minute', 'minutes'),
  ...spell('h', 'hr', 'hrs', 'hour', 'hours'),
  ...spell('m', 'metre', 'metres', 'meter', 'meters'),
  ...spell('in', '"', '″', '”', 'inch', 'inches'),
  ...spell('ft', "'", '′', '’', 'foot', 'feet'),
  ...spell('A', 'amp', 'amps', 'ampere', 'amperes'),
  ['ma', ['A', 0.001]] as const,
  ...spell('psi', 'psig', 'lbs', 'pounds'),
  ...spell('bar', 'bars', 'barg'),
  ...spell('gal', 'gals', 'gallon', 'gallons'),
  ...spell('l', 'litre', 'litres', 'liter', 'liters', 'ltr'),
  ['ml', ['l', 0.001]] as const,
  ...spell('cfm', 'scfm', 'ft3/min', 'ft³/min'),
  ...spell('l/min', 'lpm', 'lpm.', 'nl/min', 'l/minute'),
  ...spell('%', 'percent', 'pct', 'per cent'),
]);

function spell(unit: string, ...others: string[]): (readonly [string, readonly [string, number]])[] {
  return others.map((o) => [o, [unit, 1]] as const);
}

const NUMBER = String.raw`(?:\d+(?:\.\d+)?|\.\d+)`;
const ONE = new RegExp(`^([+-]?)(${NUMBER})\\s*(.*)$`, 'u');
const TWO = new RegExp(`^(${NUMBER})\\s*([a-zA-Z%]+)\\s*(?:and\\s+)?(${NUMBER})\\s*([a-zA-Z%]+)$`, 'u');

/** 'a time such as `7 s` (ms, s, min, h)' */
export function wantedOf(dimension: Dimension, example: string): string {
  return `${NOUNS[dimension]} such as \`${example}\` (${[...UNITS[dimension].keys()].join(', ')})`;
}

/** A regular expression, as text, that a quantity of this dimension matches; for editors. */
export function patternOf(dimension: Dimension): string {
  const units = [...UNITS[dimension].keys()].sort((a, b) => b.length - a.length).join('|');
  return `^\\+?(\\d+(\\.\\d+)?|\\.\\d+) ?(${units})$`;
}

/**
 * Reads a quantity into base units. `raw` is what YAML made of it; a bare number has no unit and is refused.
 * `example` is one that would be right for this key: its unit is the one proposed for a bare number.
 */
export function readQuantity(dimension: Dimension, raw: unknown, example: string): Reading<number> {
  const wanted = wantedOf(dimension, example);
  const no = (what: string, better: string = example): Reading<number> => ({
    ok: false,
    complaint: { what, wanted, example: better },
  });
  if (typeof raw !== 'string' && typeof raw !== 'number') return no(`is not ${NOUNS[dimension]}`);
  const text = String(raw)
    .replace(/[\s\u00a0\u2007\u2009\u202f]+/gu, ' ')
    .replace(/^\u2212/u, '-')
    .trim();
  const exampleUnit = example.replace(ONE, '$3');
  const one = ONE.exec(text);
  if (!one) return no(...whatInstead(text, dimension, example));
  const [, sign, digits, unit] = one as unknown as [string, string, string, string];
  const number = Number(digits);
  if (!Number.isFinite(number) || digits.length > 30) return no('is not a number that means anything here');
  if (unit === '') return no('has no unit', `${digits} ${exampleUnit}`);
  const factor = UNITS[dimension].get(unit);
  if (factor === undefined) return no(...wrongUnit(text, dimension, digits, unit, example));
  if (sign === '-' && number > 0) return no('is below zero', `${digits} ${unit}`);
  // 80 % must be 0.8 and not 0.8000000000000002, so divide where that is exact.
  return { ok: true, value: dimension === 'share' ? number / 100 : number * factor };
}

/** Says what stands where a number should begin. */
function whatInstead(text: string, dimension: Dimension, example: string): [string, string] {
  if (text === '') return ['is empty', example];
  if (/^[+-]?\.?(inf|nan|infinity)\b/iu.test(text)) return ['is not a number that can be used', example];
  return [`is not ${NOUNS[dimension]}: it begins with no number`, example];
}

function wrongUnit(
  text: string,
  dimension: Dimension,
  digits: string,
  unit: string,
  example: string,
): [string, string] {
  const units = UNITS[dimension];
  const comma = /^,(\d+)\s*(\S*)$/u.exec(unit);
  if (comma) return ['has a decimal comma', tidy(`${digits}.${comma[1]}`, comma[2]!, dimension, example)];
  const fraction = /^\/\s*(\d+)\s*(\S*)$/u.exec(unit);
  if (fraction && Number(fraction[1]) > 0) {
    const value = plain(Number(digits) / Number(fraction[1]));
    return ['is a fraction: write it with a point', tidy(value, fraction[2]!, dimension, example)];
  }
  const two = TWO.exec(text);
  if (two) {
    const [a, b] = [units.get(ours(two[2]!)), units.get(ours(two[4]!))];
    if (a === undefined || b === undefined) return ['is more than one number and one unit', example];
    const sum = plain((Number(two[1]) * a + Number(two[3]) * b) / b);
    return ['is two quantities: one number and one unit are wanted', `${sum} ${ours(two[4]!)}`];
  }
  for (const [other, known] of Object.entries(UNITS) as [Dimension, ReadonlyMap<string, number>][]) {
    // `7 m` where a time is wanted is far more often minutes than metres; say both.
    if (other !== dimension && known.has(unit)) {
      const meant = unit === 'm' && dimension === 'time' ? `${digits} min` : example;
      return [`is ${NOUNS[other]}, and ${NOUNS[dimension]} is wanted`, meant];
    }
  }
  const spelled = SPELLINGS.get(unit.toLowerCase());
  const value = spelled ? plain(Number(digits) * spelled[1]) : digits;
  const better = ours(unit);
  if (units.has(better)) return [`has its unit spelled \`${unit}\``, `${value} ${better}`];
  if (/^[\d.,\s-]/u.test(unit)) return ['is more than one number and one unit', example];
  return [`has \`${unit}\` for a unit, which is none of ${[...units.keys()].join(', ')}`, example];
}

function tidy(digits: string, unit: string, dimension: Dimension, example: string): string {
  const known = ours(unit);
  return `${digits} ${UNITS[dimension].has(known) ? known : example.replace(ONE, '$3')}`;
}

/** Our own spelling of a unit, or the unit as it was. */
function ours(unit: string): string {
  const spelled = SPELLINGS.get(unit.toLowerCase());
  if (spelled) return spelled[0];
  for (const known of Object.values(UNITS)) {
    for (const u of known.keys()) if (u.toLowerCase() === unit.toLowerCase()) return u;
  }
  return unit;
}

/** Writes base units in the given unit, as the file would. */
export function writeQuantity(dimension: Dimension, value: number, unit: string): string {
  const factor = UNITS[dimension].get(unit);
  if (factor === undefined) throw new Error(`${unit} is no unit of ${dimension}`);
  return `${plain(dimension === 'share' ? value * 100 : value / factor)} ${unit}`;
}

/** Writes a time in the unit that a person would choose: `400 ms`, `7 s`, `6 min`, `1.5 h`. */
export function writeTime(ms: number): string {
  if (ms < 1000) return writeQuantity('time', ms, 'ms');
  if (ms < 120_000) return `${plain(Math.round(ms / 100) / 10)} s`;
  if (ms < 2 * 3_600_000) return `${plain(Math.round(ms / 6000) / 10)} min`;
  return `${plain(Math.round(ms / 36_000) / 100)} h`;
}

/** A number without exponent and without binary noise: 12 significant digits. */
export function plain(value: number): string {
  const text = String(Number(value.toPrecision(12)));
  return text.includes('e') ? value.toFixed(12).replace(/\.?0+$/u, '') : text;
}

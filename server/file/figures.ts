import { plain } from './quantities.ts';

/** Figures as a person reads them: rounded, with their unit. */
export function writeAmps(amps: number): string {
  return `${plain(Math.round(amps * 100) / 100)} A`;
}

/** Both units, since the gauge on the tank may have either: `70 psi (4.8 bar)`. */
export function writePressure(kpa: number): string {
  return `${plain(Math.round(kpa / 6.894757))} psi (${(kpa / 100).toFixed(1)} bar)`;
}

export function writeLitres(litres: number): string {
  return `${plain(Math.round(litres * 10) / 10)} l`;
}

export function writeShare(share: number): string {
  return `${plain(Math.round(share * 1000) / 10)} %`;
}

/** 'a', 'a and b', 'a, b and c' */
export function joined(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? '';
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

/** Room for binary fractions: 12.000000000000002 A on a limit of 12 A is at the limit, not above it. */
const HAIR = 1e-9;

/** Whether `value` is above `limit` by more than arithmetic. */
export function above(value: number, limit: number): boolean {
  return value > limit + HAIR * Math.max(1, Math.abs(limit));
}

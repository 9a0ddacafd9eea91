/**
 * Figures as a builder reads them: a number, a space, a unit. Nothing here knows the yard or the time of day.
 */

/** Same factor as the yard file: 1 psi = 6.894757 kPa. */
const KPA_PER_PSI = 6.894757;

/** A number that must be finite to be said; a broken figure is a defect that must not reach the page as `NaN`. */
function figure(value: number, digits: number): string {
  return Number.isFinite(value) ? value.toFixed(digits) : '?';
}

function trimmed(value: number, digits: number): string {
  return figure(value, digits).replace(/\.?0+$/, '');
}

/** From a minute up: `2 min 5 s`, `1 h 20 min`; whole seconds, and none once hours are said. */
function long(ms: number): string {
  const seconds = Math.round(ms / 1000);
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return join(minutes, 'min', seconds % 60, 's');
  const whole = Math.round(seconds / 60);
  return join(Math.floor(whole / 60), 'h', whole % 60, 'min');
}

function join(big: number, bigUnit: string, small: number, smallUnit: string): string {
  return small === 0 ? `${big} ${bigUnit}` : `${big} ${bigUnit} ${small} ${smallUnit}`;
}

/** A time that was measured or is a fault's limit: `12.0 s`, `2 min 5 s`. ms. */
export function measured(ms: number): string {
  if (!Number.isFinite(ms)) return '? s';
  const tenths = Math.round(Math.max(0, ms) / 100);
  return tenths < 600 ? `${figure(tenths / 10, 1)} s` : long(ms);
}

/** A time that somebody set: `400 ms`, `3.5 s`, `12 s`, `10 min`. ms. */
export function span(ms: number): string {
  if (!Number.isFinite(ms)) return '? s';
  const clean = Math.max(0, ms);
  const whole = Math.ceil(clean);
  if (whole > 0 && whole < 1000) return `${whole} ms`;
  const tenths = Math.round(clean / 100);
  return tenths < 600 ? `${trimmed(tenths / 10, 1)} s` : long(clean);
}

/** What is left of a wait, never said shorter than it is: `1 s`, `41 s`, `2 min 5 s`. ms. */
export function left(ms: number): string {
  return Number.isFinite(ms) ? span(Math.max(1, Math.ceil(ms / 1000)) * 1000) : '? s';
}

/** `3.2 of 12 s`; from a minute up each with its own units. ms. */
export function ofLimit(ms: number, limitMs: number, of = 'of'): string {
  const short = limitMs >= 1000 && limitMs < 59_950 && ms < 59_950;
  return short
    ? `${measured(ms).slice(0, -2)} ${of} ${span(limitMs)}`
    : `${measured(ms)} ${of} ${span(limitMs)}`;
}

/** `11.35 A`: as fine as the plan's own figures, so that a limit just passed can be seen to be passed. */
export function amps(a: number): string {
  return `${trimmed(a, 2)} A`;
}

/** Gauge pressure, given in kPa, said in psi as the dial of a shop compressor shows it. */
export function psi(kpa: number): string {
  return `${trimmed(kpa / KPA_PER_PSI, 1)} psi`;
}

/** `40 %` of a fraction. */
export function share(fraction: number): string {
  return `${trimmed(fraction * 100, 1)} %`;
}

/** `1 cycle`, `2000 cycles`. */
export function count(n: number, one: string, many = `${one}s`): string {
  return `${figure(n, 0)} ${n === 1 ? one : many}`;
}

/** `near`, `near and far`, `near, middle and far`. */
export function listed(items: readonly string[], and = 'and'): string {
  if (items.length < 2) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} ${and} ${items.at(-1)}`;
}

/** A night by its date, as `day` says it; one by hand (`2026-10-31-hand`) with those words behind. */
export function nightName(night: string, day: (iso: string) => string, byHand: string): string {
  const date = day(night.replace(/-hand$/, ''));
  return night.endsWith('-hand') ? `${date} ${byHand}` : date;
}

/** A sentence's first letter up. */
export function upper(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A word from outside (a board's, a person's) within quotes: one line, at most 80 characters. */
export function quoted(text: string): string {
  const line = text.replace(/\s+/g, ' ').trim();
  return `'${line.length > 80 ? `${line.slice(0, 79)}…` : line}'`;
}

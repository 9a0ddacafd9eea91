import { FAULT_CODES } from '../../server/show/reasons.ts';
import type { StormResult } from './storm.ts';
import { WEATHER } from './weather/table.ts';

/** Invariants that a simulated storm can judge: all of them. */
export const INVARIANTS = Array.from({ length: 25 }, (_, i) => i + 1);

/** A failure as a person wants to read it: the seed, the first breach, and what led to it. */
export function tellFailure(result: StormResult): string {
  const { seed, yard, breach } = result;
  if (!breach) return `seed ${seed}: no breach`;
  return [
    '',
    `seed ${seed} (${yard} yard): invariant ${breach.invariant} is broken`,
    `  ${breach.text}`,
    '  what led to it:',
    ...breach.story.map((line) => `    ${line.slice(0, 240)}`),
    '',
  ].join('\n');
}

/** What many seeds met together. */
export class Tally {
  seeds = 0;
  failed = 0;
  simulatedMs = 0;
  /** Time of the processor on all threads since this tally began, ms: the machine may have other work. */
  readonly #from = process.cpuUsage();
  passedMs = 0;
  happened = 0;
  readonly weather = new Map<string, number>();
  readonly faults = new Map<string, number>();
  readonly asked = new Map<number, number>();
  readonly breaches: string[] = [];

  add(result: StormResult): void {
    this.seeds += 1;
    this.simulatedMs += result.simulatedMs;
    this.passedMs += result.passedMs;
    this.happened += result.happened;
    sum(this.weather, result.weather);
    sum(this.faults, result.faults);
    sum(this.asked, result.asked);
    if (!result.breach) return;
    this.failed += 1;
    const { invariant, text } = result.breach;
    this.breaches.push(`seed ${result.seed} (${result.yard}): invariant ${invariant}: ${text.slice(0, 200)}`);
  }

  get realMs(): number {
    const { user, system } = process.cpuUsage(this.#from);
    return (user + system) / 1000;
  }

  /** Kinds of weather, fault codes and invariants that no seed has met. */
  get unmet(): string[] {
    return [
      ...WEATHER.filter((w) => !this.weather.has(w.name)).map((w) => `weather: ${w.name}`),
      // drift is judged over many nights; a storm is one
      ...FAULT_CODES.filter((code) => code !== 'drift' && !this.faults.has(code)).map(
        (code) => `fault: ${code}`,
      ),
      ...INVARIANTS.filter((i) => !this.asked.has(i)).map((i) => `invariant ${i} never asked`),
    ];
  }

  table(): string {
    const list = (map: ReadonlyMap<string | number, number>): string =>
      [...map].map(([name, n]) => `  ${String(n).padStart(9)}  ${name}`).join('\n');
    const hours = this.simulatedMs / 3_600_000;
    return [
      `weather`,
      list(this.weather),
      `fault codes raised`,
      list(this.faults),
      `invariants asked`,
      list(new Map([...this.asked].sort(([a], [b]) => a - b))),
      this.unmet.length > 0 ? `never met: ${this.unmet.join(', ')}` : 'everything was met',
      '',
      `${this.seeds} seeds, ${hours.toFixed(1)} h simulated in ${(this.realMs / 1000).toFixed(1)} s of one core: ${Math.round(this.simulatedMs / this.realMs)} times real time, ${Math.round((100 * this.passedMs) / Math.max(1, this.simulatedMs))} % of it in strides; ${this.happened} things happened`,
      ...this.breaches,
      `${this.failed} failed`,
    ].join('\n');
  }
}

function sum<K>(into: Map<K, number>, from: ReadonlyMap<K, number>): void {
  for (const [key, n] of from) into.set(key, (into.get(key) ?? 0) + n);
}

import type { NightReport } from './night-report.ts';

/** Tonight's changes as it goes; a past night's hardly ever: a late release is in it a minute on. */
const TONIGHT_MS = 5_000;
const PAST_MS = 60_000;
const MOST = 128;

/**
 * Reports made a moment ago, to be given again. Making one reads thousands of lines in the loop that also takes the
 * stop, and anyone may ask for one as often as they like.
 */
export class KeptReports {
  readonly #kept = new Map<string, { readonly until: number; readonly report: NightReport | null }>();

  /** The report of a night as it was made last, or made anew; `now` in ms on any clock that only goes forward. */
  of(night: string, isTonight: boolean, now: number, make: () => NightReport | null): NightReport | null {
    const known = this.#kept.get(night);
    if (known && now < known.until) return known.report;
    const report = make();
    this.#kept.delete(night);
    this.#kept.set(night, { until: now + (isTonight ? TONIGHT_MS : PAST_MS), report });
    if (this.#kept.size > MOST) this.#kept.delete(this.#kept.keys().next().value!);
    return report;
  }
}

/** After so long without a word from the yard computer the picture is old, and the page must look it. */
export const LOST_AFTER_MS = 2500;

const WINDOW_MS = 5 * 60_000;

/**
 * How old the picture is, by the page's own monotonic clock alone; the phone's wall clock is never asked.
 *
 * What was heard may itself have been long on the way (a stalled radio delivers in a burst). So the smallest
 * difference between our clock and the `at` of a word is remembered over the last minutes, and a word that
 * arrives with a larger difference is older by as much. Two windows, so that slow drift between the two clocks
 * is not taken for age.
 */
export class Link {
  #at: number | null = null;
  #heard = 0;
  #floors: { since: number; least: number }[] = [];

  /** A new connection: the desk may have started anew, so what was learnt of its clock no longer holds. */
  restart(): void {
    this.#floors = [];
    this.#at = null;
  }

  /** A beat, a change or a picture stamped `at` by the desk was heard at `mono` ms. */
  hear(at: number, mono: number): void {
    this.note(at, mono);
    if (this.#at !== null && at < this.#at) return;
    this.#at = at;
    this.#heard = mono;
  }

  /** Word that tells how long the way is and nothing of the picture: what was heard before it may turn out to be older. */
  note(at: number, mono: number): void {
    const difference = mono - at;
    const newest = this.#floors[0];
    if (!newest || mono - newest.since >= WINDOW_MS) {
      this.#floors = [{ since: mono, least: difference }, ...this.#floors.slice(0, 1)];
    } else if (difference < newest.least) newest.least = difference;
  }

  /** Age of the last word, ms; infinite before the first. */
  ageMs(mono: number): number {
    if (this.#at === null) return Number.POSITIVE_INFINITY;
    const least = Math.min(...this.#floors.map((floor) => floor.least));
    return Math.max(0, mono - this.#at - least);
  }

  /** The desk's time of the last word; 0 before the first. */
  lastAt(): number {
    return this.#at ?? 0;
  }

  /** The desk's time as the page reckons it: the last `at` plus what our monotonic clock has counted since. */
  deskNow(mono: number): number {
    return this.#at === null ? 0 : this.#at + (mono - this.#heard);
  }
}

import type { Use } from './problem.ts';

/** Counts what the search does, in steps of about equal cost: work is bounded by it, so that no clock is needed. */
export interface Meter {
  work: number;
}

/**
 * What is taken of one rule over the night, as a step function: `use[k]` from `at[k]` up to `at[k + 1]`.
 * Indexed by its events, so that it costs what happens in it and not how long it is. Amounts are whole, so sums
 * are exact. Edges that no longer part different heights are kept for a while, since what is taken away for a trial
 * mostly comes back to the same place.
 */
export class Profile {
  room: number;
  private readonly meter: Meter;
  private at = new Float64Array(16);
  private use = new Float64Array(16);
  private size = 1;
  /** Where the last look-up ended; the next is usually near. */
  private near = 0;
  /** Edges left behind by what was taken away, at most. */
  private idle = 0;

  constructor(room: number, meter: Meter) {
    this.room = room;
    this.meter = meter;
    this.at[0] = -Infinity;
  }

  /** Earliest time from `t` on at which the footprint fits; some time past `until` if it does not by then. */
  earliest(t: number, print: Use, until = Infinity): number {
    const { from, to, amount } = print;
    const { at, use } = this;
    const n = this.size;
    let start = t;
    let fitting = 0;
    for (let p = 0; fitting < from.length; p = p + 1 < from.length ? p + 1 : 0) {
      const most = this.room - amount[p]!;
      if (most < 0) return Infinity;
      const began = start;
      const first = this.indexAt(start + from[p]!);
      let k = first;
      while (k < n && at[k]! < start + to[p]! && start <= until) {
        if (use[k]! > most) start = at[k + 1]! - from[p]!;
        k += 1;
      }
      this.meter.work += 1 + (k - first) / 8;
      if (start > until) break;
      fitting = start === began ? fitting + 1 : 1;
    }
    return start;
  }

  /** Latest time up to `t` at which the footprint fits; some time before `since` if it does not since then. */
  latest(t: number, print: Use, since = -Infinity): number {
    const { from, to, amount } = print;
    const { at, use } = this;
    let start = t;
    let fitting = 0;
    for (let p = 0; fitting < from.length; p = p + 1 < from.length ? p + 1 : 0) {
      const most = this.room - amount[p]!;
      if (most < 0) return -Infinity;
      const began = start;
      const last = this.indexBefore(start + to[p]!);
      let k = last;
      for (;;) {
        const end = k + 1 < this.size ? at[k + 1]! : Infinity;
        if (k < 0 || end <= start + from[p]! || start < since) break;
        if (use[k]! > most) start = at[k]! - to[p]!;
        k -= 1;
      }
      this.meter.work += 1 + (last - k) / 8;
      if (start < since) break;
      fitting = start === began ? fitting + 1 : 1;
    }
    return start;
  }

  fits(t: number, print: Use): boolean {
    const { from, to, amount } = print;
    const { at, use } = this;
    for (let p = 0; p < from.length; p++) {
      const most = this.room - amount[p]!;
      const end = t + to[p]!;
      for (let k = this.indexAt(t + from[p]!); k < this.size && at[k]! < end; k++)
        if (use[k]! > most) return false;
    }
    return true;
  }

  add(t: number, print: Use): void {
    for (let p = 0; p < print.from.length; p++)
      this.lift(t + print.from[p]!, t + print.to[p]!, print.amount[p]!);
  }

  remove(t: number, print: Use): void {
    for (let p = 0; p < print.from.length; p++)
      this.lift(t + print.from[p]!, t + print.to[p]!, -print.amount[p]!);
    this.idle += 2 * print.from.length;
    if (this.idle > 32 && this.idle > this.size / 2) this.join();
  }

  /** The most taken at any moment. */
  peak(): number {
    let most = 0;
    for (let k = 0; k < this.size; k++) most = Math.max(most, this.use[k]!);
    return most;
  }

  /** The steps in order: since when, how much. The first is before all time. */
  steps(): { at: number; use: number }[] {
    return Array.from({ length: this.size }, (_, k) => ({ at: this.at[k]!, use: this.use[k]! }));
  }

  private lift(from: number, to: number, amount: number): void {
    const first = this.edge(from);
    const last = this.edge(to);
    const { use } = this;
    for (let k = first; k < last; k++) use[k]! += amount;
    this.meter.work += 1 + (last - first) / 8;
  }

  /** The step that starts exactly at `t`, made if there is none. */
  private edge(t: number): number {
    const k = this.indexAt(t);
    if (this.at[k] === t) return k;
    if (this.size === this.at.length) this.grow();
    this.at.copyWithin(k + 2, k + 1, this.size);
    this.use.copyWithin(k + 2, k + 1, this.size);
    this.at[k + 1] = t;
    this.use[k + 1] = this.use[k]!;
    this.size += 1;
    return k + 1;
  }

  /** Makes one step of neighbours of equal height. */
  private join(): void {
    const { at, use } = this;
    let last = 0;
    for (let k = 1; k < this.size; k++) {
      if (use[k] === use[last]) continue;
      last += 1;
      at[last] = at[k]!;
      use[last] = use[k]!;
    }
    this.size = last + 1;
    this.idle = 0;
    this.near = 0;
  }

  private grow(): void {
    const at = new Float64Array(this.size * 2);
    const use = new Float64Array(this.size * 2);
    at.set(this.at);
    use.set(this.use);
    this.at = at;
    this.use = use;
  }

  /** The step that holds `t`: the last that starts at or before it. */
  private indexAt(t: number): number {
    const { at } = this;
    let low = this.near < this.size ? this.near : this.size - 1;
    let high: number;
    if (at[low]! <= t) {
      let reach = 1;
      while (low + reach < this.size && at[low + reach]! <= t) {
        low += reach;
        reach *= 2;
      }
      high = Math.min(this.size, low + reach);
    } else {
      let reach = 1;
      high = low;
      while (high - reach > 0 && at[high - reach]! > t) {
        high -= reach;
        reach *= 2;
      }
      low = Math.max(0, high - reach);
    }
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (at[middle]! <= t) low = middle;
      else high = middle;
    }
    this.near = low;
    return low;
  }

  /** The last step that starts before `t`. */
  private indexBefore(t: number): number {
    const k = this.indexAt(t);
    return this.at[k]! < t ? k : k - 1;
  }
}

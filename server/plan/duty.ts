import type { Meter } from './profile.ts';

/**
 * One prop's moving over the night against its duty: in every window of length `over`, at most `on` of it moving.
 *
 * The moving time in a sliding window is greatest where the window starts with a move or ends with one, so only
 * those windows are looked at.
 */
export class DutyBook {
  onMs: number;
  private readonly overMs: number;
  private readonly meter: Meter;
  /** The moves, by start; they never overlap, since one scene holds a prop at a time. */
  private from: number[] = [];
  private to: number[] = [];

  constructor(onMs: number, overMs: number, meter: Meter) {
    this.onMs = onMs;
    this.overMs = overMs;
    this.meter = meter;
  }

  /**
   * How far the moves, begun at `t`, must at least be shifted for the duty to be met; 0 where it is met as they are,
   * Infinity where no shift helps. Later with `way` 1, sooner with -1.
   */
  shift(t: number, from: readonly number[], to: readonly number[], way: 1 | -1): number {
    const { overMs, onMs } = this;
    const spans = this.around(t, from, to);
    this.meter.work += 1 + spans.length;
    let most = 0;
    for (let i = 0; i < spans.length; i++) {
      const anchor = spans[i]!;
      // The windows that begin with this move and that end with it.
      for (const start of [anchor.from, anchor.to - overMs]) {
        const end = start + overMs;
        let moving = 0;
        let first: Span | null = null;
        let last: Span | null = null;
        for (const s of spans) {
          if (s.to <= start) continue;
          if (s.from >= end) break;
          moving += Math.min(s.to, end) - Math.max(s.from, start);
          first ??= s;
          last = s;
        }
        if (moving <= onMs || !first || !last) continue;
        // A shift by d changes no window by more than d, and none at all until a move reaches its edge.
        let clear = 0;
        if (first.own && last.own) return Infinity;
        if (way > 0 && start !== anchor.from && anchor.own) clear = Math.max(0, first.from - start);
        if (way > 0 && start === anchor.from && !anchor.own && last.own) clear = Math.max(0, end - last.to);
        if (way < 0 && start === anchor.from && anchor.own) clear = Math.max(0, end - last.to);
        if (way < 0 && start !== anchor.from && !anchor.own && first.own)
          clear = Math.max(0, first.from - start);
        most = Math.max(most, clear + moving - onMs);
      }
    }
    return Math.ceil(most);
  }

  /** The moves that can share a window with those begun at `t`, these among them, in order. */
  private around(t: number, from: readonly number[], to: readonly number[]): Span[] {
    const until = t + to[to.length - 1]! + this.overMs;
    const spans: Span[] = [];
    let k = firstAfter(this.to, t + from[0]! - this.overMs);
    let own = 0;
    while (k < this.from.length || own < from.length) {
      const mine = own < from.length ? t + from[own]! : Infinity;
      const other = k < this.from.length ? this.from[k]! : Infinity;
      if (Math.min(mine, other) >= until) break;
      if (mine <= other) {
        spans.push({ from: mine, to: t + to[own]!, own: true });
        own += 1;
      } else {
        spans.push({ from: other, to: this.to[k]!, own: false });
        k += 1;
      }
    }
    return spans;
  }

  add(t: number, from: readonly number[], to: readonly number[]): void {
    const k = firstAfter(this.from, t + from[0]!);
    this.from.splice(k, 0, ...from.map((x) => t + x));
    this.to.splice(k, 0, ...to.map((x) => t + x));
  }

  remove(t: number, from: readonly number[]): void {
    const k = firstAfter(this.from, t + from[0]! - 1);
    this.from.splice(k, from.length);
    this.to.splice(k, from.length);
  }
}

interface Span {
  readonly from: number;
  readonly to: number;
  readonly own: boolean;
}

/** First index whose value is above `x`; the list ascends. */
export function firstAfter(list: readonly number[], x: number): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (list[middle]! <= x) low = middle + 1;
    else high = middle;
  }
  return low;
}

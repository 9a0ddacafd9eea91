/**
 * One prop's moving over the night against its duty: in every window of length `over`, at most `on` of it moving.
 *
 * The moving time in a sliding window is greatest where the window starts with a move or ends with one, so only
 * those windows are looked at.
 */
export class DutyBook {
  private readonly onMs: number;
  private readonly overMs: number;
  /** The moves, by start; they never overlap, since one scene holds a prop at a time. */
  private from: number[] = [];
  private to: number[] = [];

  constructor(onMs: number, overMs: number) {
    this.onMs = onMs;
    this.overMs = overMs;
  }

  /**
   * How far the moves, begun at `t`, overdraw the duty in the worst window; 0 or less where they fit.
   * Moving them by less than that can't mend it: a shift by d changes no window by more than d.
   */
  excess(t: number, from: readonly number[], to: readonly number[]): number {
    const first = t + from[0]! - this.overMs;
    const last = t + to[to.length - 1]! + this.overMs;
    const f: number[] = [];
    const e: number[] = [];
    let k = firstAfter(this.to, first);
    let own = 0;
    while (k < this.from.length || own < from.length) {
      const mine = own < from.length ? t + from[own]! : Infinity;
      const other = k < this.from.length ? this.from[k]! : Infinity;
      if (Math.min(mine, other) >= last) break;
      if (mine <= other) {
        f.push(mine);
        e.push(t + to[own]!);
        own += 1;
      } else {
        f.push(other);
        e.push(this.to[k]!);
        k += 1;
      }
    }
    return worstWindow(f, e, this.overMs) - this.onMs;
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

/** Most moving time in any window of length `over`. */
function worstWindow(from: readonly number[], to: readonly number[], overMs: number): number {
  let worst = 0;
  for (let i = 0; i < from.length; i++) {
    let ahead = 0;
    for (let k = i; k < from.length && from[k]! < from[i]! + overMs; k++)
      ahead += Math.min(to[k]!, from[i]! + overMs) - from[k]!;
    let behind = 0;
    for (let k = i; k >= 0 && to[k]! > to[i]! - overMs; k--)
      behind += to[k]! - Math.max(from[k]!, to[i]! - overMs);
    worst = Math.max(worst, ahead, behind);
  }
  return worst;
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

import type { Ask, Travel } from './problem.ts';

interface Leg {
  readonly from: number;
  readonly to: number;
  readonly makes: string | null;
}

/**
 * One watched prop over the night: its moves, and what the moves of other scenes ask of it. A sensor is made from
 * the end of the move that makes it to the start of the prop's next move; before the first move its home is made.
 * Placing a run can break what was asked before it, and so can taking one away.
 */
export class Whereabouts {
  private readonly home: string | null;
  private legs: Leg[] = [];
  private asks: Ask[] = [];
  /** The longest span that anything was asked for: how far back an ask may start and still matter. */
  private longestMs = 0;

  constructor(home: string | null) {
    this.home = home;
  }

  /** `t` where the run's asks hold and its moves break no other's; else when to try again, Infinity if never. */
  tryAt(t: number, asks: readonly Ask[], travel: Travel | null): number {
    for (const ask of asks) {
      const at = moved(ask, t);
      if (!this.holds(at)) return Math.max(t + 1, this.nextHold(at) - ask.from);
    }
    if (!travel || this.asks.length === 0) return t;
    this.putLegs(t, travel);
    const broken = this.brokenNear(t, travel);
    this.cutLegs(t, travel);
    return broken ? Math.max(t + 1, broken.to - travel.from[0]!) : t;
  }

  add(t: number, asks: readonly Ask[], travel: Travel | null): void {
    for (const ask of asks) {
      const at = moved(ask, t);
      this.longestMs = Math.max(this.longestMs, ask.to - ask.from);
      this.asks.splice(indexAfter(this.asks, at.from), 0, at);
    }
    if (travel) this.putLegs(t, travel);
  }

  /** Takes a run's part away; false where another run's need then breaks, and nothing is changed. */
  remove(t: number, asks: readonly Ask[], travel: Travel | null): boolean {
    if (travel) {
      this.cutLegs(t, travel);
      if (this.brokenNear(t, travel, asks)) {
        this.putLegs(t, travel);
        return false;
      }
    }
    for (const ask of asks) {
      const k = this.asks.findIndex(
        (a) =>
          a.from === t + ask.from && a.to === t + ask.to && a.kind === ask.kind && a.sensor === ask.sensor,
      );
      if (k >= 0) this.asks.splice(k, 1);
    }
    return true;
  }

  /** An ask made unmeetable by the legs as they are now, among those that the travel at `t` can touch. */
  private brokenNear(t: number, travel: Travel, except: readonly Ask[] = []): Ask | undefined {
    const first = t + travel.from[0]!;
    const last = t + travel.to[travel.to.length - 1]!;
    const next = this.legs[indexAfter(this.legs, last - 1)]?.from ?? Infinity;
    for (let k = indexAfter(this.asks, first - this.longestMs - 1); k < this.asks.length; k++) {
      const ask = this.asks[k]!;
      if (ask.from > next) break;
      const own = except.some(
        (a) => t + a.from === ask.from && a.kind === ask.kind && a.sensor === ask.sensor,
      );
      if (!own && ask.to > first && !this.holds(ask)) return ask;
    }
    return undefined;
  }

  private holds(ask: Ask): boolean {
    let k = this.firstEnding(ask.from);
    const made = k > 0 ? this.legs[k - 1]!.makes : this.home;
    if (ask.kind !== 'not-made') {
      if (k < this.legs.length && this.legs[k]!.from < ask.to) return false;
      return ask.kind === 'at-rest' || (made !== null && made === ask.sensor);
    }
    // A move that begins with the asking one leaves its end only then: the sensor is still made.
    const underWay = k < this.legs.length && this.legs[k]!.from < ask.from;
    if (made === ask.sensor && !underWay) return false;
    for (; k < this.legs.length && this.legs[k]!.to < ask.to; k++)
      if (this.legs[k]!.makes === ask.sensor) return false;
    return true;
  }

  /** A moment after which the ask may hold: the end of the move in its way, or of the next one that makes its sensor. */
  private nextHold(ask: Ask): number {
    let k = this.firstEnding(ask.from);
    if (ask.kind === 'not-made') {
      const leaving = this.legs[indexAfter(this.legs, ask.from - 1)];
      return leaving ? leaving.from + 1 : Infinity;
    }
    if (ask.kind === 'at-rest') return k < this.legs.length ? this.legs[k]!.to : Infinity;
    while (k < this.legs.length && this.legs[k]!.makes !== ask.sensor) k += 1;
    return k < this.legs.length ? this.legs[k]!.to : Infinity;
  }

  /** The first leg that ends after `t`. Legs of one prop never overlap, so their ends ascend too. */
  private firstEnding(t: number): number {
    let k = indexAfter(this.legs, t);
    while (k > 0 && this.legs[k - 1]!.to > t) k -= 1;
    return k;
  }

  private putLegs(t: number, travel: Travel): void {
    const legs = travel.from.map((from, i) => ({
      from: t + from,
      to: t + travel.to[i]!,
      makes: travel.makes[i]!,
    }));
    this.legs.splice(indexAfter(this.legs, legs[0]!.from), 0, ...legs);
  }

  private cutLegs(t: number, travel: Travel): void {
    const k = indexAfter(this.legs, t + travel.from[0]! - 1);
    this.legs.splice(k, travel.from.length);
  }
}

function moved(ask: Ask, t: number): Ask {
  return { ...ask, from: t + ask.from, to: t + ask.to };
}

function indexAfter(list: readonly { readonly from: number }[], x: number): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (list[middle]!.from <= x) low = middle + 1;
    else high = middle;
  }
  return low;
}

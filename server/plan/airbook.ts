import { freeLitres, HAIR_LITRES } from '../yard/air.ts';
import type { Tank } from '../yard/types.ts';
import { firstAfter } from './duty.ts';
import type { Meter } from './profile.ts';

/**
 * One tank over the night: every draw in order and the level after it. A change is simulated from where it falls
 * until the levels are what they were. More air drawn early can mean more air later, since it starts the compressor
 * sooner; so taking a draw away is checked too.
 *
 * The steps are those of `advance` and `draw` in yard/air.ts, written out on plain numbers because the search asks
 * for them by the million; a test holds the two together.
 */
export class AirBook {
  private readonly meter: Meter;
  private readonly full: number;
  /** What counts as full. */
  private readonly almost: number;
  private readonly cutIn: number;
  /** Below this nothing works, and what it refuses: that, or nothing while it is not bound. */
  private readonly least: number;
  private floor: number;
  private readonly perMs: number;
  private readonly at: number[] = [];
  private readonly litres: number[] = [];
  /** Level after each draw, and whether the compressor then runs. */
  private readonly level: number[] = [];
  private readonly pumping: boolean[] = [];
  private readonly from: { readonly atMs: number; readonly litres: number; readonly pumping: boolean };

  /**
   * @param from the level at the beginning; without it the tank is full at open.
   */
  constructor(tank: Tank, meter: Meter, from?: { atMs: number; litres: number; pumping: boolean }) {
    this.meter = meter;
    this.full = freeLitres(tank, tank.cutOutKpa);
    this.almost = this.full - HAIR_LITRES;
    this.cutIn = freeLitres(tank, tank.cutInKpa) + HAIR_LITRES;
    this.least = freeLitres(tank, tank.workingKpa) - HAIR_LITRES;
    this.floor = this.least;
    this.perMs = tank.deliveryLpm / 60_000;
    this.from = from ?? { atMs: 0, litres: this.full, pumping: false };
  }

  /** Unbound it is simulated and refuses nothing. */
  bind(bound: boolean): void {
    this.floor = bound ? this.least : -Infinity;
  }

  /**
   * Gives back `t` where the draws fit when begun then. Where they don't: when to try again, by what is known at the
   * first draw that fails; Infinity where waiting alone can't help.
   */
  tryAt(t: number, at: readonly number[], litres: readonly number[]): number {
    const n = this.at.length;
    let k = firstAfter(this.at, t + at[0]!);
    let now = k > 0 ? this.at[k - 1]! : this.from.atMs;
    let level = k > 0 ? this.level[k - 1]! : this.from.litres;
    let pumping = k > 0 ? this.pumping[k - 1]! : this.from.pumping;
    let own = 0;
    while (own < at.length || k < n) {
      this.meter.work += 1 / 16;
      const mine = own < at.length ? t + at[own]! : Infinity;
      const other = k < n ? this.at[k]! : Infinity;
      const next = Math.min(mine, other);
      if (pumping) {
        level += (next - now) * this.perMs;
        if (level >= this.almost) {
          level = this.full;
          pumping = false;
        }
      }
      now = next;
      const wants = mine < other ? litres[own]! : this.litres[k]!;
      const short = this.floor + wants - level;
      if (short > 0) {
        const waitMs = Math.max(1, Math.ceil(short / this.perMs));
        if (pumping || mine >= other) return t + waitMs;
        // The compressor stands still: only another draw can start it.
        return other === Infinity ? Infinity : Math.max(t + 1, t + Math.ceil(other - now));
      }
      level -= wants;
      if (level <= this.cutIn) pumping = true;
      if (mine < other) own += 1;
      else {
        if (own === at.length && level === this.level[k] && pumping === this.pumping[k]) return t;
        k += 1;
      }
    }
    return t;
  }

  add(t: number, at: readonly number[], litres: readonly number[]): void {
    const first = firstAfter(this.at, t + at[0]!);
    for (let i = 0; i < at.length; i++) {
      const k = firstAfter(this.at, t + at[i]!);
      this.at.splice(k, 0, t + at[i]!);
      this.litres.splice(k, 0, litres[i]!);
      this.level.splice(k, 0, Number.NaN);
      this.pumping.splice(k, 0, false);
    }
    this.simulate(first, t + at[at.length - 1]!);
  }

  /** Takes the draws away; false where a later draw then finds too little, and nothing is changed. */
  remove(t: number, at: readonly number[], litres: readonly number[]): boolean {
    const first = firstAfter(this.at, t + at[0]! - 1);
    for (let i = 0; i < at.length; i++) this.cut(t + at[i]!, litres[i]!);
    if (this.simulate(first, t + at[at.length - 1]!)) return true;
    this.add(t, at, litres);
    return false;
  }

  private cut(at: number, litres: number): void {
    let k = firstAfter(this.at, at - 1);
    while (this.at[k] === at && this.litres[k] !== litres) k += 1;
    this.at.splice(k, 1);
    this.litres.splice(k, 1);
    this.level.splice(k, 1);
    this.pumping.splice(k, 1);
  }

  /** Works the levels out anew from draw `first` on, until past `until` they are what they were. */
  private simulate(first: number, until: number): boolean {
    let now = first > 0 ? this.at[first - 1]! : this.from.atMs;
    let level = first > 0 ? this.level[first - 1]! : this.from.litres;
    let pumping = first > 0 ? this.pumping[first - 1]! : this.from.pumping;
    let enough = true;
    for (let k = first; k < this.at.length; k++) {
      this.meter.work += 1 / 16;
      const next = this.at[k]!;
      if (pumping) {
        level += (next - now) * this.perMs;
        if (level >= this.almost) {
          level = this.full;
          pumping = false;
        }
      }
      now = next;
      level -= this.litres[k]!;
      if (level <= this.cutIn) pumping = true;
      if (level < this.floor) enough = false;
      if (next > until && level === this.level[k] && pumping === this.pumping[k]) break;
      this.level[k] = level;
      this.pumping[k] = pumping;
    }
    return enough;
  }
}

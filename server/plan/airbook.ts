import { advance, draw, freeLitres, fullTank, type TankLevel } from '../yard/air.ts';
import type { Tank } from '../yard/types.ts';
import { firstAfter } from './duty.ts';

/** Slack in litres, so that rounding in the last bit refuses nothing that fits. */
const HAIR = 1e-9;

/**
 * One tank over the night: every draw in order and the level after it. A change is simulated from where it falls
 * until the levels are what they were. More air drawn early can mean more air later, since it starts the compressor
 * sooner; so taking a draw away is checked too.
 */
export class AirBook {
  private readonly tank: Tank;
  private readonly floor: number;
  private readonly start: TankLevel;
  private at: number[] = [];
  private litres: number[] = [];
  private after: TankLevel[] = [];

  /** @param bound false: simulated, but nothing is refused. */
  constructor(tank: Tank, bound = true, start: TankLevel = fullTank(tank, 0)) {
    this.tank = tank;
    this.floor = bound ? freeLitres(tank, tank.workingKpa) - HAIR : -Infinity;
    this.start = start;
  }

  /**
   * Whether the draws fit when begun at `t`. Where they don't: when the same may be tried again, by what is known
   * at the first draw that fails; Infinity where waiting alone can't help.
   */
  tryAt(t: number, at: readonly number[], litres: readonly number[]): { fits: boolean; next: number } {
    let k = firstAfter(this.at, t + at[0]!);
    let level = k > 0 ? this.after[k - 1]! : this.start;
    let own = 0;
    for (;;) {
      const mine = own < at.length ? t + at[own]! : Infinity;
      const other = k < this.at.length ? this.at[k]! : Infinity;
      if (mine === Infinity && other === Infinity) return FITS;
      const isMine = mine < other;
      level = advance(this.tank, level, Math.min(mine, other));
      const wants = isMine ? litres[own]! : this.litres[k]!;
      const short = this.floor + wants - level.litres;
      if (short > 0) return { fits: false, next: this.retry(t, level, short, isMine, other) };
      level = draw(this.tank, level, wants);
      if (isMine) own += 1;
      else {
        if (own === at.length && same(level, this.after[k]!)) return FITS;
        k += 1;
      }
    }
  }

  /** When to try again: once the compressor has made up what was short, or past the draw that stands in the way. */
  private retry(t: number, level: TankLevel, short: number, isMine: boolean, other: number): number {
    const waitMs = Math.max(1, Math.ceil((short * 60_000) / this.tank.deliveryLpm));
    if (level.pumping || !isMine) return t + waitMs;
    return other === Infinity ? Infinity : Math.max(t + 1, t + Math.ceil(other - level.atMs));
  }

  add(t: number, at: readonly number[], litres: readonly number[]): void {
    const first = firstAfter(this.at, t + at[0]!);
    for (let i = 0; i < at.length; i++) {
      const k = firstAfter(this.at, t + at[i]!);
      this.at.splice(k, 0, t + at[i]!);
      this.litres.splice(k, 0, litres[i]!);
      this.after.splice(k, 0, this.start);
    }
    this.simulate(first, t + at[at.length - 1]!);
  }

  /** Takes the draws away; false where a later draw then finds too little, and nothing is changed. */
  remove(t: number, at: readonly number[], litres: readonly number[]): boolean {
    const first = firstAfter(this.at, t + at[0]! - 1);
    for (let i = 0; i < at.length; i++) this.cut(t + at[i]!, litres[i]!);
    if (this.simulate(Math.min(first, this.at.length), t + at[at.length - 1]!)) return true;
    this.add(t, at, litres);
    return false;
  }

  lowestLitres(): number {
    return this.after.reduce((least, level) => Math.min(least, level.litres), this.start.litres);
  }

  private cut(at: number, litres: number): void {
    let k = firstAfter(this.at, at - 1);
    while (this.at[k] === at && this.litres[k] !== litres) k += 1;
    this.at.splice(k, 1);
    this.litres.splice(k, 1);
    this.after.splice(k, 1);
  }

  /** Works the levels out anew from draw `first` on, until past `until` they are what they were. */
  private simulate(first: number, until: number): boolean {
    let level = first > 0 ? this.after[first - 1]! : this.start;
    let enough = true;
    for (let k = first; k < this.at.length; k++) {
      level = draw(this.tank, advance(this.tank, level, this.at[k]!), this.litres[k]!);
      if (level.litres < this.floor) enough = false;
      if (this.at[k]! > until && same(level, this.after[k]!)) break;
      this.after[k] = level;
    }
    return enough;
  }
}

const FITS = { fits: true, next: 0 };

function same(a: TankLevel, b: TankLevel): boolean {
  return a.litres === b.litres && a.pumping === b.pumping;
}

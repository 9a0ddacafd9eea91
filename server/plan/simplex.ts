import { GOLDEN } from './score.ts';

/** Smallest number that counts as different from nothing, rows being scaled to a right side of 1, or a largest factor of 1 where it is 0. */
const HAIR = 1e-9;

/** The hair of room that parts ties; the most that any row is given is twice as much. */
const LOOSE = 1e-7;

export interface Packing {
  /** What a unit of each variable is worth; not below 0. */
  readonly worth: readonly number[];
  /** Greatest value of each variable; the least is 0. */
  readonly most: readonly number[];
  /** Rows: what a unit of some variables takes (or gives, below 0), and how much there is; not below 0. */
  readonly rows: readonly { readonly takes: readonly (readonly [number, number])[]; readonly room: number }[];
}

/**
 * Greatest worth of a packing: maximise c·x with A·x ≤ b and 0 ≤ x ≤ most, b not below 0, so that x = 0 is a start.
 * The simplex method with bounded variables on a dense tableau (Dantzig 1955): a variable at its bound costs no row.
 * The largest price enters. After many steps without gain the rows that leave no room are given a hair of it, each its
 * own, so that ties part (Charnes 1952), and the values are then right to some 1e-5 only. Where even that does not end
 * it, it ends where it is, which is a packing too, but not the greatest.
 */
export function packed(packing: Packing): { x: number[]; prices: number[]; steps: number } {
  const tableau = new Tableau(packing);
  const size = packing.worth.length + packing.rows.length;
  let idle = 0;
  let steps = 0;
  for (; steps < 20 * size + 100; steps++) {
    const gain = tableau.improve();
    if (gain === null) break;
    idle = gain > 0 ? 0 : idle + 1;
    if (idle <= size) continue;
    tableau.loosen();
    idle = 0;
  }
  return { x: tableau.values(), prices: tableau.rowPrices(), steps };
}

class Tableau {
  private readonly n: number;
  /** One row for each limit: coefficients of all variables and slacks out of the basis. */
  private readonly rows: Float64Array[];
  private readonly prices: Float64Array;
  /** Value of each row's basic variable, and which it is; slacks are numbered from n on. */
  private readonly value: Float64Array;
  private readonly basic: Int32Array;
  /** Column → the variable that stands in it while out of the basis. */
  private readonly column: Int32Array;
  private readonly most: Float64Array;
  private readonly atMost: Uint8Array;
  /** What each row was divided by. */
  private readonly scales: number[];

  constructor({ worth, most, rows }: Packing) {
    this.n = worth.length;
    this.most = new Float64Array(this.n + rows.length).fill(Infinity);
    this.most.set(most);
    this.atMost = new Uint8Array(this.n + rows.length);
    this.prices = Float64Array.from(worth);
    this.column = Int32Array.from(worth, (_, j) => j);
    this.basic = Int32Array.from(rows, (_, i) => this.n + i);
    this.value = Float64Array.from(rows, ({ room }) => (room > 0 ? 1 : 0));
    this.scales = rows.map(({ takes, room }) =>
      room > 0 ? room : takes.reduce((most, [, a]) => Math.max(most, Math.abs(a)), 0),
    );
    this.rows = rows.map(({ takes }, i) => {
      const row = new Float64Array(this.n);
      for (const [j, amount] of takes) row[j]! += amount / this.scales[i]!;
      return row;
    });
  }

  /** What a unit more of each row's room would be worth. */
  rowPrices(): number[] {
    const prices = this.scales.map(() => 0);
    this.column.forEach((v, j) => {
      if (v >= this.n) prices[v - this.n] = Math.max(0, -this.prices[j]!) / this.scales[v - this.n]!;
    });
    return prices;
  }

  values(): number[] {
    const x = Array.from({ length: this.n }, (_, j) => (this.atMost[j] ? this.most[j]! : 0));
    this.basic.forEach((v, i) => {
      if (v < this.n) x[v] = Math.min(this.most[v]!, Math.max(0, this.value[i]!));
    });
    return x;
  }

  /** One step: what it gains, often nothing; null where no variable gains any more. */
  improve(): number | null {
    const j = this.entering();
    if (j < 0) return null;
    const price = Math.abs(this.prices[j]!);
    const v = this.column[j]!;
    const up = this.atMost[v] ? -1 : 1;
    let reach = this.most[v]!;
    let leaving = -1;
    let toMost = false;
    for (let i = 0; i < this.rows.length; i++) {
      const slope = this.rows[i]![j]! * up;
      if (slope > HAIR && this.value[i]! / slope < reach) {
        reach = Math.max(0, this.value[i]! / slope);
        leaving = i;
        toMost = false;
      } else if (slope < -HAIR && (this.most[this.basic[i]!]! - this.value[i]!) / -slope < reach) {
        reach = Math.max(0, (this.most[this.basic[i]!]! - this.value[i]!) / -slope);
        leaving = i;
        toMost = true;
      }
    }
    for (let i = 0; i < this.rows.length; i++) this.value[i]! -= this.rows[i]![j]! * up * reach;
    if (leaving < 0) this.atMost[v] = up > 0 ? 1 : 0;
    else this.pivot(leaving, j, up > 0 ? reach : this.most[v]! - reach, toMost);
    return reach * price;
  }

  /** Gives each row whose variable is at 0 a little room of its own. */
  loosen(): void {
    this.value.forEach((x, i) => {
      if (x < LOOSE) this.value[i] = LOOSE * (1 + ((i * GOLDEN) % 1));
    });
  }

  private entering(): number {
    let best = -1;
    let gain = HAIR;
    for (let j = 0; j < this.n; j++) {
      const rise = this.atMost[this.column[j]!] ? -this.prices[j]! : this.prices[j]!;
      if (rise <= gain || this.most[this.column[j]!] === 0) continue;
      best = j;
      gain = rise;
    }
    return best;
  }

  /** The variable of column j takes row i, at the given value; the one there leaves to 0 or to its most. */
  private pivot(i: number, j: number, value: number, toMost: boolean): void {
    const row = this.rows[i]!;
    const by = row[j]!;
    for (let k = 0; k < this.n; k++) row[k]! /= by;
    row[j] = 1 / by;
    for (const other of [...this.rows, this.prices]) {
      const factor = other[j]!;
      if (other === row || factor === 0) continue;
      for (let k = 0; k < this.n; k++) if (row[k] !== 0) other[k]! -= factor * row[k]!;
      other[j] = -factor / by;
    }
    const leaves = this.basic[i]!;
    this.basic[i] = this.column[j]!;
    this.column[j] = leaves;
    this.atMost[this.basic[i]!] = 0;
    this.atMost[leaves] = toMost ? 1 : 0;
    this.value[i] = value;
  }
}

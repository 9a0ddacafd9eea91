/**
 * Seeded chance of the storm's own. Every kind of weather draws from a stream named after it, so that turning one kind
 * off leaves the others as they were, and a failing seed can be cut down.
 */
export class Chance {
  readonly #name: string;
  #a: number;
  #b: number;
  #c: number;
  #n = 1;

  constructor(name: string) {
    this.#name = name;
    this.#a = hashText(name, 1);
    this.#b = hashText(name, 2);
    this.#c = hashText(name, 3);
    for (let i = 0; i < 12; i++) this.next();
  }

  /** A stream of its own, that no draw from this one changes. */
  stream(name: string): Chance {
    return new Chance(`${this.#name}/${name}`);
  }

  /** In [0, 1). A small counter is folded in at each draw, so that no state is ever a fixed point. */
  next(): number {
    const t = (this.#a + this.#b + this.#n) | 0;
    this.#n = (this.#n + 1) | 0;
    this.#a = this.#b ^ (this.#b >>> 9);
    this.#b = (this.#c + (this.#c << 3)) | 0;
    this.#c = ((this.#c << 21) | (this.#c >>> 11)) + t;
    return (t >>> 0) / 4_294_967_296;
  }

  hit(share: number): boolean {
    return this.next() < share;
  }

  /** A whole number from `low` to `high`, both included. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1));
  }

  between(low: number, high: number): number {
    return low + this.next() * (high - low);
  }

  /** Many short times and a few long ones, of this mean, at most ten times it. */
  about(mean: number): number {
    return Math.min(10 * mean, -Math.log(1 - this.next()) * mean);
  }

  pick<T>(from: readonly T[]): T {
    const one = from[Math.floor(this.next() * from.length)];
    if (one === undefined) throw new Error(`nothing to pick from (${this.#name})`);
    return one;
  }

  word(): string {
    return Math.floor(this.next() * 2 ** 32).toString(36);
  }
}

/** FNV-1a over the characters, begun at another place for each `salt`. */
export function hashText(text: string, salt = 0): number {
  let h = (0x811c9dc5 + Math.imul(salt, 0x9e3779b1)) | 0;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  return h | 0;
}

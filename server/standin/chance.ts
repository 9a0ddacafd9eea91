/** A source of numbers in [0, 1). Injected everywhere, so that one seed is one run. */
export type Chance = () => number;

/**
 * A seeded source: a 32-bit counter stepped by the golden ratio and mixed (Weyl sequence with a multiply-xorshift
 * finish). Good enough for a prop's quirks and, seeded from the operating system, for session words.
 */
export function seeded(seed: number): Chance {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
    return ((z ^ (z >>> 16)) >>> 0) / 4_294_967_296;
  };
}

/** A seed of its own for each name under one seed (FNV-1a, 32 bit). */
export function seedOf(seed: number, name: string): number {
  let h = (0x811c9dc5 ^ (seed >>> 0)) >>> 0;
  for (const byte of new TextEncoder().encode(name)) h = Math.imul(h ^ byte, 0x01000193) >>> 0;
  return h;
}

const LETTERS = 'abcdefghijklmnopqrstuvwxyz0123456789';

/** A random word for a session: eight letters and digits, about 41 bits. */
export function wordOf(chance: Chance): string {
  let word = '';
  for (let i = 0; i < 8; i += 1) word += LETTERS[Math.floor(chance() * LETTERS.length)];
  return word;
}

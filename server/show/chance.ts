/**
 * Seeded chance, so that the same seed always draws the same numbers: what is drawn is data, and a night replays.
 *
 * The state is one 32-bit number that walks by a fixed odd step, so every state is met once in 2³² draws; what is
 * drawn is the state with its bits mixed. Good enough to stagger a yard; not for secrets.
 */
export type Chance = number;

/** 2³² over the golden ratio, made odd: consecutive states lie far apart. */
const STRIDE = 0x9e3779b9;

/** The first state for a seed: a number, or any text (a date, an id). */
export function chanceOf(seed: string | number): Chance {
  const text = String(seed);
  let state = text.length;
  for (let i = 0; i < text.length; i++) state = mixed((state + text.charCodeAt(i) + STRIDE) >>> 0);
  return state;
}

/** The next state. */
export function stirred(chance: Chance): Chance {
  return (chance + STRIDE) >>> 0;
}

/** What a state shows: a number in [0, 1), in steps of 2⁻³². */
export function shown(chance: Chance): number {
  return mixed(chance) / 4_294_967_296;
}

/** A source of numbers in [0, 1) that keeps its own state, for work that is done in one go. */
export function seeded(seed: string | number): () => number {
  let state = chanceOf(seed);
  return () => {
    state = stirred(state);
    return shown(state);
  };
}

/** Every input bit reaches every output bit: shifts and odd multiplications, each of which can be undone. */
function mixed(x: number): number {
  let h = x ^ (x >>> 16);
  h = Math.imul(h, 0x85ebca6b);
  h ^= h >>> 13;
  h = Math.imul(h, 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

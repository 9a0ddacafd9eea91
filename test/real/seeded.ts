/**
 * Numbers from 0 up to 1 by a seed, the same each time: xorshift of 32 bits (G. Marsaglia, Xorshift RNGs, Journal of
 * Statistical Software 8 (14), 2003; the shifts 13, 17, 5 are one of his full-period triples).
 */
export function seeded(seed: number): () => number {
  let state = seed >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 2 ** 32;
  };
}

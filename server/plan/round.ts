import type { Pattern } from './patterns.ts';

/** Rounds that are begun and mended, at most. */
const ROUNDS = 40;

/** The patterns as a round in which each differs little from the next: nearest first, then mended by reversing parts. */
export function inOrder(patterns: readonly Pattern[], costOf: (scene: number) => number): Pattern[] {
  const apart = patterns.map((a) =>
    patterns.map((b) => {
      const changed = [
        ...a.scenes.filter((i) => !b.scenes.includes(i)),
        ...b.scenes.filter((i) => !a.scenes.includes(i)),
      ];
      return changed.reduce((sum, i) => sum + costOf(i), 0);
    }),
  );
  let best: number[] = [];
  let least = Infinity;
  const stride = Math.ceil(patterns.length / ROUNDS);
  for (let first = 0; first < patterns.length; first += stride) {
    const round = mended(nearestFirst(apart, first), apart);
    const length = lengthOf(round, apart);
    if (length >= least - 1e-9) continue;
    least = length;
    best = round;
  }
  return best.map((k) => patterns[k]!);
}

function nearestFirst(apart: readonly (readonly number[])[], first: number): number[] {
  const round = [first];
  const left = new Set(apart.keys());
  left.delete(first);
  for (let last = first; left.size > 0; ) {
    let near = -1;
    for (const k of left) if (near < 0 || apart[last]![k]! < apart[last]![near]!) near = k;
    left.delete(near);
    round.push(near);
    last = near;
  }
  return round;
}

function lengthOf(round: readonly number[], apart: readonly (readonly number[])[]): number {
  return round.reduce((sum, a, k) => sum + apart[a]![round[(k + 1) % round.length]!]!, 0);
}

/** Reverses parts of the round as long as that shortens it (Croes 1958). */
function mended(round: number[], apart: readonly (readonly number[])[]): number[] {
  const n = round.length;
  for (let again = true; again; ) {
    again = false;
    for (let i = 0; i < n - 1; i++)
      for (let j = i + 1; j < n; j++) {
        const [a, b, c, d] = [round[(i + n - 1) % n]!, round[i]!, round[j]!, round[(j + 1) % n]!];
        if (a === c || apart[a]![c]! + apart[b]![d]! >= apart[a]![b]! + apart[c]![d]! - 1e-9) continue;
        round.splice(i, j - i + 1, ...round.slice(i, j + 1).reverse());
        again = true;
      }
  }
  return round;
}

import { expect, test } from 'vitest';
import { type Packing, packed } from '../../server/plan/simplex.ts';
import { seeded } from '../../server/show/chance.ts';
import { solverLoaded } from './solver.ts';

const solver = await solverLoaded();

/** The greatest worth of a packing as HiGHS (highs.dev, MIT; the npm package `highs`) finds it. */
function greatestWorth({ worth, most, rows }: Packing): number {
  const sum = (terms: readonly (readonly [number, number])[]) =>
    terms.map(([j, a]) => `${a < 0 ? '-' : '+'} ${Math.abs(a)} x${j}`).join(' ');
  const text = [
    `Maximize\n obj: ${sum(worth.map((c, j) => [j, c]))}`,
    `Subject To\n${rows.map((r) => `${sum(r.takes)} <= ${r.room}`).join('\n')}`,
    `Bounds\n${most.map((m, j) => (m === Infinity ? `x${j} >= 0` : `0 <= x${j} <= ${m}`)).join('\n')}\nEnd\n`,
  ].join('\n');
  const solution = solver.solve(text, { output_flag: false });
  if (solution.Status !== 'Optimal') throw new Error(`HiGHS says ${solution.Status}`);
  return solution.ObjectiveValue;
}

/**
 * Checks that the answer is a packing, that its prices prove that there is none of greater worth (duality: Gale, Kuhn
 * and Tucker 1951), and gives back its worth.
 */
function worthOf(packing: Packing): number {
  const { x, prices } = packed(packing);
  x.forEach((value, j) => {
    expect(value).toBeGreaterThanOrEqual(0);
    expect(value).toBeLessThanOrEqual(packing.most[j]! + 1e-6);
  });
  for (const { takes, room } of packing.rows) {
    const size = takes.reduce((most, [, a]) => Math.max(most, Math.abs(a)), room);
    expect(takes.reduce((sum, [j, a]) => sum + a * x[j]!, 0)).toBeLessThanOrEqual(room + 1e-4 * size);
  }
  const worth = packing.worth.reduce((sum, c, j) => sum + c * x[j]!, 0);
  // Whoever buys up all room at these prices, and pays for each variable what it is worth above them, pays as much.
  const above = [...packing.worth];
  let paid = 0;
  packing.rows.forEach(({ takes, room }, i) => {
    expect(prices[i]).toBeGreaterThanOrEqual(0);
    paid += prices[i]! * room;
    for (const [j, a] of takes) above[j]! -= prices[i]! * a;
  });
  above.forEach((gain, j) => {
    if (packing.most[j] === Infinity) expect(gain).toBeLessThanOrEqual(1e-6);
    else paid += Math.max(0, gain) * packing.most[j]!;
  });
  expect(paid).toBeGreaterThan(worth - 1e-3 * (1 + worth));
  expect(paid).toBeLessThan(worth + 1e-3 * (1 + worth));
  return worth;
}

test('packings drawn by chance have the greatest worth that HiGHS finds', () => {
  const draw = seeded(11);
  for (let k = 0; k < 60; k++) {
    const n = 2 + Math.floor(draw() * 20);
    const packing = {
      worth: Array.from({ length: n }, () => Math.round(draw() * 9)),
      most: Array.from({ length: n }, () => 1 + Math.round(draw() * 20)),
      rows: Array.from({ length: 1 + Math.floor(draw() * 12) }, () => ({
        room: draw() < 0.3 ? 0 : Math.round(draw() * 50),
        takes: Array.from({ length: n }, (_, j): [number, number] => [j, Math.round(draw() * 8 - 2)]).filter(
          ([, a]) => a !== 0,
        ),
      })),
    };
    expect(worthOf(packing)).toBeCloseTo(greatestWorth(packing), 4);
  }
});

test('a night of two hundred scenes, in which nearly every row begins without room, is divided as well as HiGHS divides it', () => {
  // Scenes take time that only patterns give: all of these rows have no room at first, and steps that gain nothing abound.
  const draw = seeded(5);
  const [scenes, patterns] = [200, 400];
  const packing = {
    worth: [
      ...Array.from({ length: scenes }, () => 1 / scenes),
      ...new Array<number>(patterns).fill(0),
      1000,
    ],
    most: [...Array.from({ length: scenes }, () => 1), ...new Array<number>(patterns).fill(Infinity), 1],
    rows: [
      { room: 1, takes: Array.from({ length: patterns }, (_, k): [number, number] => [scenes + k, 1]) },
      ...Array.from({ length: scenes }, (_, i) => ({
        room: 0,
        takes: [
          [i, 0.2 + 0.4 * draw()],
          [scenes + patterns, 0.4],
          ...Array.from({ length: patterns }, (_, k): [number, number] => [
            scenes + k,
            draw() < 0.35 ? -1 : 0,
          ]),
        ].filter(([, a]) => a !== 0) as [number, number][],
      })),
    ],
  };
  const best = greatestWorth(packing);
  expect(best).toBeGreaterThan(100);
  expect(worthOf(packing) / best).toBeGreaterThan(1 - 1e-4);
});

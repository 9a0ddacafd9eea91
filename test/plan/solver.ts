import highs from 'highs';

// Its types describe the CommonJS build, what is imported is the other: the default export is the loader itself.
const load = highs as unknown as typeof highs.default;
export type Solver = Awaited<ReturnType<typeof load>>;

let solver: Promise<Solver> | null = null;

/** HiGHS (highs.dev, MIT; the npm package `highs`), loaded once. */
export function solverLoaded(): Promise<Solver> {
  solver ??= load();
  return solver;
}

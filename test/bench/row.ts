/** One line of the benchmark: ours against a floor measured in the same run. */
export interface Row {
  readonly work: string;
  readonly ours: number;
  readonly floor: number;
  readonly unit: string;
  /** ours / floor, or what the aim speaks of. */
  readonly ratio: number;
  readonly aim: string;
  readonly note?: string;
}

/** The value below which this share of the sample lies; nearest rank. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))]!;
}

export const median = (values: readonly number[]): number => quantile(values, 0.5);

export function row(
  work: string,
  ours: number,
  floor: number,
  unit: string,
  aim: string,
  note?: string,
): Row {
  return { work, ours, floor, unit, ratio: ours / floor, aim, ...(note ? { note } : {}) };
}

/** How one figure grows with the number of props, beside its own value at the least; `chart.ts` draws it. */
export function growthRows(name: string, sizes: readonly number[], times: readonly number[]): Row[] {
  const nLogN = (n: number): number => n * Math.log(n);
  return sizes.map((size, k) => ({
    work: `growth: ${name} at ${size} props`,
    ours: times[k]!,
    floor: times[0]!,
    unit: 'ms',
    ratio: times[k]! / times[0]!,
    aim: k === 0 ? '—' : `<= ${Math.round(nLogN(size) / nLogN(sizes[0]!))} (n log n)`,
  }));
}

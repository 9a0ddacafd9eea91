const UNITS = { ms: 1, s: 1000, min: 60_000, h: 3_600_000 } as const;

/** '250 ms', '10 s', '2 min', '1.5 h' in ms. */
export function msOf(text: string): number {
  const read = /^(\d+(?:\.\d+)?) (ms|s|min|h)$/.exec(text);
  if (!read) throw new Error(`'${text}' is no time; write 10 s`);
  return Math.round(Number(read[1]) * UNITS[read[2] as keyof typeof UNITS]);
}

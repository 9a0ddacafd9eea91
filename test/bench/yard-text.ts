/** A yard on this port, open around the clock, in which nothing but its props and scenes matters. */
function benchYard(busPort: number, props: readonly string[], scenes: readonly string[]): string {
  return [
    'yard: {id: bench, title: Saltmarsh bench, timezone: Etc/UTC, latitude: 0, longitude: 0}',
    `bus: {listen: "127.0.0.1:${busPort}"}`,
    'nights:',
    '  - {prepare: "0 12 1 1 *", open: "13:00", close: "14:00", opens: by hand, notice: 1 s}',
    'circuits:',
    '  dock: {title: Dock, volts: 120, breaker: 100 A}',
    'props:',
    ...props,
    'scenes:',
    ...scenes,
    '',
  ].join('\n');
}

/** So many pairs of a carriage and its figure, each on a board of its own. */
export function pairsYard(pairs: number, busPort: number): string {
  const props: string[] = [];
  const scenes: string[] = [];
  for (let i = 0; i < pairs; i++) {
    props.push(
      `  boat-${i}:`,
      `    title: Boat ${i}`,
      '    sensors: {near: end, far: end, mat: plain}',
      '    home: near',
      '    moves:',
      `      out: {until: far, usual: 2 s, limit: 30 s, needs: [figure-${i} at rest], load: {dock: 0.01 A}}`,
      `      back: {until: near, usual: 2 s, limit: 30 s, needs: [figure-${i} at rest], load: {dock: 0.01 A}}`,
      `  figure-${i}:`,
      `    title: Figure ${i}`,
      `    moves: {row: {lasts: 1 s, needs: [boat-${i}.far], load: {dock: 0.01 A}}}`,
    );
    scenes.push(
      `  trip-${i}:`,
      `    title: Trip ${i}`,
      `    steps: [boat-${i}.out, figure-${i}.row, boat-${i}.back]`,
    );
  }
  return benchYard(busPort, props, scenes);
}

/** So many figures, each on a board of its own and with a scene of its own, of one move, every so many seconds. */
export function figuresYard(figures: number, everySeconds: number, busPort: number): string {
  const props: string[] = [];
  const scenes: string[] = [];
  for (let i = 0; i < figures; i++) {
    props.push(
      `  figure-${i}:`,
      `    title: Figure ${i}`,
      '    moves: {wave: {lasts: 1 s, load: {dock: 0.01 A}}}',
    );
    scenes.push(
      `  wave-${i}:`,
      `    title: Wave ${i}`,
      `    every: ${everySeconds} s`,
      `    steps: [figure-${i}.wave]`,
    );
  }
  return benchYard(busPort, props, scenes);
}

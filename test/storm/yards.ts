import { createHash } from 'node:crypto';
import { readYard } from '../../server/file/read.ts';
import type { YardFile } from './machine.ts';

/*
 * The yards of the storm: small ones, each with what the others lack. All invented, all at Saltmarsh Landing.
 * `url` in a yard means a broker of its own that outlives the desk; `listen` one that dies with it.
 */

const head = (id: string, night: string, more = '') => `
yard: { id: ${id}, title: ${id}, timezone: America/Chicago, latitude: 41.88, longitude: -87.63, seed: 7${more} }
nights:
${night}
`;

const EVENING = `  - { prepare: "0 16 * 10 fri,sat", open: "18:00", close: "22:00", opens: by itself, notice: 30 s }`;
/** Halloween 2026: the clock goes back at 02:00 in the morning, so 01:30 comes twice before this night closes. */
const LATE = `  - { prepare: "0 16 31 10 *", open: "23:00", close: "02:30", quiet: "01:30", opens: by itself, notice: 30 s, notice-scene: lamps-up }`;

const CARRIAGE = `
circuits:
  dock: { title: Dock outlets, volts: 120, breaker: 15 A, standing: 3.1 A }
zones:
  pond: { title: The pond, at-most: 1, gap: 20 s }
props:
  ferry:
    title: Ferry
    zone: pond
    controller: ferry-board
    sensors: { near: end, far: end }
    home: near
    rest: 30 s
    duty: { on: 40 %, over: 10 min }
    moves:
      out: { until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest], load: { dock: { run: 1.8 A, surge: 4.5 A for 400 ms } } }
      back: { until: near, usual: 7 s, limit: 12 s, needs: [ferryman at rest], load: { dock: { run: 1.8 A, surge: 4.5 A for 400 ms } } }
  ferryman:
    title: Ferryman
    zone: pond
    moves: { row: { lasts: 25 s, limit: 30 s, needs: [ferry.far], load: { dock: 0.9 A } } }
  path-mat: { title: Path mat, sensors: { step: plain } }
`;

const FERRY = `${head('ferry-yard', EVENING)}
bus: { listen: "127.0.0.1:1883" }
${CARRIAGE}
  gate-button: { title: Red button at the gate, kind: stop-station, sensors: { button: plain } }
scenes:
  crossing:
    title: The crossing
    zone: pond
    every: 3 min
    vary: 20 %
    rest: 40 s
    on: path-mat.step
    again-after: 3 min
    steps: [ferry.out, ferryman.row, ferry.back]
    if-it-fails: [ferry.back]
`;

const AIR = `
circuits:
  shed: { title: Shed, volts: 120, breaker: 12 A, standing: 0.8 A }
tanks:
  shed-tank: { title: Tank, volume: 0.8 gal, cut-in: 95 psi, cut-out: 120 psi, working: 75 psi, delivery: 0.2 cfm, compressor: { circuit: shed, amps: 6 A } }
zones:
  porch: { title: The porch, at-most: 1, gap: 5 s }
props:
  hatch:
    title: Cellar hatch
    zone: porch
    controller: air-board
    sensors: { shut: end }
    home: shut
    rest: 10 s
    moves:
      slam: { lasts: 3 s, air: { shed-tank: 2.4 l }, needs: [bell at rest], loud: true }
      close: { until: shut, usual: 1500 ms, limit: 4 s }
  helmet:
    title: Diver's helmet
    zone: porch
    controller: air-board
    sensors: { down: end, up: end }
    home: down
    moves:
      rise: { until: up, usual: 2 s, limit: 5 s, air: { shed-tank: 3.5 l }, load: { shed: 0.2 A } }
      sink: { until: down, usual: 3 s, limit: 7 s }
  lantern: { title: Porch lantern, zone: porch, duty: { on: 15 %, over: 2 min }, moves: { flicker: { lasts: 12 s, load: { shed: 1.4 A } } } }
  bell: { title: Bell, zone: porch, moves: { toll: { lasts: 6 s, load: { shed: { run: 1.1 A, surge: 2.6 A for 700 ms } }, loud: true, needs: [not helmet.up] } } }
  mat: { title: Mat, controller: air-board, sensors: { step: plain, edge: plain } }
scenes:
  porch-scare:
    title: On the porch
    zone: porch
    every: 100 s
    on: mat.step
    again-after: 1 min
    steps:
      - together: [lantern.flicker, hatch.slam]
      - wait: 2 s
      - hatch.close
      - bell.toll
    if-it-fails: [hatch.close]
  diver:
    title: The diver
    zone: porch
    every: 2 min
    weight: 2
    on: mat.edge
    steps: [helmet.rise, { wait: 4 s }, helmet.sink]
    if-it-fails: [helmet.sink]
  lamps-up: { title: Lamps up, steps: [lantern.flicker] }
`;

const PORCH = `${head('porch-yard', `${EVENING.replace('opens:', 'quiet: "20:30", notice-scene: lamps-up, opens:')}`, ', restart: auto')}
bus: { url: "mqtt://broker.local:1883", silence: 1500 ms }
${AIR}`;

const CLOCK = `${head('clock-yard', LATE, ', restart: auto')}
bus: { listen: "127.0.0.1:1883" }
${AIR}`;

/** Several props on a board, needs of every kind, tight circuits, and ids that are words of the language. */
const TANGLE = `${head('tangle-yard', EVENING.replace('by itself', 'by hand'))}
bus: { url: "mqtt://broker.local:1883", silence: 500 ms, root: marsh }
circuits:
  constructor: { title: Left, volts: 120, breaker: 6 A, standing: 0.5 A }
  right: { title: Right, volts: 230, breaker: 4.5 A, continuous: 70 %, standing: 0 A }
zones:
  reeds: { title: Reeds, at-most: 2, gap: 8 s }
props:
  constructor:
    title: Crane
    zone: reeds
    controller: left-board
    sensors: { valueof: end, high: end }
    home: valueof
    moves:
      up: { until: high, usual: 4 s, limit: 8 s, needs: [gull at home, not gate.open], load: { constructor: { run: 2 A, surge: 3 A for 300 ms } } }
      down: { until: valueof, usual: 4 s, limit: 8 s, needs: [gull at rest], load: { constructor: 1 A } }
  gull:
    title: Gull
    controller: left-board
    sensors: { nest: end, pole: end, gust: plain }
    home: nest
    duty: { on: 8 %, over: 3 min }
    moves:
      fly: { until: pole, usual: 3 s, limit: 6 s, needs: [constructor at rest, not gull.gust], load: { right: { run: 1.5 A, surge: 2.5 A for 500 ms } } }
      return: { until: nest, usual: 3 s, limit: 6 s, load: { right: 1.5 A } }
  gate:
    title: Gate
    zone: reeds
    controller: right-board
    sensors: { open: end, closed: end }
    home: closed
    rest: 5 s
    moves:
      swing: { until: open, usual: 5 s, limit: 9 s, needs: [constructor.valueof], load: { right: { run: 1.8 A, surge: 3 A for 400 ms } } }
      shut: { until: closed, usual: 5 s, limit: 9 s, load: { right: 1.8 A } }
  fog: { title: Fog, controller: right-board, moves: { puff: { lasts: 8 s, limit: 10 s, needs: [gate.open], load: { constructor: 2.2 A } } } }
  horn: { title: Horn, controller: right-board, moves: { blow: { lasts: 3 s, load: { right: 1.2 A } } } }
  mat: { title: Mat, sensors: { step: plain } }
  red-one: { title: Red one, kind: stop-station, sensors: { button: plain } }
scenes:
  crane:
    title: The crane
    zone: reeds
    every: 70 s
    rest: 10 s
    steps: [constructor.up, horn.blow, constructor.down]
    if-it-fails: [constructor.down]
  flight:
    title: The flight
    every: 50 s
    on: mat.step
    again-after: 30 s
    steps: [gull.fly, { wait: 1 s }, gull.return]
    if-it-fails: [gull.return]
  gate-fog:
    title: Fog at the gate
    zone: reeds
    every: 80 s
    steps: [gate.swing, fog.puff, gate.shut]
    if-it-fails: [gate.shut]
  all-horns: { title: Horns, every: 2 min, steps: [{ together: [horn.blow] }, { wait: 3 s }, horn.blow] }
`;

/** So many carriages and as many figures, for the figures of speed. */
function large(props: number): string {
  const pairs = Math.floor(props / 2);
  const each = <T>(make: (i: number) => T): T[] => Array.from({ length: pairs }, (_, i) => make(i + 1));
  return `${head('large-yard', EVENING)}
bus: { listen: "127.0.0.1:1883" }
circuits:
${each((i) => `  c${i}: { title: C${i}, volts: 120, breaker: 15 A, standing: 1 A }`).join('\n')}
props:
${each(
  (i) => `  car-${i}:
    title: Carriage ${i}
    sensors: { near: end, far: end }
    home: near
    moves:
      out: { until: far, usual: 7 s, limit: 12 s, needs: [fig-${i} at rest], load: { c${i}: 2 A } }
      back: { until: near, usual: 7 s, limit: 12 s, needs: [fig-${i} at rest], load: { c${i}: 2 A } }
  fig-${i}: { title: Figure ${i}, moves: { row: { lasts: 40 s, limit: 45 s, needs: [car-${i}.far], load: { c${i}: 1 A } } } }`,
).join('\n')}
scenes:
${each((i) => `  s${i}: { title: Scene ${i}, every: 8 min, steps: [car-${i}.out, fig-${i}.row, car-${i}.back], if-it-fails: [car-${i}.back] }`).join('\n')}
`;
}

export interface StormYard {
  readonly file: YardFile;
  /** The same yard after somebody has edited the file in mid-season. */
  readonly edited: YardFile;
  /** Date of the night that it is played. */
  readonly night: string;
}

function read(text: string): YardFile {
  const result = readYard(text, 'storm', { from: 2026, to: 2026 } as never);
  if (!result.ok) throw new Error(result.errors.map((e) => e.message).join('\n'));
  return { yard: result.yard, text, hash: createHash('sha256').update(text).digest('hex') };
}

const edit = (text: string): string =>
  text
    .replace(/every: 3 min/, 'every: 4 min')
    .replace(/every: 100 s/, 'every: 2 min')
    .replace(/every: 70 s/, 'every: 90 s')
    .replace(/usual: 7 s/, 'usual: 8 s')
    .replace('horn: {', 'klaxon: { title: Klaxon, moves: { blare: { lasts: 2 s } } }\n  horn: {')
    .replace(
      'lantern: {',
      'lantern-two: { title: Second lantern, moves: { glow: { lasts: 2 s } } }\n  lantern: {',
    );

const made = new Map<string, StormYard>();

function yardOf(name: string, text: string, night: string): StormYard {
  const known = made.get(name) ?? { file: read(text), edited: read(edit(text)), night };
  made.set(name, known);
  return known;
}

/** A yard by its name; read once in the life of a process. */
export const YARDS: Readonly<Record<string, () => StormYard>> = {
  ferry: () => yardOf('ferry', FERRY, '2026-10-16'),
  porch: () => yardOf('porch', PORCH, '2026-10-16'),
  clock: () => yardOf('clock', CLOCK, '2026-10-31'),
  tangle: () => yardOf('tangle', TANGLE, '2026-10-16'),
};

export const largeYard = (props: number): StormYard => yardOf(`large ${props}`, large(props), '2026-10-16');

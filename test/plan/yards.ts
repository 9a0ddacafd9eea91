import type { NightTimes } from '../../server/plan/tonight.ts';
import { seeded } from '../../server/show/chance.ts';
import type {
  Circuit,
  Load,
  Move,
  Need,
  Prop,
  Scene,
  Step,
  Tank,
  Yard,
  Zone,
} from '../../server/yard/types.ts';

/** A yard and a night for tests, made from numbers alone: same recipe, same yard. */
export interface Case {
  readonly name: string;
  readonly yard: Yard;
  readonly night: NightTimes;
}

const OPEN_MS = Date.UTC(2026, 9, 31, 23, 0);
const MINUTE = 60_000;

export function nightOf(
  minutes: number,
  quietMinutes: number | null = null,
  date = '2026-10-31',
): NightTimes {
  return {
    date,
    prepareMs: OPEN_MS - 120 * MINUTE,
    openMs: OPEN_MS,
    closeMs: OPEN_MS + minutes * MINUTE,
    quietMs: quietMinutes === null ? null : OPEN_MS + quietMinutes * MINUTE,
    opensByItself: true,
    noticeMs: 30_000,
    noticeScene: null,
  };
}

export function circuitOf(id: string, breakerAmps: number, more: Partial<Circuit> = {}): Circuit {
  return { id, title: id, volts: 120, breakerAmps, continuous: 0.8, standingAmps: 0, cable: null, ...more };
}

export function tankOf(id: string, circuit: string, more: Partial<Tank> = {}): Tank {
  return {
    id,
    title: id,
    volumeLitres: 23,
    cutInKpa: 620,
    cutOutKpa: 827,
    workingKpa: 480,
    deliveryLpm: 74,
    compressor: { circuit, amps: 6 },
    ...more,
  };
}

export function moveOf(id: string, lengthMs: number, more: Partial<Move> = {}): Move {
  const until = more.until ?? null;
  return {
    id,
    lastsMs: until === null ? lengthMs : null,
    until,
    usualMs: lengthMs,
    derived: false,
    limitMs: lengthMs * 1.5 + 2000,
    needs: [],
    loads: [],
    air: [],
    loud: false,
    ...more,
  };
}

export function propOf(id: string, moves: readonly Move[], more: Partial<Prop> = {}): Prop {
  return {
    id,
    title: id,
    kind: 'prop',
    zone: null,
    controller: id,
    sensors: new Map(),
    home: null,
    homeMove: null,
    restMs: 0,
    duty: null,
    drive: null,
    serviceEvery: null,
    moves: new Map(moves.map((m) => [m.id, m])),
    cable: null,
    ...more,
  };
}

/** Steps as `prop.move`, several of them together in one list, or ms to wait. */
export function sceneOf(
  id: string,
  steps: readonly (string | readonly string[] | number)[],
  more: Partial<Scene> = {},
): Scene {
  const named = (text: string) => {
    const [prop, move] = text.split('.') as [string, string];
    return { prop, move };
  };
  const read = (s: string | readonly string[] | number): Step => {
    if (typeof s === 'number') return { kind: 'wait', ms: s };
    return typeof s === 'string' ? { kind: 'move', ...named(s) } : { kind: 'together', moves: s.map(named) };
  };
  const props = steps.flatMap((s) =>
    typeof s === 'number' ? [] : (typeof s === 'string' ? [s] : s).map((x) => named(x).prop),
  );
  return {
    id,
    title: id,
    zone: null,
    everyMs: 5 * MINUTE,
    vary: 0,
    weight: 1,
    restMs: 0,
    on: null,
    againAfterMs: 0,
    steps: steps.map(read),
    ifItFails: [],
    props: [...new Set([...props, ...(more.ifItFails ?? []).map((m) => m.prop)])],
    ...more,
  };
}

export function zoneOf(id: string, atMost: number, gapMs = 0): Zone {
  return { id, title: id, atMost, gapMs };
}

export function yardOf(parts: {
  seed?: number;
  circuits?: readonly Circuit[];
  tanks?: readonly Tank[];
  zones?: readonly Zone[];
  props: readonly Prop[];
  scenes: readonly Scene[];
}): Yard {
  const byId = <T extends { readonly id: string }>(list: readonly T[] = []) =>
    new Map(list.map((x) => [x.id, x]));
  return {
    id: 'saltmarsh',
    title: 'Saltmarsh Landing',
    timezone: 'America/Chicago',
    latitude: 41.88,
    longitude: -87.63,
    seed: parts.seed ?? 7,
    restart: 'ask',
    bus: { root: 'yard', listen: null, url: null, silenceMs: 1000 },
    nights: [],
    dark: [],
    circuits: byId(parts.circuits),
    tanks: byId(parts.tanks),
    zones: byId(parts.zones),
    props: byId(parts.props),
    scenes: byId(parts.scenes),
    controllers: new Map(parts.props.map((p) => [p.id, [p.id]])),
  };
}

export function need(kind: 'made' | 'not-made', prop: string, sensor: string): Need {
  return { kind, prop, sensor };
}

export function load(circuit: string, runAmps: number, surgeAmps = runAmps, surgeMs = 0): Load {
  return { circuit, runAmps, surgeAmps, surgeMs };
}

/** What a made-up yard is short of; 1 means that what is wanted takes about all there is. */
export interface Recipe {
  readonly seed: number;
  readonly scenes: number;
  readonly hours: number;
  readonly everyMs: readonly [number, number];
  readonly lengthMs: readonly [number, number];
  /** Times and lengths are multiples of this. */
  readonly gridMs: number;
  readonly vary?: number;
  /** Weights drawn from these. */
  readonly weights?: readonly number[];
  /** Wanted over available, by rule; what is left out does not bind. */
  readonly circuit?: number;
  readonly surge?: number;
  /** How long surges last; 400 ms unless the grid is finer. */
  readonly surgeMs?: number;
  readonly zone?: number;
  readonly prop?: number;
  readonly duty?: number;
  readonly tank?: number;
  /** Share of the scenes that are loud, and when quiet begins as a share of the night. */
  readonly loud?: number;
  readonly quiet?: number;
  /** Share of scenes with a carriage and a figure that needs it at its far end. */
  readonly carriages?: number;
  readonly perCircuit?: number;
  readonly perZone?: number;
  readonly date?: string;
}

export function caseOf(name: string, r: Recipe): Case {
  const draw = seeded(r.seed);
  const between = ([a, b]: readonly [number, number]) => a + (b - a) * draw();
  const onGrid = (ms: number) => Math.max(r.gridMs, Math.round(ms / r.gridMs) * r.gridMs);
  const perCircuit = r.perCircuit ?? 8;
  const perZone = r.perZone ?? 4;
  const props: Prop[] = [];
  const scenes: Scene[] = [];
  const circuits: Circuit[] = [];
  const zones: Zone[] = [];
  const tanks: Tank[] = [];
  const groups = Math.ceil(r.scenes / perCircuit);
  const ampTime = new Array<number>(groups).fill(0);
  const surgeTime = new Array<number>(groups).fill(0);
  const mostAmps = new Array<number>(groups).fill(0);
  const mostSurge = new Array<number>(groups).fill(0);
  const air = new Array<number>(groups).fill(0);
  const mostAir = new Array<number>(groups).fill(0);
  const zoneTime = new Array<number>(Math.ceil(r.scenes / perZone)).fill(0);
  const shared = new Map<string, number>();

  for (let i = 0; i < r.scenes; i++) {
    const everyMs = onGrid(between(r.everyMs));
    const lengthMs = Math.min(onGrid(between(r.lengthMs)), everyMs - r.gridMs);
    const group = Math.floor(i / perCircuit);
    const amps = Math.round(between([0.4, 3]) * 10) / 10;
    const surge = Math.round(amps * between([1.5, 3]) * 10) / 10;
    const loads = [load(`c${group}`, amps, surge, r.surgeMs ?? Math.min(400, r.gridMs))];
    const litres = r.tank ? Math.round(between([1, 4]) * 10) / 10 : 0;
    const loud = draw() < (r.loud ?? 0);
    const carriage = draw() < (r.carriages ?? 0) && lengthMs >= 3 * r.gridMs;
    const id = `s${i}`;
    const airs = litres > 0 ? [{ tank: `t${group}`, litres }] : [];
    const duty = r.duty ? dutyOf(r.duty, lengthMs, everyMs, onGrid) : null;
    if (carriage) {
      const row = lengthMs - 2 * r.gridMs;
      props.push(
        propOf(
          `${id}-cart`,
          [
            moveOf('out', r.gridMs, {
              until: 'far',
              loads,
              needs: [{ kind: 'at-rest', prop: `${id}-figure` }],
            }),
            moveOf('back', r.gridMs, {
              until: 'near',
              loads,
              needs: [{ kind: 'at-rest', prop: `${id}-figure` }],
            }),
          ],
          {
            sensors: new Map([
              ['near', { id: 'near', kind: 'end' }],
              ['far', { id: 'far', kind: 'end' }],
            ]),
            home: 'near',
            homeMove: 'back',
          },
        ),
        propOf(
          `${id}-figure`,
          [moveOf('row', row, { loads, loud, air: airs, needs: [need('made', `${id}-cart`, 'far')] })],
          { duty },
        ),
      );
    } else props.push(propOf(`${id}-prop`, [moveOf('go', lengthMs, { loads, loud, air: airs })], { duty }));
    const steps: (string | readonly string[])[] = carriage
      ? [`${id}-cart.out`, `${id}-figure.row`, `${id}-cart.back`]
      : [`${id}-prop.go`];
    if (r.prop && i % 3 !== 2) {
      // Two of three scenes want a common figure at the same time as their own.
      const own = `common${Math.floor(i / 3)}`;
      shared.set(own, (shared.get(own) ?? 0) + lengthMs / everyMs);
      const takes = Math.min(lengthMs, r.gridMs);
      if (!props.some((p) => p.id === own)) props.push(propOf(own, [moveOf('nod', takes)]));
      steps[0] = [steps[0] as string, `${own}.nod`];
    }
    const zone = r.zone === undefined ? null : `z${Math.floor(i / perZone)}`;
    const weights = r.weights ?? [1];
    scenes.push(
      sceneOf(id, steps, {
        zone,
        everyMs,
        vary: r.vary ?? 0,
        weight: weights[Math.floor(draw() * weights.length)]!,
      }),
    );
    ampTime[group]! += (amps * lengthMs) / everyMs;
    surgeTime[group]! += (surge * lengthMs) / everyMs;
    mostAmps[group] = Math.max(mostAmps[group]!, amps);
    mostSurge[group] = Math.max(mostSurge[group]!, surge);
    air[group]! += litres / (everyMs / MINUTE);
    mostAir[group] = Math.max(mostAir[group]!, litres);
    zoneTime[Math.floor(i / perZone)]! += lengthMs / everyMs;
  }

  for (let g = 0; g < groups; g++) {
    const limit = r.circuit ? Math.max(mostAmps[g]!, ampTime[g]! / r.circuit) : 200;
    const breaker = r.surge ? Math.max(mostSurge[g]!, limit, surgeTime[g]! / r.surge) : limit + 200;
    const tenths = (x: number) => Math.ceil(x * 10) / 10;
    circuits.push(
      circuitOf(`c${g}`, tenths(breaker), { continuous: tenths(limit) / tenths(breaker), standingAmps: 0 }),
    );
    if (r.tank) {
      const delivery = Math.max(1, air[g]! / r.tank);
      const room = Math.max(4, mostAir[g]! * 1.5);
      // Volume such that cut-out to working holds `room` litres of free air.
      tanks.push(
        tankOf(`t${g}`, 'compressors', {
          volumeLitres: (room * 101.325) / (827 - 480),
          deliveryLpm: Math.round(delivery * 100) / 100,
        }),
      );
    }
  }
  if (r.tank) circuits.push(circuitOf('compressors', 1000));
  if (r.zone !== undefined)
    zoneTime.forEach((busy, z) => {
      zones.push(zoneOf(`z${z}`, Math.max(1, Math.round(busy / r.zone!))));
    });
  const minutes = r.hours * 60;
  const quiet = r.quiet === undefined ? null : Math.round(minutes * r.quiet);
  return {
    name,
    yard: yardOf({ seed: r.seed, circuits, tanks, zones, props, scenes }),
    night: nightOf(minutes, quiet, r.date),
  };
}

function dutyOf(load: number, lengthMs: number, everyMs: number, onGrid: (ms: number) => number) {
  const overMs = onGrid(everyMs * 2.5);
  const onMs = Math.max(lengthMs, onGrid((overMs * lengthMs) / everyMs / load));
  return { on: Math.min(1, onMs / overMs), overMs };
}

const TWELVE: Omit<Recipe, 'seed'> = {
  scenes: 12,
  hours: 5,
  everyMs: [180_000, 480_000],
  lengthMs: [60_000, 150_000],
  gridMs: 1000,
  perCircuit: 12,
  perZone: 6,
};

const LOOSE: Partial<Recipe> = { everyMs: [300_000, 600_000], lengthMs: [20_000, 60_000] };

/** A yard so small that a general solver finds the best plan and proves it: four scenes, half an hour. */
export const SMALL: Omit<Recipe, 'seed'> = {
  scenes: 4,
  hours: 0.5,
  everyMs: [4 * MINUTE, 8 * MINUTE],
  lengthMs: [MINUTE, 3 * MINUTE],
  gridMs: MINUTE,
  surgeMs: MINUTE,
  perCircuit: 6,
  perZone: 4,
};

/** Kinds of yards that are kept: each with two seeds. */
const KINDS: readonly [name: string, more: Partial<Recipe>][] = [
  ['loose', LOOSE],
  ['loose and varied', { ...LOOSE, vary: 0.2, circuit: 0.5, zone: 0.5 }],
  ['tight on its circuit', { circuit: 1 }],
  ['tight on its circuit’s surges', { surge: 2, circuit: 0.8 }],
  ['tight on its zones', { zone: 1 }],
  ['tight on its air', { tank: 1 }],
  ['tight on shared props', { prop: 1, everyMs: [120_000, 240_000] }],
  ['tight on duty', { duty: 1.2 }],
  ['tight before quiet', { loud: 0.5, quiet: 0.6, circuit: 1 }],
  ['carriages and figures', { carriages: 1, circuit: 0.9, zone: 0.9, vary: 0.1 }],
  [
    'tight on several',
    { circuit: 1.1, zone: 1.1, tank: 1.1, duty: 1.1, loud: 0.3, quiet: 0.7, carriages: 0.4 },
  ],
  ['twice too much for its circuit', { circuit: 2 }],
  ['twice too much for its zones, weighted', { zone: 2, weights: [1, 2, 3] }],
  ['twice too much for its air', { tank: 2 }],
  ['many short scenes', { everyMs: [30_000, 90_000], lengthMs: [5000, 15_000], circuit: 0.9, hours: 3 }],
  [
    'few long scenes',
    { scenes: 4, everyMs: [900_000, 1_800_000], lengthMs: [400_000, 700_000], zone: 1, perZone: 4 },
  ],
  ['over the change of the clocks', { hours: 7, vary: 0.2, circuit: 0.8, zone: 0.8, date: '2026-10-31' }],
  ['large', { scenes: 60, hours: 6, circuit: 1.1, zone: 0.9, vary: 0.1 }],
];

/** The generated yards that are kept, by their seeds. */
export const KEPT: readonly Case[] = KINDS.flatMap(([name, more], k) =>
  [1, 2].map((n) => caseOf(`${name} (${n})`, { ...TWELVE, ...more, seed: 100 * (k + 1) + n })),
);

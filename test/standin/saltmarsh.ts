import type { Move, Prop, Tank, Yard } from '../../server/yard/types.ts';

/** A move with the defaults of the yard file: timed by `lasts`, or ended by `until` with `usual` and `limit`. */
export function move(
  id: string,
  given: { lasts?: number; until?: string; usual?: number; limit?: number; air?: number },
): Move {
  const lastsMs = given.lasts ?? null;
  const usualMs = lastsMs ?? given.usual ?? 1000;
  return {
    id,
    lastsMs,
    until: given.until ?? null,
    usualMs,
    derived: false,
    limitMs: given.limit ?? Math.round(1.5 * usualMs + 2000),
    needs: [],
    loads: [],
    air: given.air === undefined ? [] : [{ tank: 'shed', litres: given.air }],
    loud: false,
  };
}

export function prop(
  id: string,
  given: {
    title?: string;
    controller?: string;
    kind?: Prop['kind'];
    sensors?: Record<string, 'end' | 'plain'>;
    home?: string;
    drive?: Prop['drive'];
    moves?: readonly Move[];
  },
): Prop {
  return {
    id,
    title: given.title ?? id,
    kind: given.kind ?? 'prop',
    zone: null,
    controller: given.controller ?? id,
    sensors: new Map(Object.entries(given.sensors ?? {}).map(([s, kind]) => [s, { id: s, kind }])),
    home: given.home ?? null,
    homeMove: null,
    restMs: 0,
    duty: null,
    drive: given.drive ?? null,
    serviceEvery: null,
    moves: new Map((given.moves ?? []).map((m) => [m.id, m])),
    cable: null,
  };
}

/** 6 US gallons, cut-in 90 psi, cut-out 120 psi, working 70 psi, 2.6 cfm. */
export const SHED: Tank = {
  id: 'shed',
  title: 'Shed',
  volumeLitres: 6 * 3.785411784,
  cutInKpa: 90 * 6.894757,
  cutOutKpa: 120 * 6.894757,
  workingKpa: 70 * 6.894757,
  deliveryLpm: 2.6 * 28.316846592,
  compressor: { circuit: 'dock', amps: 6 },
};

export function yardOf(props: readonly Prop[], tanks: readonly Tank[] = [SHED]): Yard {
  const controllers = new Map<string, string[]>();
  for (const p of props) controllers.set(p.controller, [...(controllers.get(p.controller) ?? []), p.id]);
  return {
    id: 'saltmarsh',
    title: 'Saltmarsh Landing',
    timezone: 'America/Chicago',
    latitude: 41.88,
    longitude: -87.63,
    seed: 7,
    restart: 'ask',
    bus: { root: 'yard', listen: { host: '127.0.0.1', port: 1883 }, url: null, silenceMs: 1000 },
    nights: [],
    dark: [],
    circuits: new Map(),
    tanks: new Map(tanks.map((t) => [t.id, t])),
    zones: new Map(),
    props: new Map(props.map((p) => [p.id, p])),
    scenes: new Map(),
    controllers,
  };
}

export const FERRY = prop('ferry', {
  title: 'Ferry',
  controller: 'ferry-board',
  sensors: { near: 'end', far: 'end' },
  home: 'near',
  moves: [
    move('out', { until: 'far', usual: 7000, limit: 12_000 }),
    move('back', { until: 'near', usual: 7000, limit: 12_000 }),
  ],
});
export const FERRYMAN = prop('ferryman', {
  title: 'Ferryman',
  controller: 'ferry-board',
  moves: [move('row', { lasts: 45_000, limit: 50_000 })],
});
export const HATCH = prop('hatch', {
  title: 'Cellar hatch',
  sensors: { shut: 'end' },
  home: 'shut',
  moves: [
    move('slam', { lasts: 3000, air: 2.4 }),
    move('close', { until: 'shut', usual: 1000, limit: 4000 }),
  ],
});
export const GULL = prop('gull', {
  title: 'Gull on a pole',
  sensors: { perch: 'end' },
  home: 'perch',
  moves: [move('swoop', { lasts: 8000 })],
});
export const BELL = prop('bell', { title: 'Bell', moves: [move('toll', { lasts: 6000 })] });
export const MAT = prop('path-mat', { title: 'Path mat', sensors: { step: 'plain' } });
export const BUTTON = prop('gate-button', {
  title: 'Red button at the gate',
  kind: 'stop-station',
  sensors: { button: 'plain' },
});

export const saltmarsh = (): Yard => yardOf([FERRY, FERRYMAN, HATCH, GULL, BELL, MAT, BUTTON]);

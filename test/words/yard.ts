import { english } from '../../server/words/en/english.ts';
import type { WordContext } from '../../server/words/words.ts';
import type { Move, Prop, Scene, Sensor, Yard } from '../../server/yard/types.ts';

/** A small Saltmarsh Landing for the sentences: titles with and without capitals, a mat, a stop button. */

function sensors(kinds: Record<string, Sensor['kind']>): Map<string, Sensor> {
  return new Map(Object.entries(kinds).map(([id, kind]) => [id, { id, kind }]));
}

function move(id: string, change: Partial<Move>): [string, Move] {
  const base: Move = {
    id,
    lastsMs: null,
    until: null,
    usualMs: 7000,
    derived: false,
    limitMs: 12_000,
    needs: [],
    loads: [],
    air: [],
    loud: false,
  };
  return [id, { ...base, ...change }];
}

function prop(id: string, title: string, change: Partial<Prop> = {}): [string, Prop] {
  const base: Prop = {
    id,
    title,
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
    moves: new Map(),
    cable: null,
  };
  return [id, { ...base, ...change }];
}

const crossing: Scene = {
  id: 'crossing',
  title: 'The crossing',
  zone: 'pond',
  everyMs: 360_000,
  vary: 0.2,
  weight: 1,
  restMs: 60_000,
  on: { prop: 'path-mat', sensor: 'step' },
  againAfterMs: 180_000,
  steps: [{ kind: 'move', prop: 'ferry', move: 'out' }],
  ifItFails: [],
  props: ['ferry', 'ferryman'],
};

export const yard: Yard = {
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
  circuits: new Map([
    [
      'dock',
      {
        id: 'dock',
        title: 'Dock outlets',
        volts: 120,
        breakerAmps: 15,
        continuous: 0.8,
        standingAmps: 3.1,
        cable: null,
      },
    ],
  ]),
  tanks: new Map([
    [
      'shed',
      {
        id: 'shed',
        title: 'Shed tank',
        volumeLitres: 22.7,
        cutInKpa: 620.5,
        cutOutKpa: 827.4,
        workingKpa: 482.6,
        deliveryLpm: 73.6,
        compressor: { circuit: 'dock', amps: 6 },
      },
    ],
  ]),
  zones: new Map([['pond', { id: 'pond', title: 'The pond', atMost: 1, gapMs: 20_000 }]]),
  props: new Map([
    prop('ferry', 'Ferry', {
      controller: 'ferry-board',
      sensors: sensors({ near: 'end', far: 'end' }),
      home: 'near',
      moves: new Map([move('out', { until: 'far' }), move('back', { until: 'near' })]),
    }),
    prop('ferryman', 'Ferryman', { moves: new Map([move('row', { lastsMs: 45_000, limitMs: 50_000 })]) }),
    prop('lanterns', 'Lanterns'),
    prop('ned', 'Old Ned'),
    prop('path-mat', 'Path mat', { sensors: sensors({ step: 'plain' }) }),
    prop('boards', 'Boards before the hatch', { sensors: sensors({ 'stood-on': 'plain' }) }),
    prop('gate-button', 'Red button at the gate', {
      kind: 'stop-station',
      sensors: sensors({ button: 'plain' }),
    }),
  ]),
  scenes: new Map([['crossing', crossing]]),
  controllers: new Map([
    ['ferry-board', ['ferry']],
    ['twin', ['lanterns', 'ned']],
  ]),
};

const DAY_MS = 86_400_000;

function parts(ms: number): [string, string, string] {
  const s = Math.floor((((ms % DAY_MS) + DAY_MS) % DAY_MS) / 1000);
  const two = (n: number) => String(n).padStart(2, '0');
  return [two(Math.floor(s / 3600)), two(Math.floor(s / 60) % 60), two(s % 60)];
}

/** An axis on which 0 is midnight of the yard, so that tests read as they are written. */
export function at(clock: string): number {
  const [h = 0, m = 0, s = 0] = clock.split(':').map(Number);
  return ((h * 60 + m) * 60 + s) * 1000;
}

export const context: WordContext = {
  tongue: english,
  yard,
  clock: (ms) => parts(ms).join(':'),
  short: (ms) => parts(ms).slice(0, 2).join(':'),
};

/** The same with the present, for what counts up. */
export function atClock(now: string): WordContext {
  return { ...context, now: at(now) };
}

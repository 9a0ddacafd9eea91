import type { Prop } from '../yard/types.ts';
import type { Track } from './track.ts';

/** What is wrong with a prop, as its drive, its sensors and its answers feel it. */
export interface Condition {
  /** Factor on everything it does; 0: it stands still. */
  speed: number;
  /** Share of its way after which it gets no further. */
  reach: number;
  /** It rolls past the end instead of stopping in it. */
  coasts: boolean;
  /** Most of the working pressure that its air line lets through. */
  airShare: number;
  /** The end sensors' light is out: each reads made. */
  deadSupply: boolean;
  sensors: Map<string, 'made' | 'clear' | 'chatter' | 'early'>;
  /** It acts, but no `did` leaves the board. */
  mute: boolean;
  /** It answers `started` and `done`, but its outputs do nothing. */
  idle: boolean;
  /** It refuses every `do` as `unknown`. */
  refuses: boolean;
  /** Its driver trips right after the start: `failed`, why `driver`. */
  trips: boolean;
}

export function soundCondition(): Condition {
  return {
    speed: 1,
    reach: 1,
    coasts: false,
    airShare: 1,
    deadSupply: false,
    sensors: new Map(),
    mute: false,
    idle: false,
    refuses: false,
    trips: false,
  };
}

/** What one fault applies to, as far as its table needs to know. */
export interface FaultPlace {
  readonly sensor: string;
  /** A contact (mat, button) rather than an end's slot sensor. */
  readonly plain: boolean;
  /** Share of 1 for faults that have a size; else unused. */
  readonly share: number;
}

interface FaultBase {
  /** What it is, for a person, after the prop's or board's name. */
  readonly words: string;
  /** The share of 1 meant where none is given; null: this fault has no size. */
  readonly share: number | null;
}
/** On a prop, lasting until mended. */
interface PropFault extends FaultBase {
  readonly of: 'prop' | 'sensor';
  /** Why it can't be on this prop, or null. */
  readonly unfit: (prop: Prop, track: Track | null) => string | null;
  readonly does: (c: Condition, place: FaultPlace) => void;
}
/** On a prop, over as it happens. */
interface Mishap extends FaultBase {
  readonly of: 'mishap';
  readonly unfit: PropFault['unfit'];
}
interface BoardFault extends FaultBase {
  readonly of: 'controller';
  readonly does: 'hang' | 'cut' | 'reboot';
}
export type FaultKind = PropFault | Mishap | BoardFault;

const moves: PropFault['unfit'] = (p) => (p.moves.size === 0 ? 'it has no moves' : null);
const slides: PropFault['unfit'] = (_, t) => (t === null ? 'no sensor follows its movement' : null);
const ends: PropFault['unfit'] = (p) =>
  [...p.sensors.values()].some((s) => s.kind === 'end') ? null : 'it has no end sensors';
const twoMarks: PropFault['unfit'] = (_, t) =>
  t && t.marks.length > 1 ? null : 'it has no two ends to travel between';
const breathes: PropFault['unfit'] = (p) =>
  [...p.moves.values()].some((m) => m.air.length > 0) ? null : 'none of its moves uses air';
const any: PropFault['unfit'] = () => null;

/** Every fault that can be switched on, by the word it is switched on with. */
export const FAULTS = {
  jam: {
    of: 'prop',
    words: 'is jammed where it stands',
    share: null,
    unfit: moves,
    does: (c) => {
      c.speed = 0;
    },
  },
  slow: {
    of: 'prop',
    words: 'moves at this share of its speed',
    share: 0.5,
    unfit: moves,
    does: (c, { share }) => {
      c.speed = Math.min(c.speed, share);
    },
  },
  weak: {
    of: 'prop',
    words: 'has a weak supply and gives up after this share of its way',
    share: 0.6,
    unfit: slides,
    does: (c, { share }) => {
      c.reach = share;
    },
  },
  'low-air': {
    of: 'prop',
    words: 'gets only this share of the working pressure',
    share: 0.4,
    unfit: breathes,
    does: (c, { share }) => {
      c.airShare = share;
    },
  },
  'coast-past': {
    of: 'prop',
    words: 'rolls past its ends instead of stopping in them',
    share: null,
    unfit: slides,
    does: (c) => {
      c.coasts = true;
    },
  },
  'stuck-made': {
    of: 'sensor',
    words: 'reads made whatever stands there',
    share: null,
    unfit: any,
    does: (c, { sensor }) => {
      c.sensors.set(sensor, 'made');
    },
  },
  'stuck-clear': {
    of: 'sensor',
    words: 'never reads made',
    share: null,
    unfit: any,
    does: (c, { sensor }) => {
      c.sensors.set(sensor, 'clear');
    },
  },
  'broken-wire': {
    // A slot sensor's phototransistor with a pull-up then reads blocked; an open contact of a mat reads open.
    of: 'sensor',
    words: 'has a broken wire: an end reads made, a contact reads open',
    share: null,
    unfit: any,
    does: (c, { sensor, plain }) => {
      c.sensors.set(sensor, plain ? 'clear' : 'made');
    },
  },
  chatter: {
    of: 'sensor',
    words: 'flickers ten times a second',
    share: null,
    unfit: any,
    does: (c, { sensor }) => {
      c.sensors.set(sensor, 'chatter');
    },
  },
  early: {
    of: 'sensor',
    words: 'sees light and reads made after a fifth of the way to it',
    share: null,
    unfit: twoMarks,
    does: (c, { sensor }) => {
      c.sensors.set(sensor, 'early');
    },
  },
  'dead-supply': {
    of: 'prop',
    words: "has lost its sensors' supply: every end reads made",
    share: null,
    unfit: ends,
    does: (c) => {
      c.deadSupply = true;
    },
  },
  mute: {
    of: 'prop',
    words: 'acts but does not answer',
    share: null,
    unfit: moves,
    does: (c) => {
      c.mute = true;
    },
  },
  idle: {
    of: 'prop',
    words: 'answers but does not act',
    share: null,
    unfit: moves,
    does: (c) => {
      c.idle = true;
    },
  },
  refuses: {
    of: 'prop',
    words: 'refuses every move as unknown',
    share: null,
    unfit: moves,
    does: (c) => {
      c.refuses = true;
    },
  },
  trips: {
    of: 'prop',
    words: 'trips its driver right after each start',
    share: null,
    unfit: moves,
    does: (c) => {
      c.trips = true;
    },
  },
  stray: { of: 'mishap', words: 'rolls off its end by itself', share: null, unfit: slides },
  silence: {
    of: 'controller',
    words: 'hangs: nothing in or out until mended; its watchdog takes the outputs off',
    share: null,
    does: 'hang',
  },
  cut: { of: 'controller', words: 'is cut off from the bus until mended', share: null, does: 'cut' },
  reboot: {
    of: 'controller',
    words: 'loses power and boots again',
    share: null,
    does: 'reboot',
  },
} as const satisfies Record<string, FaultKind>;

export type FaultName = keyof typeof FAULTS;

export function isFault(name: string): name is FaultName {
  return Object.hasOwn(FAULTS, name);
}

export function faultKind(name: FaultName): FaultKind {
  return FAULTS[name];
}

/** The sensor meant where a sensor's fault names only the prop: the end away from home, else its first sensor. */
export function usualSensor(prop: Prop, track: Track | null): string | null {
  const away = track?.marks.filter((m) => m.sensor !== prop.home).at(-1);
  return away?.sensor ?? prop.sensors.keys().next().value ?? null;
}

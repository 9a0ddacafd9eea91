/**
 * The yard as the rest of the daemon knows it: parsed, defaulted, in one set of units.
 *
 * Units: times in ms, lengths in mm, currents in A, pressures in kPa gauge, volumes and free air in litres,
 * free-air flow in litres a minute, shares as fractions of 1. Maps keep the order of the file, which matters:
 * homing goes in file order. Nothing here changes after parsing.
 */

export interface Yard {
  readonly id: string;
  readonly title: string;
  /** IANA name. */
  readonly timezone: string;
  /** Degrees, north positive. */
  readonly latitude: number;
  /** Degrees, east positive. */
  readonly longitude: number;
  readonly seed: number;
  readonly restart: 'ask' | 'auto';
  readonly bus: BusSettings;
  readonly nights: readonly NightEntry[];
  /** Dates `YYYY-MM-DD` without a show. */
  readonly dark: readonly string[];
  readonly circuits: ReadonlyMap<string, Circuit>;
  readonly tanks: ReadonlyMap<string, Tank>;
  readonly zones: ReadonlyMap<string, Zone>;
  readonly props: ReadonlyMap<string, Prop>;
  readonly scenes: ReadonlyMap<string, Scene>;
  /** Controller id → the props it drives, in file order. */
  readonly controllers: ReadonlyMap<string, readonly string[]>;
}

export interface BusSettings {
  readonly root: string;
  /** Embedded broker's address; null where `url` names an existing broker. */
  readonly listen: { readonly host: string; readonly port: number } | null;
  readonly url: string | null;
  readonly silenceMs: number;
}

export interface NightEntry {
  /** Five cron fields, local time. */
  readonly prepare: string;
  readonly open: ClockTime;
  readonly close: ClockTime;
  readonly quiet: ClockTime | null;
  readonly opens: 'by itself' | 'by hand';
  readonly noticeMs: number;
  readonly noticeScene: string | null;
  readonly fallbackOpen: ClockTime | null;
}

/** A wall time of the local date: fixed, or the sun's with an offset. */
export type ClockTime =
  | { readonly kind: 'clock'; readonly hour: number; readonly minute: number }
  | { readonly kind: 'sun'; readonly event: 'sunset' | 'dusk'; readonly offsetMs: number };

export interface Cable {
  readonly lengthMm: number;
  /** American wire gauge, or a conductor's cross-section. */
  readonly gauge: { readonly awg: number } | { readonly mm2: number };
}

export interface Circuit {
  readonly id: string;
  readonly title: string;
  readonly volts: number;
  readonly breakerAmps: number;
  /** Share of the breaker that may flow for hours; 0.8 unless the file says otherwise. */
  readonly continuous: number;
  /** What always draws, without the compressors (they are added where limits are judged). */
  readonly standingAmps: number;
  readonly cable: Cable | null;
}

export interface Tank {
  readonly id: string;
  readonly title: string;
  readonly volumeLitres: number;
  readonly cutInKpa: number;
  readonly cutOutKpa: number;
  readonly workingKpa: number;
  /** Free air the compressor delivers. */
  readonly deliveryLpm: number;
  /** The compressor's circuit and running current; counts as standing on that circuit. */
  readonly compressor: { readonly circuit: string; readonly amps: number };
}

export interface Zone {
  readonly id: string;
  readonly title: string;
  /** Infinity where the file sets no limit. */
  readonly atMost: number;
  readonly gapMs: number;
}

export type Need =
  | { readonly kind: 'made'; readonly prop: string; readonly sensor: string }
  | { readonly kind: 'not-made'; readonly prop: string; readonly sensor: string }
  | { readonly kind: 'at-rest'; readonly prop: string }
  | { readonly kind: 'at-home'; readonly prop: string };

export interface Load {
  readonly circuit: string;
  readonly runAmps: number;
  /** Not below `runAmps`; equal to it where the file gives no surge. */
  readonly surgeAmps: number;
  /** How long the surge lasts from the move's start; 0 without one. */
  readonly surgeMs: number;
}

export interface Move {
  readonly id: string;
  /** Timed move: its length. Null for a move that ends at a sensor. */
  readonly lastsMs: number | null;
  /** The sensor of its own prop that ends it. Null for a timed move. */
  readonly until: string | null;
  /** Expected length from the file: `lasts`, `usual`, or derived from the drive. */
  readonly usualMs: number;
  /** True where `usualMs` was derived from the drive and does not stand in the file. */
  readonly derived: boolean;
  readonly limitMs: number;
  readonly needs: readonly Need[];
  readonly loads: readonly Load[];
  /** Free air drawn at the start of the move. */
  readonly air: readonly { readonly tank: string; readonly litres: number }[];
  readonly loud: boolean;
}

export interface Sensor {
  readonly id: string;
  /** `end`: at most one of a prop's ends can be made. */
  readonly kind: 'end' | 'plain';
}

export interface Drive {
  readonly rpm: number;
  readonly teeth: number;
  readonly pitchMm: number;
  readonly travelMm: number;
}

export interface Prop {
  readonly id: string;
  readonly title: string;
  readonly kind: 'prop' | 'stop-station';
  /** Groups it on the page, nothing more. */
  readonly zone: string | null;
  readonly controller: string;
  readonly sensors: ReadonlyMap<string, Sensor>;
  /** The sensor that marks where it must stand to begin and to close. */
  readonly home: string | null;
  /** The move that homes it; null where there is no home, or no one move leads there. */
  readonly homeMove: string | null;
  readonly restMs: number;
  readonly duty: { readonly on: number; readonly overMs: number } | null;
  readonly drive: Drive | null;
  readonly serviceEvery: number | null;
  readonly moves: ReadonlyMap<string, Move>;
  readonly cable: Cable | null;
}

export type Step =
  | { readonly kind: 'move'; readonly prop: string; readonly move: string }
  | { readonly kind: 'together'; readonly moves: readonly { readonly prop: string; readonly move: string }[] }
  | { readonly kind: 'wait'; readonly ms: number };

export interface Scene {
  readonly id: string;
  readonly title: string;
  readonly zone: string | null;
  /** Aim, start to start; null: run only by trigger or hand. */
  readonly everyMs: number | null;
  readonly vary: number;
  readonly weight: number;
  readonly restMs: number;
  readonly on: { readonly prop: string; readonly sensor: string } | null;
  readonly againAfterMs: number;
  readonly steps: readonly Step[];
  readonly ifItFails: readonly { readonly prop: string; readonly move: string }[];
  /** Every prop it names, steps first then tidying, without repeats: what a run holds from start to end. */
  readonly props: readonly string[];
}

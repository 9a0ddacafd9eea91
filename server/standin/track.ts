import type { Move, Prop } from '../yard/types.ts';

/**
 * Where a prop can stand and where its sensors see its blade, derived from the yard file alone. Along the track the
 * marks lie in the order of the file, evenly spaced, the first at 0. A mark is an `end`, or any sensor that a
 * move runs until; the other sensors (mats, buttons) are pressed by people.
 */
export interface Track {
  /** Between the inner edges of the outermost marks; what a drive calls its travel. */
  readonly lengthMm: number;
  /** The hard stops. */
  readonly lowMm: number;
  readonly highMm: number;
  readonly marks: readonly Mark[];
  readonly bladeMm: number;
  /** How far it rolls on after the outputs went off. */
  readonly stoppingMm: number;
  /** The drive's belt speed; null where the speed follows from each move's usual time. */
  readonly driveMmPerS: number | null;
}

/** The blade is in the sensor's gap from `fromMm` to `toMm`. */
export interface Mark {
  readonly sensor: string;
  readonly fromMm: number;
  readonly toMm: number;
}

export interface Shape {
  readonly bladeMm?: number;
  readonly stoppingMm?: number;
}

/** v = n/60 · z · p: revolutions a second times teeth times pitch, mm/s. */
export function beltSpeed(rpm: number, teeth: number, pitchMm: number): number {
  return (rpm / 60) * teeth * pitchMm;
}

/** mm, where the file names no travel: a window's width for a carriage, a hand's breadth for a lid. */
const CARRIAGE_MM = 1000;
const LID_MM = 300;

/** The prop's track, or null where no sensor of its own follows its movement. */
export function trackOf(prop: Prop, shape: Shape = {}): Track | null {
  const targets = new Set([...prop.moves.values()].map((m) => m.until));
  const seen = [...prop.sensors.values()].filter((s) => s.kind === 'end' || targets.has(s.id));
  if (seen.length === 0) return null;
  const lengthMm = prop.drive?.travelMm ?? (seen.length === 1 ? LID_MM : CARRIAGE_MM);
  const gaps = Math.max(1, seen.length - 1);
  const bladeMm = shape.bladeMm ?? Math.min(20, lengthMm / (4 * gaps));
  const marks = seen.map((s, i): Mark => {
    const mm = (lengthMm * i) / gaps;
    if (i === 0) return { sensor: s.id, fromMm: -bladeMm, toMm: 0 };
    if (i === seen.length - 1) return { sensor: s.id, fromMm: lengthMm, toMm: lengthMm + bladeMm };
    return { sensor: s.id, fromMm: mm - bladeMm / 2, toMm: mm + bladeMm / 2 };
  });
  const drive = prop.drive;
  return {
    lengthMm,
    lowMm: -3 * bladeMm,
    // A lid with one sensor opens against its stay; beyond a sensed end there is a little room to coast into.
    highMm: seen.length === 1 ? lengthMm : lengthMm + 3 * bladeMm,
    marks,
    bladeMm,
    stoppingMm: shape.stoppingMm ?? bladeMm / 4,
    driveMmPerS: drive && seen.length <= 2 ? beltSpeed(drive.rpm, drive.teeth, drive.pitchMm) : null,
  };
}

export function markOf(track: Track, sensor: string): Mark | undefined {
  return track.marks.find((m) => m.sensor === sensor);
}

export function centreOf(mark: Mark): number {
  return (mark.fromMm + mark.toMm) / 2;
}

/** How far along the track each speed and stop of a move lies. */
export interface Route {
  /** -1, 0 or 1 along the track. */
  readonly way: -1 | 0 | 1;
  readonly mmPerS: number;
  /** Where it stands still by itself: a hard stop, or the end of its stroke. */
  readonly stopMm: number;
  /** What the move is after; the place from which the share of its way is reckoned. */
  readonly goalMm: number;
  /** A there-and-back routine turns here, at half its time; null for all others. */
  readonly backMm: number | null;
}

const STAYS: Route = { way: 0, mmPerS: 0, stopMm: 0, goalMm: 0, backMm: null };

/**
 * Where a move takes the prop from where it stands now. An `until` move drives to its mark and past it to the hard
 * stop unless the board cuts it. A timed move leads to the first end that no `until` move leads to; a lid with
 * one end flies open; a figure with one end and no way back swings out and home; all others pass no sensor.
 */
export function routeOf(prop: Prop, track: Track, move: Move, fromMm: number): Route {
  if (move.until !== null) return routeTo(track, move.until, move.usualMs, fromMm);
  const lastsMs = move.lastsMs ?? move.usualMs;
  const targets = new Set([...prop.moves.values()].map((m) => m.until));
  const free = track.marks.find((m) => !targets.has(m.sensor));
  const only = track.marks.length === 1 ? track.marks[0]! : null;
  if (only && free) {
    const goalMm = track.lengthMm / 2;
    const mmPerS = (goalMm + track.bladeMm) / (0.4 * (lastsMs / 1000));
    return { way: 1, mmPerS, stopMm: goalMm, goalMm, backMm: centreOf(only) };
  }
  const goalMm = only ? track.highMm : free ? centreOf(free) : fromMm;
  const mmPerS = (track.lengthMm + track.bladeMm) / Math.min(1, (0.4 * lastsMs) / 1000);
  const way = Math.sign(goalMm - fromMm) as -1 | 0 | 1;
  return way === 0 ? STAYS : { way, mmPerS, stopMm: goalMm, goalMm, backMm: null };
}

function routeTo(track: Track, sensor: string, usualMs: number, fromMm: number): Route {
  const mark = markOf(track, sensor)!;
  // The outermost marks are wired to one direction each; only between them does it depend on where it stands.
  const first = mark === track.marks[0];
  const last = !first && mark === track.marks.at(-1);
  const way = first ? -1 : last ? 1 : fromMm < centreOf(mark) ? 1 : -1;
  const goalMm = way > 0 ? mark.fromMm : mark.toMm;
  const here = track.marks.find((m) => fromMm >= m.fromMm && fromMm <= m.toMm && m !== mark);
  const distanceMm = here ? Math.abs(goalMm - (way > 0 ? here.toMm : here.fromMm)) : track.lengthMm;
  const mmPerS = track.driveMmPerS ?? distanceMm / (usualMs / 1000);
  return { way, mmPerS, stopMm: way > 0 ? track.highMm : track.lowMm, goalMm, backMm: null };
}

import type { Prop } from '../yard/types.ts';
import type { Condition } from './faults.ts';
import { markOf, type Track } from './track.ts';

/** ms between two flips of a flickering sensor: ten edges a second. */
const FLICKER_MS = 100;

/**
 * A prop's sensors: the blade in an end's gap, a foot on a mat, a hand on a button, and what their faults make of it.
 * Pure in the time and place that it is asked for.
 */
export class Sensing {
  readonly #prop: Prop;
  readonly #track: Track | null;
  /** Sensor → when the foot or hand goes away; Infinity while it is held. */
  readonly #pressed = new Map<string, number>();

  constructor(prop: Prop, track: Track | null) {
    this.#prop = prop;
    this.#track = track;
  }

  press(sensor: string, untilMs: number): void {
    this.#pressed.set(sensor, untilMs);
  }

  release(sensor: string): void {
    this.#pressed.delete(sensor);
  }

  reads(sensor: string, atMs: number, placeMm: number, condition: Condition): boolean {
    const fault = condition.sensors.get(sensor);
    if (fault === 'made') return true;
    if (fault === 'clear') return false;
    if (fault === 'chatter') return Math.floor(atMs / FLICKER_MS) % 2 === 0;
    if (condition.deadSupply && this.#prop.sensors.get(sensor)?.kind === 'end') return true;
    const until = this.#pressed.get(sensor);
    if (until !== undefined && atMs < until) return true;
    const gap = this.#gap(sensor, fault === 'early');
    return gap !== null && placeMm >= gap.fromMm && placeMm <= gap.toMm;
  }

  /** Where along the track any reading may change. */
  edges(condition: Condition): number[] {
    return (this.#track?.marks ?? []).flatMap((m) => {
      const gap = this.#gap(m.sensor, condition.sensors.get(m.sensor) === 'early');
      return gap ? [gap.fromMm, gap.toMm] : [];
    });
  }

  /** When a reading may next change by time alone, ms. */
  nextDue(atMs: number, condition: Condition): number | null {
    let due = Infinity;
    for (const until of this.#pressed.values()) if (until > atMs) due = Math.min(due, until);
    for (const fault of condition.sensors.values()) {
      if (fault === 'chatter') due = Math.min(due, (Math.floor(atMs / FLICKER_MS) + 1) * FLICKER_MS);
    }
    return due === Infinity ? null : due;
  }

  /** One that sees light reads made from a fifth of the way between its neighbour and itself. */
  #gap(sensor: string, early: boolean): { fromMm: number; toMm: number } | null {
    const track = this.#track;
    const mark = track && markOf(track, sensor);
    if (!track || !mark) return null;
    const reach = early ? (0.8 * track.lengthMm) / Math.max(1, track.marks.length - 1) : 0;
    return mark === track.marks[0]
      ? { fromMm: mark.fromMm, toMm: mark.toMm + reach }
      : { fromMm: mark.fromMm - reach, toMm: mark.toMm };
  }
}

import { axisAt, type Clock } from '../../server/clock.ts';
import type { Timer, World } from './world.ts';

/** What a clock needs of the computer that it ticks in. */
export interface ClockOwner {
  /** ms for which this computer has been awake: the monotonic clock stands still while it is suspended. */
  mono(): number;
  wall(): number;
  enter(run: () => void, soon?: boolean): void;
}

/** The two clocks of one process, and its one timer, in virtual time. */
export class ProcessClock implements Clock {
  readonly #world: World;
  readonly #owner: ClockOwner;
  readonly #base: number;
  #timer: Timer | null = null;
  #wake: (() => void) | null = null;
  #wakeAt = Number.POSITIVE_INFINITY;
  /** Said once in place of the time: see `stride`. */
  #once: number | null = null;

  constructor(world: World, owner: ClockOwner, notBefore: number, offsetMs: number) {
    this.#world = world;
    this.#owner = owner;
    this.#base = axisAt(owner.wall(), notBefore, offsetMs) - owner.mono();
  }

  now(): number {
    if (this.#once !== null) {
      const at = this.#once;
      this.#once = null;
      return at;
    }
    return Math.round(this.#base + this.#owner.mono());
  }

  wall(): number {
    return Math.round(this.#owner.wall());
  }

  wakeAt(at: number, wake: () => void): void {
    this.stop();
    this.#wake = wake;
    this.#wakeAt = at;
    const ms = Math.max(0, at - this.now());
    this.#timer = this.#world.routine(this.#world.now + ms, () => this.#owner.enter(() => this.fire()));
  }

  /** Wakes the desk if its time has come. */
  fire(): void {
    const wake = this.#wake;
    if (!wake || this.now() < this.#wakeAt) return;
    this.#wake = null;
    wake();
  }

  /** After a thaw or a resume: timers count awake time, so the one that is left may have been set too early. */
  rearm(): void {
    if (this.#wake) this.wakeAt(this.#wakeAt, this.#wake);
  }

  /**
   * Wakes the desk at the far end of a stretch that was passed over. The desk would take the lateness for a loop that
   * stood still; it did not, so its first look at the clock says the time that it was to be woken at.
   */
  stride(): void {
    const wake = this.#wake;
    if (!wake) return;
    this.#wake = null;
    this.#once = this.#wakeAt;
    wake();
    this.#once = null;
  }

  get overdue(): boolean {
    return this.#wake !== null && this.now() >= this.#wakeAt;
  }

  soon(run: () => void): void {
    this.#world.at(this.#world.now, () => this.#owner.enter(run, true));
  }

  stop(): void {
    if (this.#timer) this.#timer.run = null;
    this.#timer = null;
    this.#wake = null;
  }
}

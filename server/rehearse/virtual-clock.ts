import type { Clock } from '../clock.ts';

/** A clock that goes only when told: the same `Clock` that the daemon runs on, in virtual time. */
export class VirtualClock implements Clock {
  #now: number;
  #wall: number;
  #wakeAt = Number.POSITIVE_INFINITY;
  #wake: (() => void) | null = null;
  #soon: (() => void)[] = [];

  constructor(startMs: number) {
    this.#now = startMs;
    this.#wall = startMs;
  }

  now(): number {
    return this.#now;
  }

  wall(): number {
    return this.#wall;
  }

  /** Steps the wall clock alone, as a person or a time server does. */
  stepWall(byMs: number): void {
    this.#wall += byMs;
  }

  wakeAt(at: number, wake: () => void): void {
    this.#wakeAt = at;
    this.#wake = wake;
  }

  soon(run: () => void): void {
    this.#soon.push(run);
  }

  stop(): void {
    this.#wakeAt = Number.POSITIVE_INFINITY;
    this.#wake = null;
  }

  get nextWake(): number {
    return this.#wakeAt;
  }

  /** Runs what waits for the loop to turn, and what that brings. */
  settle(): void {
    for (let rounds = 0; this.#soon.length > 0; rounds++) {
      if (rounds > 10_000) throw new Error('the loop never comes to rest');
      const now = this.#soon;
      this.#soon = [];
      for (const run of now) run();
    }
  }

  /** Goes to an instant and wakes what is due then. */
  goTo(at: number): void {
    this.#wall += at - this.#now;
    this.#now = at;
    if (this.#wakeAt > at || !this.#wake) return;
    const wake = this.#wake;
    this.#wake = null;
    this.#wakeAt = Number.POSITIVE_INFINITY;
    wake();
  }
}

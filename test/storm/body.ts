import type { Prop } from '../../server/yard/types.ts';
import type { Chance } from './chance.ts';
import type { Timer, World } from './world.ts';

/** Half of what an end's blade covers, mm: within it the sensor is made. */
const BLADE_MM = 20;
/** A way's length; real ones differ, but only times are ever seen. */
const WAY_MM = 1000;
const PAST_MM = 60;
const OPEN_MM = 300;

export type SensorFault = 'made' | 'clear' | null;

/**
 * The thing itself: where it is, how fast it moves, where it stops. Nobody in the yard sees it but through its sensors.
 * It moves at one speed while it is driven and is slowed by friction when it is not.
 */
export class Body {
  readonly prop: Prop;
  readonly #world: World;
  /** Where each end stands, mm, in the order of the file. */
  readonly places = new Map<string, number>();
  readonly #low: number;
  readonly #high: number;
  x: number;
  v = 0;
  /** Direction in which it is driven, and 0 where it is not. */
  #drive = 0;
  #since: number;
  #timer: Timer | null = null;
  readonly #speedOf = new Map<string, number>();
  #speed = 0;
  /** What is wrong with it. */
  slow = 1;
  jammed = false;
  /** mm/s²: how it slows by itself. Ice on the rail: a tenth of it. */
  friction: number;
  readonly firmFriction: number;
  /** The driver's output reaches no motor. */
  dead = false;
  /** Air too low to move it. */
  breathless = false;
  readonly faults = new Map<string, SensorFault>();
  /** Plain sensors that the world outside makes: a mat stood on, a button pressed. */
  readonly plain = new Map<string, boolean>();
  readonly seen = new Map<string, boolean>();
  onEdge: (sensor: string, made: boolean) => void = () => {};

  constructor(world: World, prop: Prop, chance: Chance) {
    this.#world = world;
    this.prop = prop;
    this.#since = world.now;
    const ends = [...prop.sensors.values()].filter((s) => s.kind === 'end' || s.id === prop.home);
    for (const [i, s] of ends.entries()) this.places.set(s.id, (i * WAY_MM) / Math.max(1, ends.length - 1));
    for (const s of prop.sensors.values()) if (!this.places.has(s.id)) this.plain.set(s.id, false);
    const one = ends.length === 1;
    this.#low = one ? 0 : -PAST_MM;
    this.#high = one ? OPEN_MM : WAY_MM + PAST_MM;
    this.x = prop.home === null ? 0 : (this.places.get(prop.home) ?? 0);
    const true_ = chance.between(0.93, 1.07);
    for (const move of prop.moves.values()) {
      const way = one ? OPEN_MM - BLADE_MM : WAY_MM - BLADE_MM;
      const seconds = move.until === null ? 0.5 : (move.usualMs / 1000) * true_;
      this.#speedOf.set(move.id, way / seconds);
    }
    const fastest = Math.max(1, ...this.#speedOf.values());
    // it comes to rest within the blade, as whoever built it saw to
    this.firmFriction = fastest ** 2 / (2 * BLADE_MM * 0.6);
    this.friction = this.firmFriction;
    for (const id of prop.sensors.keys()) this.seen.set(id, this.truth(id));
  }

  /** Whether anything of it is in motion, now. */
  get moving(): boolean {
    this.#advance();
    return this.v !== 0 || this.#drive !== 0;
  }

  /** What the sensor would say if nothing were wrong with it. */
  truth(sensor: string): boolean {
    const place = this.places.get(sensor);
    if (place === undefined) return this.plain.get(sensor) ?? false;
    return Math.abs(this.x - place) <= BLADE_MM + 1e-9;
  }

  /** What the board reads. */
  reads(sensor: string): boolean {
    const fault = this.faults.get(sensor) ?? null;
    return fault === null ? this.truth(sensor) : fault === 'made';
  }

  energise(move: string): void {
    this.#advance();
    const { until, lastsMs } = this.prop.moves.get(move)!;
    this.#speed = this.#speedOf.get(move)!;
    if (until !== null) {
      const place = this.places.get(until) ?? 0;
      const middle = (this.#low + this.#high) / 2;
      this.#drive = this.places.size === 1 || place < middle ? -1 : 1;
    } else if (lastsMs !== null && this.places.size === 1) this.#drive = 1;
    else this.#drive = 0;
    this.touch();
  }

  release(): void {
    this.#advance();
    this.#drive = 0;
    this.touch();
  }

  /** Somebody who knows how has been at it. */
  repair(): void {
    this.slow = 1;
    this.jammed = false;
    this.dead = false;
    this.breathless = false;
    this.friction = this.firmFriction;
    this.faults.clear();
    for (const s of this.plain.keys()) this.plain.set(s, false);
    this.#advance();
    // beyond its last sensor nothing but a hand brings it back
    const places = [...this.places.values()];
    if (places.length > 1) this.x = Math.min(Math.max(...places), Math.max(Math.min(...places), this.x));
    this.touch();
  }

  /** A person pushes it, or lets it slip. */
  push(mm: number): void {
    this.#advance();
    this.x = Math.min(this.#high, Math.max(this.#low, this.x + mm));
    this.touch();
  }

  carryTo(sensor: string): void {
    this.#advance();
    this.x = this.places.get(sensor) ?? this.x;
    this.v = 0;
    this.touch();
  }

  /** After anything about it has changed: what the sensors say now, and when that changes next. */
  touch(): void {
    this.#advance();
    if (this.#drive !== 0) {
      const works = !this.jammed && !this.dead && !this.breathless;
      this.v = works ? this.#drive * this.#speed * this.slow : 0;
      if (this.#blocked()) this.v = 0;
    } else if (this.jammed) this.v = 0;
    for (const id of this.seen.keys()) this.#look(id);
    if (this.#timer) this.#timer.run = null;
    const ms = this.#nextMs();
    this.#timer = Number.isFinite(ms) ? this.#world.in(Math.max(1, Math.ceil(ms)), () => this.touch()) : null;
  }

  #look(id: string): void {
    const made = this.reads(id);
    if (this.seen.get(id) === made) return;
    this.seen.set(id, made);
    this.onEdge(id, made);
  }

  #blocked(): boolean {
    return (this.v > 0 && this.x >= this.#high) || (this.v < 0 && this.x <= this.#low);
  }

  #advance(): void {
    const s = (this.#world.now - this.#since) / 1000;
    this.#since = this.#world.now;
    if (s <= 0 || this.v === 0) return;
    if (this.#drive !== 0) this.x += this.v * s;
    else {
      const stop = Math.abs(this.v) / this.friction;
      const t = Math.min(s, stop);
      this.x += this.v * t - (Math.sign(this.v) * this.friction * t * t) / 2;
      this.v = s >= stop - 1e-9 ? 0 : this.v - Math.sign(this.v) * this.friction * t;
    }
    if (this.x <= this.#low || this.x >= this.#high) {
      this.x = Math.min(this.#high, Math.max(this.#low, this.x));
      if (this.#drive === 0 || this.#blocked()) this.v = 0;
    }
  }

  /** ms until a blade enters or leaves a sensor, a wall is met, or it stops. */
  #nextMs(): number {
    if (this.v === 0) return Number.POSITIVE_INFINITY;
    const way = Math.sign(this.v);
    let nearest = way > 0 ? this.#high - this.x : this.x - this.#low;
    for (const place of this.places.values())
      for (const edge of [place - BLADE_MM, place + BLADE_MM]) {
        const d = (edge - this.x) * way;
        if (d > 1e-6 && d < nearest) nearest = d;
      }
    const speed = Math.abs(this.v);
    if (this.#drive !== 0) return (nearest / speed) * 1000 + 0.01;
    const stopMm = speed ** 2 / (2 * this.friction);
    if (stopMm <= nearest) return (speed / this.friction) * 1000;
    return ((speed - Math.sqrt(speed ** 2 - 2 * this.friction * nearest)) / this.friction) * 1000 + 0.01;
  }

  /** How long it may go on by itself once nothing drives it, ms. */
  stoppingMs(): number {
    return (Math.abs(this.v) / this.friction) * 1000;
  }
}

import type { Move, Prop } from '../yard/types.ts';
import type { Chance } from './chance.ts';
import { type Condition, type FaultName, faultKind, soundCondition, usualSensor } from './faults.ts';
import { coasting, driven, type Motion, passings, placeAt, speedAt, standing } from './motion.ts';
import { Sensing } from './sensing.ts';
import { airShare, type Supply } from './supply.ts';
import { centreOf, markOf, type Route, routeOf, type Shape, type Track, trackOf } from './track.ts';

/** How much the speed of one move differs from the next, either way, as a share. Common practice, no source. */
const SPREAD = 0.03;
/** mm/s and blade widths of a prop that rolls off by itself. */
const STRAY_MM_PER_S = 50;
const STRAY_BLADES = 2;

export interface MachineOptions {
  readonly atMs: number;
  readonly chance: Chance;
  readonly supply: Supply;
  /** Where it stands at power-up: a sensor of its track, or a share of its way. By default its home. */
  readonly stands?: string | number;
  readonly shape?: Shape;
  /** Share by which the speed of a move may differ; 0: always the same. */
  readonly spread?: number;
}

/** What is so, whatever any sensor says: for checkers. */
export interface Truth {
  /** From the first mark's inner edge; null where the prop has no track. */
  readonly placeMm: number | null;
  readonly mmPerS: number;
  /** The board drives its outputs. */
  readonly energised: boolean;
  /** Something of it moves: driven, coasting, rolling, or playing its routine. */
  readonly moving: boolean;
}

/** A move under way: outputs on. */
interface Drive {
  readonly move: Move;
  readonly route: Route;
  /** This move's speed as a share of the usual: the spread and the air. */
  readonly quirk: number;
  /** Where a weak supply gives up, if it does. */
  readonly startMm: number;
  /** Timed: how much of the routine is wanted, and how much of it was done at `doneAtMs`. */
  readonly wantMs: number | null;
  doneMs: number;
  doneAtMs: number;
  back: boolean;
}

/**
 * One prop's body in virtual time: outputs in, sensors out. It has no clock; whoever drives it advances it to each
 * `nextDue` and reads the sensors anew. States: at rest; driven (outputs on, it may stand against a stop all the
 * same); coasting (outputs off, still rolling).
 */
export class Machine {
  readonly prop: Prop;
  readonly track: Track | null;
  readonly #options: MachineOptions;
  readonly #sensing: Sensing;
  readonly #faults = new Map<string, { name: FaultName; sensor: string; share: number }>();
  #condition: Condition = soundCondition();
  #atMs: number;
  #motion: Motion;
  #passings: number[] = [];
  #drive: Drive | null = null;

  constructor(prop: Prop, options: MachineOptions) {
    this.prop = prop;
    this.#options = options;
    this.track = trackOf(prop, options.shape);
    this.#sensing = new Sensing(prop, this.track);
    this.#atMs = options.atMs;
    this.#motion = standing(options.atMs, this.#placeOf(options.stands ?? prop.home ?? 0));
  }

  get condition(): Readonly<Condition> {
    return this.#condition;
  }

  /** Outputs on for this move; a timed one for `lastsMs` of its routine. Draws its air. */
  start(atMs: number, move: Move, lastsMs: number | null): void {
    this.advanceTo(atMs);
    const fromMm = placeAt(this.#motion, atMs);
    const spread = this.#options.spread ?? SPREAD;
    const vary = 1 + spread * (2 * this.#options.chance() - 1);
    this.#drive = {
      move,
      route: this.track ? routeOf(this.prop, this.track, move, fromMm) : NOWHERE,
      quirk: (move.until === null ? 1 : vary) * this.#takeAir(atMs, move),
      startMm: fromMm,
      wantMs: move.until === null ? (lastsMs ?? move.usualMs) : null,
      doneMs: 0,
      doneAtMs: atMs,
      back: false,
    };
    this.#follow(atMs);
  }

  /** Outputs off: it rolls to rest over its stopping distance. */
  cut(atMs: number): void {
    this.advanceTo(atMs);
    if (!this.#drive) return;
    this.#drive = null;
    const track = this.track;
    if (!track) return;
    const rollMm = this.#condition.coasts ? 2 * track.bladeMm : track.stoppingMm;
    const mm = placeAt(this.#motion, atMs);
    this.#go(coasting(atMs, mm, speedAt(this.#motion, atMs), rollMm, track.lowMm, track.highMm));
  }

  /** The routine of a timed move has been played to its end. */
  get routineDone(): boolean {
    const d = this.#drive;
    return d !== null && d.wantMs !== null && d.doneMs >= d.wantMs;
  }

  reads(sensor: string): boolean {
    return this.#sensing.reads(sensor, this.#atMs, placeAt(this.#motion, this.#atMs), this.#condition);
  }

  advanceTo(atMs: number): void {
    if (atMs < this.#atMs) return;
    // at the same instant too: a passing at this very millisecond must not stay due for ever
    this.#atMs = atMs;
    while (this.#passings.length > 0 && this.#passings[0]! <= atMs) this.#passings.shift();
    const d = this.#drive;
    if (!d || d.wantMs === null) return;
    d.doneMs += (atMs - d.doneAtMs) * this.#rate(d);
    d.doneAtMs = atMs;
    if (d.route.backMm !== null && !d.back && d.doneMs >= d.wantMs / 2) {
      d.back = true;
      this.#follow(atMs);
    }
  }

  /** When a sensor or the routine may next change, ms; null: not by itself. */
  nextDue(): number | null {
    let due = this.#sensing.nextDue(this.#atMs, this.#condition) ?? Infinity;
    due = Math.min(due, this.#passings[0] ?? Infinity);
    if (this.#motion.endMs > this.#atMs) due = Math.min(due, this.#motion.endMs);
    const d = this.#drive;
    if (d && d.wantMs !== null && d.doneMs < d.wantMs && this.#rate(d) > 0) {
      const nextMs = d.route.backMm !== null && !d.back ? d.wantMs / 2 : d.wantMs;
      due = Math.min(due, this.#atMs + Math.max(1, Math.ceil((nextMs - d.doneMs) / this.#rate(d))));
    }
    return due === Infinity ? null : due;
  }

  truth(): Truth {
    const d = this.#drive;
    const playing = d !== null && d.wantMs !== null && this.#rate(d) > 0 && d.doneMs < d.wantMs;
    return {
      placeMm: this.track ? placeAt(this.#motion, this.#atMs) : null,
      mmPerS: speedAt(this.#motion, this.#atMs),
      energised: d !== null,
      moving: playing || this.#motion.endMs > this.#atMs,
    };
  }

  /** A foot or hand on a plain sensor for so long; null: until released. */
  press(atMs: number, sensor: string, forMs: number | null): void {
    this.advanceTo(atMs);
    this.#sensing.press(sensor, forMs === null ? Infinity : atMs + forMs);
  }

  release(atMs: number, sensor: string): void {
    this.advanceTo(atMs);
    this.#sensing.release(sensor);
  }

  /** Moved by hand to a sensor or a share of its way; it stands there. */
  put(atMs: number, where: string | number): void {
    this.advanceTo(atMs);
    this.#go(standing(atMs, this.#placeOf(where)));
    if (this.#drive) this.#follow(atMs);
  }

  /**
   * Switches a fault on or off; off without a sensor: on all of them. A mishap happens at once. Trusts that the table
   * says it fits this prop; throws for a fault of a controller.
   */
  setFault(atMs: number, name: FaultName, on: boolean, sensor?: string, share?: number): void {
    this.advanceTo(atMs);
    const kind = faultKind(name);
    if (kind.of === 'controller')
      throw new Error(`${name} is a fault of a controller, not of ${this.prop.id}`);
    if (kind.of === 'mishap') {
      if (on) this.#rollOff(atMs);
      return;
    }
    const where = kind.of === 'sensor' ? (sensor ?? usualSensor(this.prop, this.track) ?? '') : '';
    if (on) this.#faults.set(`${name} ${where}`, { name, sensor: where, share: share ?? kind.share ?? 1 });
    else
      for (const [key, f] of this.#faults)
        if (f.name === name && (!sensor || f.sensor === where)) this.#faults.delete(key);
    this.#condition = this.#feel();
    if (this.#drive) this.#follow(atMs);
    else this.#passings = passings(this.#motion, this.#sensing.edges(this.#condition));
  }

  /** The faults that are on, in the order they came. */
  faults(): { name: FaultName; sensor: string; share: number }[] {
    return [...this.#faults.values()];
  }

  #feel(): Condition {
    const c = soundCondition();
    for (const { name, sensor, share } of this.#faults.values()) {
      const kind = faultKind(name);
      const plain = this.prop.sensors.get(sensor)?.kind === 'plain';
      if (kind.of === 'prop' || kind.of === 'sensor') kind.does(c, { sensor, plain, share });
    }
    return c;
  }

  /** Sets the motion anew from what drives it now and what is wrong with it. */
  #follow(atMs: number): void {
    const d = this.#drive!;
    const track = this.track;
    const mm = placeAt(this.#motion, atMs);
    const stopMm = d.back ? d.route.backMm! : d.route.stopMm;
    const reachMm = d.startMm + (d.route.goalMm - d.startMm) * this.#condition.reach;
    const bound = this.#condition.reach < 1 && !d.back ? reachMm : stopMm;
    const way = d.back ? Math.sign(stopMm - mm) : d.route.way;
    const speed = way * d.route.mmPerS * this.#rate(d);
    const goes = track !== null && speed !== 0 && way * (bound - mm) > 0;
    this.#go(goes ? driven(atMs, mm, speed, bound) : standing(atMs, mm));
  }

  #rollOff(atMs: number): void {
    const track = this.track;
    if (!track) return;
    const mm = placeAt(this.#motion, atMs);
    const way = mm < track.lengthMm / 2 ? 1 : -1;
    const here = track.marks.find((m) => mm >= m.fromMm && mm <= m.toMm);
    const edge = here ? (way > 0 ? here.toMm : here.fromMm) : mm;
    this.#go(driven(atMs, mm, way * STRAY_MM_PER_S, edge + way * STRAY_BLADES * track.bladeMm));
  }

  #rate(d: Drive): number {
    return d.quirk * this.#condition.speed;
  }

  #go(motion: Motion): void {
    this.#motion = motion;
    this.#passings = passings(motion, this.#sensing.edges(this.#condition));
  }

  #takeAir(atMs: number, move: Move): number {
    let share = 1;
    for (const { tank, litres } of move.air) {
      const working = this.#options.supply.workingKpa(tank);
      const kpa = this.#options.supply.draw(atMs, tank, litres);
      share = Math.min(share, airShare(Math.min(kpa, this.#condition.airShare * working), working));
    }
    return share;
  }

  #placeOf(where: string | number): number {
    const track = this.track;
    if (!track) return 0;
    if (typeof where === 'number') return where <= 0 ? centreOf(track.marks[0]!) : where * track.lengthMm;
    const mark = markOf(track, where);
    return mark ? centreOf(mark) : centreOf(track.marks[0]!);
  }
}

const NOWHERE: Route = { way: 0, mmPerS: 0, stopMm: 0, goalMm: 0, backMm: null };

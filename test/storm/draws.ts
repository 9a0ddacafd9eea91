import type { Move } from '../../server/yard/types.ts';
import { ATMOSPHERE_KPA, TrueTank } from './air.ts';
import type { Board } from './board.ts';
import type { Ledger, Told } from './ledger.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

const GRAIN = 1e-6;
/** What an order or an answer may be under way, for sums of many short movements. */
const WAY_MS = 400;
/** What a millisecond of filling more or less makes, and rounding. */
const GRAIN_KPA = 0.5;
const JUMP_MS = 1000;

/** What one computer, over all its starts, can know of what it has told. */
interface Own {
  /** Its clock over the world's. A start with a clock that is ahead makes it believe that long ago was longer ago. */
  axisMs: number;
  /** The tanks as they are by what it has told, reckoned by this storm's own tank. */
  readonly tanks: Map<string, TrueTank>;
  /** Movements that were really made on its word: prop → spans, the last one perhaps open. */
  readonly spans: Map<string, Span[]>;
}

interface Span {
  readonly from: number;
  to: number | null;
}

/** 18: what is commanded, and what is really drawn, against circuits, tanks and duty. */
export class Draws {
  readonly #r: Referee;
  readonly #own = new Map<string, Own>();
  /** The computer that each word of a start is of. */
  readonly #machines = new Map<string, string>();
  /** Spans that are still open, by prop. */
  readonly #open = new Map<string, Span>();
  /** Props that a person took out while they were silent and moving: they draw and nobody counts them. */
  readonly #uncounted = new Set<string>();

  constructor(referee: Referee) {
    this.#r = referee;
  }

  /** What a lost end of the record told is lost with it, and a clock that ran ahead makes all of it old. */
  started(p: Process, tailLost: boolean, before: Ledger | null): void {
    const axisMs = p.clock.now() - this.#r.world.now;
    const had = this.#own.get(p.machine.name);
    this.#machines.set(p.word, p.machine.name);
    const kept = had && !tailLost && axisMs - had.axisMs < JUMP_MS ? had : null;
    const own: Own = kept ?? { axisMs, tanks: new Map(), spans: new Map() };
    own.axisMs = axisMs;
    // what a start that has forgotten something believes of its tanks is not for us to say
    if (!had)
      for (const tank of p.machine.yard.tanks.values())
        own.tanks.set(tank.id, new TrueTank(this.#r.world, tank));
    this.#own.set(p.machine.name, own);
    this.#neverLeft(p, own, before);
  }

  /** It died between writing an order down and sending it: a draw is reckoned that nobody was told to make. */
  #neverLeft(p: Process, own: Own, before: Ledger | null): void {
    for (const [id, { flight }] of Object.entries(p.desk.show.props)) {
      const told = before?.told.get(id);
      if (!flight || (told?.run === flight.run && told.step === flight.step)) continue;
      for (const { tank } of p.machine.yard.props.get(id)?.moves.get(flight.move)?.air ?? []) {
        const reckoned = own.tanks.get(tank);
        if (reckoned) reckoned.disturbed = true;
      }
    }
  }

  uncount(prop: string): void {
    this.#uncounted.add(prop);
  }

  /** A second board of this name begins or ends: with two of them a new session no longer tells that outputs are off. */
  cloned(board: Board, by: 1 | -1): void {
    this.#clones += by;
    for (const prop of board.active.keys()) this.uncount(prop);
  }
  #clones = 0;

  /** At each order: the sum of all that was told and has not ended, a silent prop's move among it. */
  commanded(p: Process, ledger: Ledger, told: Told, what: string): void {
    this.#r.ask(18);
    const { yard } = p.machine;
    const { now } = this.#r.world;
    const mine = ledger.prop(told.prop).moves.get(told.move)!;
    this.#airTold(p, mine, what);
    for (const { circuit } of mine.loads) {
      const c = yard.circuits.get(circuit)!;
      let run = c.standingAmps;
      for (const tank of yard.tanks.values())
        if (tank.compressor.circuit === circuit) run += tank.compressor.amps;
      let peak = run;
      for (const other of ledger.told.values()) {
        const load = ledger
          .prop(other.prop)
          .moves.get(other.move)
          ?.loads.find((l) => l.circuit === circuit);
        if (!load) continue;
        run += load.runAmps;
        const from = other.countFrom ?? other.sentAt;
        peak += now < from + load.surgeMs ? load.surgeAmps : load.runAmps;
      }
      if (run > c.continuous * c.breakerAmps + GRAIN)
        this.#r.breach(
          18,
          `${what}: ${circuit} would carry ${run} A for long, above ${c.continuous * c.breakerAmps}`,
        );
      if (peak > c.breakerAmps + GRAIN)
        this.#r.breach(
          18,
          `${what}: ${circuit} would carry ${peak} A, above its breaker of ${c.breakerAmps}`,
        );
    }
  }

  /** 18: a tank never falls below its working pressure by what is told. */
  #airTold(p: Process, move: Move, what: string): void {
    for (const air of move.air) {
      const tank = this.#own.get(p.machine.name)?.tanks.get(air.tank);
      const kpa = tank?.draw(air.litres) ?? Number.POSITIVE_INFINITY;
      if (tank && kpa < tank.tank.workingKpa - GRAIN_KPA && !tank.disturbed)
        this.#r.breach(
          18,
          `${what}: ${air.tank} would fall to ${kpa.toFixed(1)} kPa, below ${tank.tank.workingKpa.toFixed(1)}`,
        );
    }
  }

  energised(board: Board, prop: string, move: Move, desk: string, moving: ReadonlySet<string>): void {
    this.#duty(board, prop, move, desk);
    this.#air(prop, move);
    this.#circuits(move, moving);
  }

  #circuits(move: Move, moving: ReadonlySet<string>): void {
    const { yard, boards } = this.#r.yardful;
    if (this.#uncounted.size > 0 || this.#clones > 0) return;
    for (const { circuit } of move.loads) {
      const c = yard.circuits.get(circuit);
      if (!c) continue;
      let run = c.standingAmps;
      for (const tank of yard.tanks.values())
        if (tank.compressor.circuit === circuit) run += tank.compressor.amps;
      for (const board of boards.values())
        for (const [id, a] of board.active) {
          if (!moving.has(id)) continue;
          const load = yard.props
            .get(id)
            ?.moves.get(a.move)
            ?.loads.find((l) => l.circuit === circuit);
          run += load?.runAmps ?? 0;
        }
      if (run > c.continuous * c.breakerAmps + GRAIN)
        this.#r.breach(18, `${circuit} really carries ${run} A, above ${c.continuous * c.breakerAmps} A`);
    }
  }

  #air(prop: string, move: Move): void {
    for (const air of move.air) {
      const tank = this.#r.yardful.tanks.get(air.tank)!;
      const kpa = tank.draw(air.litres);
      // orders are late now and then, and a compressor that nearly started differs from one that did: by one draw
      const late = (air.litres * ATMOSPHERE_KPA) / tank.tank.volumeLitres;
      if (kpa < tank.tank.workingKpa - late && !tank.disturbed)
        this.#r.breach(
          18,
          `${air.tank} fell to ${kpa.toFixed(1)} kPa when ${prop} drew, below ${tank.tank.workingKpa.toFixed(1)} by more than this draw`,
        );
    }
  }

  /** Duty is judged at a move's start by its expected time; what really moved before counts. */
  #duty(board: Board, prop: string, move: Move, desk: string): void {
    const { now } = this.#r.world;
    const p = board.bodies.get(prop)!.prop;
    const own = this.#own.get(this.#machines.get(desk) ?? '');
    if (!p.duty || !own) return;
    const spans = (own.spans.get(prop) ?? []).filter((s) => (s.to ?? now) > now - p.duty!.overMs);
    const end = now + move.usualMs;
    let moved = move.usualMs;
    let kept = 0;
    for (const s of spans) {
      const share = Math.min(s.to ?? now, end) - Math.max(s.from, end - p.duty.overMs);
      if (share > 0) kept += 1;
      moved += Math.max(0, share);
    }
    // measured medians stand for `usual` once there are some, and they may be shorter by what a prop is quicker
    const slack = WAY_MS * (kept + 1) + 0.1 * p.duty.on * p.duty.overMs;
    if (moved > p.duty.on * p.duty.overMs + slack)
      this.#r.breach(
        18,
        `${prop} moves ${Math.round(moved)} ms of ${p.duty.overMs}, more than its duty of ${p.duty.on}`,
      );
    const span: Span = { from: now, to: null };
    own.spans.set(prop, [...spans, span]);
    this.#open.set(prop, span);
  }

  released(prop: string): void {
    const last = this.#open.get(prop);
    if (last) last.to = this.#r.world.now;
    this.#open.delete(prop);
    this.#uncounted.delete(prop);
  }
}

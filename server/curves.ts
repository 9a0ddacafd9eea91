import type { Picture, RunFate } from './picture.ts';
import { standingAmps } from './plan/footprint.ts';
import type { PlanRun, TonightPlan } from './plan/tonight.ts';
import { advance, draw, fullTank, pressureKpa, type TankLevel } from './yard/air.ts';
import type { Tank, Yard } from './yard/types.ts';

const KPA_PER_PSI = 6.894757;
/** Points kept of what was, for each circuit and tank: many nights' worth of changes. */
const KEPT_POINTS = 20_000;
/** Pressure moves all the time; a step less than this is not drawn. */
const PSI_STEP = 0.5;

/** A curve: `at` in ms since 1970, ascending. Amps hold from one point to the next; psi runs straight between them. */
export interface AmpsCurve {
  at: number[];
  amps: number[];
}
export interface PsiCurve {
  at: number[];
  psi: number[];
}

export interface Curves {
  /** The night they belong to; null where no plan is drawn. */
  night: string | null;
  circuits: Record<string, { limitAmps: number; breakerAmps: number; planned: AmpsCurve; soFar: AmpsCurve }>;
  tanks: Record<string, { workingPsi: number; cutOutPsi: number; planned: PsiCurve; soFar: PsiCurve }>;
}

/**
 * Loads and pressures through the night: as the plan has it, and as the desk has reckoned them so far. Both loads are the
 * steady ones, without surges, as the circuit's limit judges them.
 */
export function curvesOf(yard: Yard, plan: TonightPlan | null, soFar: SoFar): Curves {
  const openMs = plan ? Date.parse(plan.open) : 0;
  const closeMs = plan ? Date.parse(plan.close) : 0;
  const runs = (plan?.runs ?? []).filter((run: PlanRun & Partial<RunFate>) => run.state !== 'skipped');
  const curves: Curves = {
    night: plan?.night ?? null,
    circuits: Object.create(null),
    tanks: Object.create(null),
  };
  for (const circuit of yard.circuits.values()) {
    curves.circuits[circuit.id] = {
      limitAmps: round(circuit.continuous * circuit.breakerAmps),
      breakerAmps: circuit.breakerAmps,
      planned: plan ? plannedAmps(yard, circuit.id, runs, openMs, closeMs) : { at: [], amps: [] },
      soFar: soFar.amps(circuit.id),
    };
  }
  for (const tank of yard.tanks.values()) {
    curves.tanks[tank.id] = {
      workingPsi: psi(tank.workingKpa),
      cutOutPsi: psi(tank.cutOutKpa),
      planned: plan ? plannedPsi(yard, tank, runs, openMs, closeMs) : { at: [], psi: [] },
      soFar: soFar.psi(tank.id),
    };
  }
  return curves;
}

/** Running current with what always draws and the compressors, as the planner counts it. */
function plannedAmps(
  yard: Yard,
  circuit: string,
  runs: readonly PlanRun[],
  openMs: number,
  closeMs: number,
): AmpsCurve {
  const rises: { at: number; amps: number }[] = [];
  for (const run of runs) {
    for (const step of run.steps) {
      for (const load of yard.props.get(step.prop)!.moves.get(step.move)!.loads) {
        if (load.circuit !== circuit) continue;
        rises.push({ at: openMs + Math.round(step.start * 1000), amps: load.runAmps });
        rises.push({ at: openMs + Math.round(step.end * 1000), amps: -load.runAmps });
      }
    }
  }
  rises.sort((a, b) => a.at - b.at);
  const curve: AmpsCurve = { at: [openMs], amps: [round(standingAmps(yard, circuit))] };
  let amps = standingAmps(yard, circuit);
  for (const [n, rise] of rises.entries()) {
    amps += rise.amps;
    // What ends and what begins at one instant are one step.
    if (rises[n + 1]?.at === rise.at) continue;
    put(curve.at, curve.amps, rise.at, round(amps));
  }
  put(curve.at, curve.amps, Math.max(closeMs, curve.at.at(-1)!), curve.amps.at(-1)!);
  return curve;
}

/** Pressure with every planned draw, the tank full at open. */
function plannedPsi(
  yard: Yard,
  tank: Tank,
  runs: readonly PlanRun[],
  openMs: number,
  closeMs: number,
): PsiCurve {
  const draws = runs.flatMap((run) =>
    run.steps.flatMap((step) =>
      yard.props
        .get(step.prop)!
        .moves.get(step.move)!
        .air.filter((air) => air.tank === tank.id)
        .map((air) => ({ at: openMs + Math.round(step.start * 1000), litres: air.litres })),
    ),
  );
  draws.sort((a, b) => a.at - b.at);
  const curve: PsiCurve = { at: [], psi: [] };
  let level = fullTank(tank, openMs);
  const point = (of: TankLevel): void => put(curve.at, curve.psi, of.atMs, psi(pressureKpa(tank, of.litres)));
  point(level);
  const fillTo = (at: number): void => {
    const full = fullAt(tank, level);
    if (full !== null && full < at) {
      level = advance(tank, level, full);
      point(level);
    }
    level = advance(tank, level, at);
    point(level);
  };
  for (const { at, litres } of draws) {
    fillTo(at);
    level = draw(tank, level, litres);
    point(level);
  }
  fillTo(Math.max(closeMs, level.atMs));
  return curve;
}

/** When the running compressor has filled the tank, ms; null while it stands still. */
function fullAt(tank: Tank, level: TankLevel): number | null {
  if (!level.pumping) return null;
  const missing = fullTank(tank, 0).litres - level.litres;
  return Math.ceil(level.atMs + (missing / tank.deliveryLpm) * 60_000);
}

/** What was so far, as it goes from one thread to another. */
export interface CurvesTold {
  readonly night: string | null;
  readonly amps: Readonly<Record<string, AmpsCurve>>;
  readonly psi: Readonly<Record<string, PsiCurve>>;
}

/** What a picture tells of the loads. */
type Loads = Pick<Picture, 'at'> & {
  readonly night: { readonly date: string } | null;
  readonly circuits: Readonly<Record<string, { readonly amps: number }>>;
  readonly tanks: Readonly<Record<string, { readonly psi: number }>>;
};

/**
 * What the desk has reckoned so far tonight, taken from the pictures it draws, which follow every change. What was before
 * a restart is folded from the record and put before it.
 */
export class SoFar {
  #night: string | null = null;
  readonly #amps = new Map<string, AmpsCurve>();
  readonly #psi = new Map<string, PsiCurve>();

  note({ at, night, circuits, tanks }: Loads): void {
    const date = night?.date ?? null;
    if (date !== this.#night) {
      this.#amps.clear();
      this.#psi.clear();
      this.#night = date;
    }
    if (date === null) return;
    for (const [id, { amps }] of Object.entries(circuits)) {
      const curve = kept(this.#amps, id, { at: [], amps: [] });
      if (curve.amps.at(-1) !== amps) add(curve.at, curve.amps, at, amps);
    }
    for (const [id, { psi: now }] of Object.entries(tanks)) {
      const curve = kept(this.#psi, id, { at: [], psi: [] });
      const last = curve.psi.at(-1);
      if (last === undefined || Math.abs(now - last) >= PSI_STEP) add(curve.at, curve.psi, at, now);
    }
  }

  told(): CurvesTold {
    return { night: this.#night, amps: Object.fromEntries(this.#amps), psi: Object.fromEntries(this.#psi) };
  }

  /** Puts what was before in front, as far as it is of the same night and older than what is there. */
  before(told: CurvesTold): void {
    if (told.night === null || (this.#night !== null && this.#night !== told.night)) return;
    this.#night = told.night;
    for (const [id, was] of Object.entries(told.amps)) {
      const now = kept(this.#amps, id, { at: [], amps: [] });
      addBefore(now.at, now.amps, was.at, was.amps);
    }
    for (const [id, was] of Object.entries(told.psi)) {
      const now = kept(this.#psi, id, { at: [], psi: [] });
      addBefore(now.at, now.psi, was.at, was.psi);
    }
  }

  amps(circuit: string): AmpsCurve {
    return this.#amps.get(circuit) ?? { at: [], amps: [] };
  }

  psi(tank: string): PsiCurve {
    return this.#psi.get(tank) ?? { at: [], psi: [] };
  }
}

function kept<T>(curves: Map<string, T>, id: string, fresh: T): T {
  const found = curves.get(id) ?? fresh;
  curves.set(id, found);
  return found;
}

/** What lies before the first instant that is there; all of it where none is. */
function addBefore(
  ats: number[],
  values: number[],
  wasAts: readonly number[],
  wasValues: readonly number[],
): void {
  const first = ats[0];
  const over = first === undefined ? -1 : wasAts.findIndex((at) => at >= first);
  const n = over === -1 ? wasAts.length : over;
  ats.unshift(...wasAts.slice(0, n));
  values.unshift(...wasValues.slice(0, n));
}

/** The newest last; a clock that was set back begins the curve anew, and the oldest half goes where it is full. */
function add(ats: number[], values: number[], at: number, value: number): void {
  if (at < (ats.at(-1) ?? at)) {
    ats.length = 0;
    values.length = 0;
  }
  if (ats.length >= KEPT_POINTS) {
    ats.splice(0, KEPT_POINTS / 2);
    values.splice(0, KEPT_POINTS / 2);
  }
  put(ats, values, at, value);
}

function put(ats: number[], values: number[], at: number, value: number): void {
  ats.push(at);
  values.push(value);
}

const round = (x: number): number => Math.round(x * 100) / 100;
const psi = (kpa: number): number => round(kpa / KPA_PER_PSI);

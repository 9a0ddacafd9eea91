import { type Expects, expectedMs, type TimedMove, type Timeline, timelineOf } from '../yard/timeline.ts';
import type { Need, Scene, Tank, Yard } from '../yard/types.ts';
import { Footprints } from './footprint.ts';
import type { BindingRule, NightTimes } from './tonight.ts';

/**
 * Tonight as numbers: whole milliseconds from `open`, whole microamps, scenes and rules by index.
 * Every scene carries its footprint on each rule, as offsets from its own start, so that a run is a scene and a time.
 */
export interface Problem {
  /** Open to close. */
  readonly windowMs: number;
  readonly scenes: readonly PlanScene[];
  readonly shared: readonly SharedRule[];
  readonly duties: readonly DutyRule[];
  readonly tanks: readonly Tank[];
  /** Props whose position or rest the needs of another run ask about. */
  readonly watched: readonly WatchedProp[];
}

/** A rule that sums what runs take at each moment: a circuit (µA), a zone or a prop (runs). */
export interface SharedRule {
  readonly rule: BindingRule;
  readonly id: string;
  readonly room: number;
  /** How long beyond the night's end a run may still fill it: a zone's gap, a prop's rest. */
  readonly tailMs: number;
}

export interface DutyRule {
  readonly prop: string;
  readonly onMs: number;
  readonly overMs: number;
}

export interface WatchedProp {
  readonly prop: string;
  /** The sensor that is made at open: its home. */
  readonly home: string | null;
}

export interface PlanScene {
  readonly index: number;
  readonly id: string;
  readonly lengthMs: number;
  /** 0 where the scene has no aim. */
  readonly everyMs: number;
  readonly vary: number;
  readonly weight: number;
  /** Latest start that ends by close with its loud moves ended by quiet; below 0 if there is none. */
  readonly lastMs: number;
  /** The latest start that close alone allows. */
  readonly lastByCloseMs: number;
  readonly wanted: number;
  /** From a start to its own next: its length and rest, or the rest of a prop that only it uses. */
  readonly spacingMs: number;
  readonly spacingRule: { readonly rule: BindingRule; readonly id: string };
  readonly uses: readonly Use[];
  readonly duties: readonly { readonly duty: number; readonly from: number[]; readonly to: number[] }[];
  readonly draws: readonly { readonly tank: number; readonly at: number[]; readonly litres: number[] }[];
  readonly stands: readonly Stand[];
  readonly moves: readonly TimedMove[];
  /** Its own needs contradict each other: it can never run. */
  readonly never: boolean;
}

/** What one run takes of a shared rule: pieces of constant amount, in order. */
export interface Use {
  readonly shared: number;
  readonly from: number[];
  readonly to: number[];
  readonly amount: number[];
}

/** What a run has to do with one watched prop: what it asks of it, and its own moves of it. */
export interface Stand {
  readonly watched: number;
  readonly asks: readonly Ask[];
  readonly travel: Travel | null;
}

/** What a move of the scene asks of a watched prop from `from` to `to`. */
export interface Ask {
  readonly from: number;
  readonly to: number;
  readonly kind: Need['kind'];
  /** The sensor that must or must not be made; null where only rest is asked. */
  readonly sensor: string | null;
}

/** A scene's own moves of a watched prop, in order, and the end sensor each makes. */
export interface Travel {
  readonly from: readonly number[];
  readonly to: readonly number[];
  readonly makes: readonly (string | null)[];
}

/** Durations in whole ms: those measured, and those of the file that are not whole. */
export function wholeExpects(yard: Yard, expects: Expects): Record<string, number> {
  const whole: Record<string, number> = Object.create(null);
  for (const prop of yard.props.values())
    for (const move of prop.moves.values())
      if (move.lastsMs === null)
        whole[`${prop.id}.${move.id}`] = Math.max(1, Math.round(expectedMs(yard, prop.id, move.id, expects)));
  return whole;
}

/** Wanted runs: floor((last − open) / every) + 1, none if last lies before open. */
export function wantedRuns(lastMs: number, everyMs: number): number {
  return lastMs < 0 || everyMs <= 0 ? 0 : Math.floor(lastMs / everyMs) + 1;
}

/** Runs wanted of all scenes together. */
export function totalWanted(problem: Problem): number {
  return problem.scenes.reduce((sum, s) => sum + s.wanted, 0);
}

/** What they are worth, by weight. */
export function worthWanted(problem: Problem): number {
  return problem.scenes.reduce((sum, s) => sum + s.weight * s.wanted, 0);
}

/** What a run takes of a shared rule in all: amounts × ms. */
export function takenBy({ from, to, amount }: Use): number {
  return amount.reduce((sum, a, k) => sum + a * (to[k]! - from[k]!), 0);
}

/** The greatest share that a run takes of any rule's room at any moment. */
export function sizeOf(problem: Problem, scene: PlanScene): number {
  let most = 0;
  for (const use of scene.uses)
    for (const amount of use.amount) most = Math.max(most, amount / problem.shared[use.shared]!.room);
  return Math.min(1, most);
}

/** A scene with its moves as they are expected, or, of a run under way, as they really fall. */
export interface Cast {
  readonly scene: Scene;
  readonly moves: readonly TimedMove[];
  readonly lengthMs: number;
}

/**
 * The problem of tonight's plan: all scenes with `every`, by expected times.
 * @param expects measured durations, ms by `prop.move`
 */
export function problemOf(yard: Yard, night: NightTimes, expects: Expects = {}): Problem {
  const aimed = [...yard.scenes.values()].filter((scene) => scene.everyMs !== null);
  return castProblem(yard, night, castsOf(yard, aimed, expects));
}

export function castsOf(yard: Yard, scenes: readonly Scene[], expects: Expects): Cast[] {
  const durations = wholeExpects(yard, expects);
  return scenes.map((scene) => ({ scene, ...wholeTimeline(yard, scene, durations) }));
}

export function castProblem(yard: Yard, night: NightTimes, casts: readonly Cast[]): Problem {
  const windowMs = Math.floor(night.closeMs - night.openMs);
  const quietMs = night.quietMs === null ? Infinity : Math.floor(night.quietMs - night.openMs);
  const prints = new Footprints(
    yard,
    casts.map((cast) => cast.scene),
  );
  // All needs first: they say which props are watched, and with that whose moves matter to others.
  const needs = casts.map(({ scene, moves }) => prints.asks(scene, moves));
  const scenes = casts.map(({ scene, moves, lengthMs }, index): PlanScene => {
    const everyMs = scene.everyMs ?? 0;
    const loudEndMs = moves.reduce((end, m) => (isLoud(yard, m) ? Math.max(end, m.endMs) : end), 0);
    const lastByCloseMs = windowMs - lengthMs;
    const lastMs = loudEndMs > 0 ? Math.min(lastByCloseMs, quietMs - loudEndMs) : lastByCloseMs;
    return {
      index,
      id: scene.id,
      lengthMs,
      everyMs,
      vary: scene.vary,
      weight: scene.weight,
      lastMs,
      lastByCloseMs,
      wanted: wantedRuns(lastMs, everyMs),
      ...prints.spacing(scene, lengthMs),
      uses: prints.uses(scene, moves, lengthMs),
      duties: prints.moving(moves),
      draws: prints.draws(moves),
      stands: prints.stands(moves, needs[index]!.asks),
      moves,
      never: needs[index]!.never,
    };
  });
  return { windowMs, scenes, ...prints.rules() };
}

/** Each edge is rounded by itself, so that a step still starts where the one before it ends. */
function wholeTimeline(yard: Yard, scene: Scene, durations: Expects): Timeline {
  const { moves, lengthMs } = timelineOf(yard, scene, durations);
  return {
    moves: moves.map((m) => ({ ...m, startMs: Math.round(m.startMs), endMs: Math.round(m.endMs) })),
    lengthMs: Math.round(lengthMs),
  };
}

function isLoud(yard: Yard, m: TimedMove): boolean {
  return yard.props.get(m.prop)!.moves.get(m.move)!.loud;
}

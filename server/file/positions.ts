import { expectedMs } from '../yard/timeline.ts';
import type { Need, Prop, Scene, Yard } from '../yard/types.ts';
import { isEnd, sensorOf } from './check-moves.ts';
import { writeNeed } from './names.ts';

/**
 * Where props can stand when a scene begins, and whether its needs can hold along its steps, from the file alone.
 *
 * A prop stands at one of its `end` sensors or between them. Sets of such spots are followed through the steps:
 * an `until` move leads to its end, a timed move of a prop with ends may lead anywhere, and a need narrows what can
 * be. Between scenes a prop stands at home or wherever a scene that can run may leave it. The sets are never smaller
 * than what can happen in a night without faults, so what they rule out can never run. Plain sensors are people and
 * weather: they can be anything at any time.
 */

/** An end sensor, or null for between the ends. */
type Spot = string | null;
type Spots = ReadonlySet<Spot>;

export interface Trouble {
  /** Index of the step, and within `together` of the move; null where the step is one move. */
  readonly step: number;
  readonly together: number | null;
  readonly prop: string;
  readonly move: string;
  readonly need: Need;
  /** Ends a sentence: 'and `ferry` is at `near` then'. */
  readonly why: string;
}

interface Passage {
  readonly troubles: readonly Trouble[];
  /** A move to an end at which the prop already stands. */
  readonly idle: readonly { step: number; together: number | null; prop: string; move: string }[];
  /** Where the props of the scene stand at its end. */
  readonly after: ReadonlyMap<string, Spots>;
  /** Every spot that they pass on the way, between the ends included. */
  readonly during: ReadonlyMap<string, Spots>;
}

/** What the rest of the yard can do meanwhile, as one scene sees it. */
type Elsewhere = (prop: Prop) => Spots;

export interface Judged {
  readonly scene: Scene;
  readonly troubles: readonly Trouble[];
  readonly idle: Passage['idle'];
  /** Props that it leaves at an end other than their home, and that no scene brings home again. */
  readonly astray: readonly { readonly prop: string; readonly at: string }[];
}

/**
 * Judges every scene given. A prop that is not `known` has errors, or a scene that has: nothing is assumed about where
 * it stands between scenes, and only what contradicts itself within a scene is found.
 */
export function judgeScenes(
  yard: Yard,
  scenes: readonly Scene[],
  known: (prop: string) => boolean,
): Judged[] {
  const rest = new Map<string, Spots>();
  for (const prop of yard.props.values())
    rest.set(prop.id, known(prop.id) ? atFirst(prop) : everywhere(prop));
  const passages = new Map<Scene, Passage>();
  const users = usersOf(scenes);

  const elsewhere =
    (scene: Scene): Elsewhere =>
    (prop) => {
      if (!known(prop.id)) return everywhere(prop);
      const spots = new Set(rest.get(prop.id));
      for (const other of users.get(prop.id) ?? []) {
        const passage = passages.get(other);
        if (!passage || passage.troubles.length > 0 || other.props.some((p) => scene.props.includes(p)))
          continue;
        for (const spot of passage.during.get(prop.id) ?? []) spots.add(spot);
      }
      return spots;
    };

  // Only ever more becomes possible from round to round, and there is an end to it.
  for (let grew = true; grew; ) {
    grew = false;
    for (const scene of scenes) {
      const before = passages.get(scene);
      const passage = pass(yard, scene, rest, elsewhere(scene));
      passages.set(scene, passage);
      if (!before || before.troubles.length !== passage.troubles.length) grew = true;
      if (passage.troubles.length > 0) continue;
      for (const [prop, spots] of leftBehind(yard, scene, passage)) {
        const all = new Set([...rest.get(prop)!, ...spots]);
        if (all.size > rest.get(prop)!.size) grew = true;
        rest.set(prop, all);
      }
      if (before && sizeOf(passage.during) > sizeOf(before.during)) grew = true;
    }
  }
  return scenes.map((scene) => ({
    scene,
    troubles: passages.get(scene)!.troubles,
    idle: passages.get(scene)!.idle,
    astray: astrayAfter(users, yard, scene, passages.get(scene)!),
  }));
}

function usersOf(scenes: Iterable<Scene>): ReadonlyMap<string, readonly Scene[]> {
  const users = new Map<string, Scene[]>();
  for (const scene of scenes) {
    for (const prop of scene.props) {
      const its = users.get(prop) ?? [];
      its.push(scene);
      users.set(prop, its);
    }
  }
  return users;
}

function astrayAfter(
  users: ReadonlyMap<string, readonly Scene[]>,
  yard: Yard,
  scene: Scene,
  passage: Passage,
): Judged['astray'] {
  return [...passage.after].flatMap(([id, spots]) => {
    const { home } = yard.props.get(id)!;
    const [at] = spots;
    if (spots.size !== 1 || home === null || typeof at !== 'string' || at === home) return [];
    const brought = users.get(id)!.some((s) => s !== scene);
    return brought ? [] : [{ prop: id, at }];
  });
}

function sizeOf(spots: ReadonlyMap<string, Spots>): number {
  let size = 0;
  for (const s of spots.values()) size += s.size;
  return size;
}

function ends(prop: Prop): string[] {
  return [...prop.sensors.values()].filter((s) => s.kind === 'end').map((s) => s.id);
}

function everywhere(prop: Prop): Spots {
  return new Set<Spot>([...ends(prop), null]);
}

/** Homed before anything runs; a prop without a home is where it was left. */
function atFirst(prop: Prop): Spots {
  return prop.home !== null && isEnd(prop, prop.home) ? new Set([prop.home]) : everywhere(prop);
}

/** Where a scene may leave its props: at its end, or tidied after a failure. */
function leftBehind(yard: Yard, scene: Scene, passage: Passage): [string, Spots][] {
  const tidied = scene.ifItFails.flatMap((m): [string, Spots][] => {
    const prop = yard.props.get(m.prop)!;
    return [[m.prop, afterMove(prop, m.move)]];
  });
  return [...passage.after, ...tidied];
}

function afterMove(prop: Prop, move: string): Spots {
  const until = prop.moves.get(move)?.until ?? null;
  return until !== null && isEnd(prop, until) ? new Set([until]) : everywhere(prop);
}

function pass(yard: Yard, scene: Scene, rest: ReadonlyMap<string, Spots>, elsewhere: Elsewhere): Passage {
  const at = new Map<string, Spots>();
  const during = new Map<string, Set<Spot>>();
  for (const id of scene.props) {
    at.set(id, rest.get(id)!);
    during.set(id, new Set(rest.get(id)));
  }
  const troubles: Trouble[] = [];
  const idle: Passage['idle'][number][] = [];
  scene.steps.forEach((step, i) => {
    if (step.kind === 'wait') return;
    const moves = step.kind === 'move' ? [step] : step.moves;
    moves.forEach((m, j) => {
      const here = { step: i, together: step.kind === 'move' ? null : j, prop: m.prop, move: m.move };
      for (const need of yard.props.get(m.prop)!.moves.get(m.move)!.needs) {
        const why = whyNot(yard, need, m, moves, at, elsewhere);
        if (why !== null) troubles.push({ ...here, need, why });
      }
      const [to] = afterMove(yard.props.get(m.prop)!, m.move);
      const from = at.get(m.prop)!;
      if (typeof to === 'string' && from.size === 1 && from.has(to) && isTravel(yard, m)) idle.push(here);
    });
    for (const m of moves) {
      const prop = yard.props.get(m.prop)!;
      if (ends(prop).length === 0) continue;
      const to = afterMove(prop, m.move);
      at.set(m.prop, to);
      for (const spot of [...to, null]) during.get(m.prop)!.add(spot);
    }
  });
  return { troubles, idle, after: at, during };
}

function isTravel(yard: Yard, m: { prop: string; move: string }): boolean {
  return yard.props.get(m.prop)?.moves.get(m.move)?.until !== null;
}

/** Why a need can't hold through a move at that step; null where it can. Narrows `at` to where it does. */
function whyNot(
  yard: Yard,
  need: Need,
  mover: { prop: string; move: string },
  moves: readonly { prop: string; move: string }[],
  at: Map<string, Spots>,
  elsewhere: Elsewhere,
): string | null {
  // What a move asks of its own prop is judged with the move itself; where it starts from, here.
  const other = moves.find((m) => m.prop === need.prop && m.prop !== mover.prop);
  const prop = yard.props.get(need.prop)!;
  if (other && (need.kind === 'at-rest' || need.kind === 'at-home')) {
    return `and \`${need.prop}\` moves at the same time.`;
  }
  const sensor = sensorOf(prop, need);
  if (sensor === null || !isEnd(prop, sensor)) return null;
  const made = need.kind !== 'not-made';
  const held = at.get(need.prop);
  if (other) return whyNotMeanwhile(yard, need, sensor, made, mover, other, held!);

  const spots = held ?? elsewhere(prop);
  const fit = new Set([...spots].filter((s) => (s === sensor) === made));
  if (fit.size === 0) return whyNowhere(prop, sensor, made, spots, held !== undefined);
  if (held) at.set(need.prop, fit);
  return null;
}

/** The same while the needed prop moves in the same step. */
function whyNotMeanwhile(
  yard: Yard,
  need: Need,
  sensor: string,
  made: boolean,
  mover: { prop: string; move: string },
  other: { prop: string; move: string },
  spots: Spots,
): string | null {
  const prop = yard.props.get(need.prop)!;
  const until = prop.moves.get(other.move)?.until ?? null;
  if (until === null || !isEnd(prop, until)) return null;
  if (made) return `and \`${other.prop}.${other.move}\` is under way at the same time.`;
  if (sensor !== until) {
    return spots.size === 1 && spots.has(sensor)
      ? `and \`${need.prop}\` only leaves \`${sensor}\` at the same time.`
      : null;
  }
  const [length, arrival] = [
    expectedMs(yard, mover.prop, mover.move),
    expectedMs(yard, other.prop, other.move),
  ];
  return length > arrival
    ? `and \`${other.prop}.${other.move}\` arrives there before \`${mover.prop}.${mover.move}\` has ended.`
    : null;
}

function whyNowhere(prop: Prop, sensor: string, made: boolean, spots: Spots, held: boolean): string {
  const there = [...spots].filter((s) => s !== null);
  if (!made) return `and \`${prop.id}\` is always at \`${sensor}\` then.`;
  const bring = [...prop.moves.values()].find((m) => m.until === sensor);
  const hint = bring
    ? ` Bring it there first, as with \`${prop.id}.${bring.id}\`.`
    : ` No move of \`${prop.id}\` is \`until: ${sensor}\`.`;
  if (held && there.length === 1) return `and \`${prop.id}\` is at \`${there[0]}\` then.${hint}`;
  if (held) return `and \`${prop.id}\` is never there then.${hint}`;
  return `and nothing brings \`${prop.id}\` to \`${sensor}\` while this scene could run.${hint}`;
}

/** 'it needs `ferry.far`, and `ferry` is at `near` then. …' */
export function tellTrouble(trouble: Trouble): string {
  return `\`${trouble.prop}.${trouble.move}\` needs \`${writeNeed(trouble.need)}\`, ${trouble.why}`;
}

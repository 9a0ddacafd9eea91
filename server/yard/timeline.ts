import type { Move, Scene, Yard } from './types.ts';

/** One move of a scene at its expected time, ms from the scene's start. */
export interface TimedMove {
  /** Numbers the scene's moves from 0 in the order of the file; waits have no number. */
  readonly step: number;
  readonly prop: string;
  readonly move: string;
  readonly startMs: number;
  readonly endMs: number;
}

export interface Timeline {
  readonly moves: readonly TimedMove[];
  readonly lengthMs: number;
}

/** Measured travel times by `prop.move`, ms; what is not in it goes by the file. */
export type Expects = Readonly<Record<string, number>>;

export const NO_EXPECTS: Expects = Object.freeze({});

export function moveOf(yard: Yard, prop: string, move: string): Move {
  const found = yard.props.get(prop)?.moves.get(move);
  if (!found) throw new Error(`no move ${prop}.${move} in the yard`);
  return found;
}

/** Expected length of a move in ms: `lasts`, the measured median once there is one, else `usual`. */
export function expectedMs(yard: Yard, prop: string, move: string, expects: Expects = NO_EXPECTS): number {
  const m = moveOf(yard, prop, move);
  if (m.lastsMs !== null) return m.lastsMs;
  const key = `${prop}.${move}`;
  return Object.hasOwn(expects, key) ? expects[key]! : m.usualMs;
}

/** When each move of a scene starts and ends if all goes as expected, and how long the scene takes. */
export function timelineOf(yard: Yard, scene: Scene, expects: Expects = NO_EXPECTS): Timeline {
  const moves: TimedMove[] = [];
  let at = 0;
  let step = 0;
  for (const s of scene.steps) {
    if (s.kind === 'wait') {
      at += s.ms;
      continue;
    }
    let longest = 0;
    for (const m of s.kind === 'move' ? [s] : s.moves) {
      const takes = expectedMs(yard, m.prop, m.move, expects);
      moves.push({ step, prop: m.prop, move: m.move, startMs: at, endMs: at + takes });
      longest = Math.max(longest, takes);
      step += 1;
    }
    at += longest;
  }
  return { moves, lengthMs: at };
}

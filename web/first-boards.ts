import type { StrangerBoard } from '../server/bus/strangers.ts';
import { type Answers, type MoveAnswer, type PropAnswer, titled } from './first-answers.ts';

/*
 * What the boards on the bus say, taken as answers: the ends that a carriage has shown, and the props as they are proposed.
 */

/** What a prop's sensors have been seen to say while somebody moved it by hand. */
export interface Taught {
  /** Sensors seen made, in the order in which they first were. */
  readonly made: readonly string[];
  /** Those that were also seen not made. */
  readonly left: readonly string[];
  /** Those that were made at the same time as another. */
  readonly together: readonly string[];
}

const NOTHING_TAUGHT: Taught = { made: [], left: [], together: [] };

/** What has been seen so far, and what the boards say now. */
export function teach(
  before: ReadonlyMap<string, Taught>,
  boards: readonly StrangerBoard[],
): ReadonlyMap<string, Taught> {
  const after = new Map(before);
  for (const { id, sensors } of boards.flatMap(({ props }) => props)) {
    const seen = after.get(id) ?? NOTHING_TAUGHT;
    const made = sensors.filter((s) => s.made === true).map((s) => s.id);
    const left = sensors.filter((s) => s.made === false && seen.made.includes(s.id)).map((s) => s.id);
    after.set(id, {
      made: union(seen.made, made),
      left: union(seen.left, left),
      together: made.length > 1 ? union(seen.together, made) : seen.together,
    });
  }
  return after;
}

const union = (a: readonly string[], b: readonly string[]): readonly string[] => [...new Set([...a, ...b])];

/** Ends of a carriage: two sensors or more that were each seen made, and never two of them at once. */
export function endsOf(taught: Taught | undefined): readonly string[] {
  const ends = (taught?.made ?? []).filter((id) => !taught!.together.includes(id));
  return ends.length > 1 ? ends : [];
}

/** A prop of a board as it is proposed; a person changes what is not so. */
export function proposedProp(
  board: string,
  prop: { id: string; sensors: readonly { id: string }[] },
  taught: Taught | undefined,
): PropAnswer {
  const ends = endsOf(taught);
  const station = prop.sensors.length === 1 && prop.sensors[0]!.id === 'button';
  const home = ends[0] ?? null;
  return {
    id: prop.id,
    board,
    title: titled(prop.id),
    wanted: true,
    kind: station ? 'stop-station' : 'prop',
    sensors: prop.sensors.map(({ id }) => ({ id, kind: ends.includes(id) ? 'end' : 'plain' })),
    home,
    moves: station ? [] : proposedMoves(ends, prop.sensors.length),
    touched: false,
    planned: false,
  };
}

function proposedMoves(ends: readonly string[], sensors: number): MoveAnswer[] {
  const move = { seconds: 7, limit: null, circuit: 0, amps: 1 };
  if (ends.length > 1)
    return [
      { ...move, name: 'out', until: ends[1]! },
      { ...move, name: 'back', until: ends[0]! },
    ];
  // what only has a mat or a button has nothing that moves
  return sensors > 0 ? [] : [{ ...move, name: 'run', until: null, seconds: 10 }];
}

/** Answers joined by what the boards say: a new prop is proposed, one with another sensor gets it; nothing typed is lost. */
export function joined(
  answers: Answers,
  boards: readonly StrangerBoard[],
  taught: ReadonlyMap<string, Taught>,
): Answers {
  const props = [...answers.props];
  for (const board of boards) {
    for (const prop of board.props) {
      const at = props.findIndex(({ id }) => id === prop.id);
      const seen = taught.get(prop.id);
      if (at < 0) props.push(proposedProp(board.id, prop, seen));
      else props[at] = withSensors(onBoard(props[at]!, board.id), prop, seen);
    }
  }
  const same = props.length === answers.props.length && props.every((p, n) => p === answers.props[n]);
  return same ? answers : { ...answers, props };
}

/** What was planned by hand hangs on the board that speaks for it, whatever was guessed. */
function onBoard(answer: PropAnswer, board: string): PropAnswer {
  return answer.planned && answer.board !== board ? { ...answer, board } : answer;
}

/** A sensor that was not known, or its second end just found. What a person has changed is left, but for its ends. */
function withSensors(
  answer: PropAnswer,
  prop: { id: string; sensors: readonly { id: string }[] },
  taught: Taught | undefined,
): PropAnswer {
  const unknown = prop.sensors.filter(({ id }) => !answer.sensors.some((s) => s.id === id));
  const ends = endsOf(taught);
  const learned = ends.length > 1 && !answer.sensors.some(({ kind }) => kind === 'end');
  if (unknown.length === 0 && !learned) return answer;
  if (!answer.touched) return proposedProp(answer.board, prop, taught);
  if (!learned)
    return {
      ...answer,
      sensors: [...answer.sensors, ...unknown.map(({ id }) => ({ id, kind: 'plain' as const }))],
    };
  const fresh = proposedProp(answer.board, prop, taught);
  return {
    ...answer,
    sensors: fresh.sensors,
    home: fresh.home,
    moves: answer.moves.length === 0 ? fresh.moves : answer.moves,
  };
}

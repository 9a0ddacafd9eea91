import { type Answers, type MoveAnswer, type PropAnswer, unnamed } from './first-answers.ts';
import { idOf } from './first-file.ts';

/*
 * Props put into a first file by hand, before their boards exist: what is asked of a board that is heard is typed here.
 * Once a board speaks for such a prop, it is the same prop (first-boards.ts), and what the board says goes.
 */

/** What can be added by hand: what moves between two ends or by the clock, what guests set off, a red button. */
export const SHAPES = ['carriage', 'figure', 'mat', 'station'] as const;
export type Shape = (typeof SHAPES)[number];

const MOVE: Omit<MoveAnswer, 'name' | 'until'> = { seconds: 7, limit: null, circuit: 0, amps: 1 };

const PARTS: Record<Shape, Pick<PropAnswer, 'sensors' | 'home' | 'moves'>> = {
  carriage: {
    sensors: [
      { id: 'near', kind: 'end' },
      { id: 'far', kind: 'end' },
    ],
    home: 'near',
    moves: [
      { ...MOVE, name: 'out', until: 'far' },
      { ...MOVE, name: 'back', until: 'near' },
    ],
  },
  figure: { sensors: [], home: null, moves: [{ ...MOVE, name: 'run', until: null, seconds: 10 }] },
  mat: { sensors: [{ id: 'step', kind: 'plain' }], home: null, moves: [] },
  // the contact of a red button bears this very name in every yard file
  station: { sensors: [{ id: 'button', kind: 'plain' }], home: null, moves: [] },
};

/** One that has no name yet. */
export function plannedProp(shape: Shape): PropAnswer {
  return {
    ...PARTS[shape],
    id: '',
    board: '',
    title: '',
    wanted: true,
    kind: shape === 'station' ? 'stop-station' : 'prop',
    touched: true,
    planned: true,
  };
}

/** With the id that its title gives it, as long as it has none. Called once a title is whole, not at each letter. */
export function identified(prop: PropAnswer, others: readonly string[]): PropAnswer {
  if (prop.id !== '') return prop;
  const wanted = idOf(prop.title, '');
  let id = wanted;
  for (let n = 2; others.includes(id); n++) id = `${wanted.slice(0, 36)}-${n}`;
  return withId(prop, id);
}

/** Under another id. A board that was not named otherwise bears the id of its one prop. */
export function withId(prop: PropAnswer, id: string): PropAnswer {
  return { ...prop, id, board: prop.board === prop.id ? id : prop.board };
}

/**
 * With another name of one sensor, in its moves and as its home too; null where another has that name. One of `heard`
 * may have it: then the two are one, which a board calls otherwise than was planned.
 */
export function withSensorNamed(
  prop: PropAnswer,
  which: number,
  id: string,
  heard: readonly string[],
): PropAnswer | null {
  const before = prop.sensors[which]!;
  const twin = prop.sensors.find((sensor) => sensor !== before && sensor.id === id);
  if (twin && !heard.includes(id)) return null;
  const renamed = (one: string | null) => (one === before.id ? id : one);
  return {
    ...prop,
    sensors: prop.sensors.filter((s) => s !== twin).map((s) => (s === before ? { ...s, id } : s)),
    home: renamed(prop.home),
    moves: prop.moves.map((move) => ({ ...move, until: renamed(move.until) })),
  };
}

export function withOneSensorMore(prop: PropAnswer): PropAnswer {
  const ids = prop.sensors.map(({ id }) => id);
  return { ...prop, sensors: [...prop.sensors, { id: unnamed('sensor', ids), kind: 'plain' }] };
}

/** Without one sensor: what ended at it ends by the clock. */
export function withoutSensor(prop: PropAnswer, which: number): PropAnswer {
  const gone = prop.sensors[which]!.id;
  const sensors = prop.sensors.filter((_, n) => n !== which);
  return {
    ...prop,
    sensors,
    home: prop.home === gone ? null : prop.home,
    moves: prop.moves.map((move) => (move.until === gone ? { ...move, until: null } : move)),
  };
}

/** Ids that go into the file more than once: of two props with one id neither would be read. */
export function idsTwice({ props }: Answers): ReadonlySet<string> {
  const ids = props.filter(({ wanted }) => wanted).map(({ id }) => id);
  return new Set(ids.filter((id, n) => id !== '' && ids.indexOf(id) !== n));
}

import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { type Answers, blankAnswers, type PropAnswer, timed } from '../../web/first-answers.ts';
import { joined } from '../../web/first-boards.ts';
import { firstFile, OPEN_BUS } from '../../web/first-file.ts';
import {
  identified,
  idsTwice,
  plannedProp,
  SHAPES,
  withId,
  withOneSensorMore,
  withoutSensor,
  withSensorNamed,
} from '../../web/first-planned.ts';

const named = (prop: PropAnswer, title: string, others: string[] = []) =>
  identified({ ...prop, title }, others);

const answers = (props: PropAnswer[]): Answers => ({
  ...blankAnswers('America/Chicago'),
  title: 'Saltmarsh Landing',
  latitude: 41.88,
  longitude: -87.63,
  circuits: [{ title: 'Dock outlets', volts: 120, breaker: 15, standing: 0 }],
  props,
});

const read = (props: PropAnswer[]) => {
  const found = readYard(firstFile(answers(props), { bus: OPEN_BUS }));
  expect(found.ok ? [] : found.errors.map(({ message }) => message)).toEqual([]);
  if (!found.ok) throw new Error('it does not read');
  return found.yard;
};

const heard = (board: string, prop: string, sensors: Record<string, boolean | null>) => [
  {
    id: board,
    firmware: null,
    up: true,
    props: [{ id: prop, sensors: Object.entries(sensors).map(([id, made]) => ({ id, made })) }],
  },
];

describe('a prop added by hand, before its board is there', () => {
  it('of every shape makes a file that the reader takes', () => {
    const [carriage, figure, mat, station] = SHAPES.map((shape, n) =>
      named(plannedProp(shape), ['Ferry', 'Ferryman', 'Path mat', 'Red button at the gate'][n]!),
    ) as [PropAnswer, PropAnswer, PropAnswer, PropAnswer];
    const yard = read([
      { ...carriage, board: 'ferry-board', moves: timed(carriage.moves, 0, 7.5) },
      figure,
      mat,
      station,
    ]);
    const ferry = yard.props.get('ferry')!;
    expect([ferry.controller, ferry.home, ferry.homeMove]).toEqual(['ferry-board', 'near', 'back']);
    expect(ferry.moves.get('out')).toMatchObject({ until: 'far', usualMs: 7500, limitMs: 13_500 });
    expect(ferry.moves.get('out')!.loads).toMatchObject([{ circuit: 'dock-outlets', runAmps: 1 }]);
    expect(yard.props.get('ferryman')!.moves.get('run')).toMatchObject({ usualMs: 10_000 });
    expect(yard.props.get('red-button-at-the-gate')!.kind).toBe('stop-station');
    expect([...yard.scenes.keys()]).toEqual(['ferry', 'ferryman']);
  });

  it('takes its id of its title once, apart from all others, and keeps one that was typed', () => {
    const first = named(plannedProp('figure'), 'Möwe am Pfahl');
    expect([first.id, first.board]).toEqual(['mowe-am-pfahl', 'mowe-am-pfahl']);
    expect(named(plannedProp('figure'), 'Möwe am Pfahl', [first.id]).id).toBe('mowe-am-pfahl-2');
    expect(named(first, 'Gull').id).toBe('mowe-am-pfahl');
    expect(named(plannedProp('figure'), '—').id).toBe('');
    // The board goes with the id until it was named otherwise.
    expect(withId(first, 'gull').board).toBe('gull');
    expect(withId({ ...first, board: 'pole' }, 'gull').board).toBe('pole');
  });

  it('says which ids two props of the file have', () => {
    const [a, b] = [named(plannedProp('figure'), 'Bell'), named(plannedProp('mat'), 'Bell')];
    expect([...idsTwice(answers([a, b]))]).toEqual(['bell']);
    expect([...idsTwice(answers([a, { ...b, wanted: false }]))]).toEqual([]);
    // What has no id yet is missing, which is another mistake.
    expect([...idsTwice(answers([plannedProp('mat'), plannedProp('mat')]))]).toEqual([]);
  });

  it('keeps its moves and its home with a sensor that is called otherwise', () => {
    const ferry = named(plannedProp('carriage'), 'Ferry');
    const renamed = withSensorNamed(ferry, 0, 'landing', [])!;
    expect(renamed.home).toBe('landing');
    expect(renamed.moves.map(({ until }) => until)).toEqual(['far', 'landing']);
    expect(withSensorNamed(ferry, 0, 'far', [])).toBeNull();
    const more = withOneSensorMore(ferry);
    expect(more.sensors.map(({ id }) => id)).toEqual(['near', 'far', 'sensor-3']);
    const less = withoutSensor(more, 0);
    expect([less.home, less.moves[1]!.until]).toEqual([null, null]);
    expect(read([less]).props.get('ferry')!.home).toBeNull();
  });

  it('is the same prop once its board is heard, which says its own id, and loses nothing', () => {
    const ferry = { ...named(plannedProp('carriage'), 'Ferry'), home: 'far' };
    const boards = heard('shed-board', 'ferry', { near: true, far: false, door: false });
    const { props } = joined(answers([ferry]), boards, new Map());
    expect(props).toHaveLength(1);
    expect(props[0]).toMatchObject({ board: 'shed-board', home: 'far', moves: ferry.moves });
    expect(props[0]!.sensors.map(({ id }) => id)).toEqual(['near', 'far', 'door']);
    // Nothing new said: the very same, so that nothing is drawn again.
    const again = answers(props as PropAnswer[]);
    expect(joined(again, boards, new Map())).toBe(again);
    // Another board stands beside it.
    const both = joined(again, heard('bell', 'bell', {}), new Map());
    expect(both.props.map(({ id }) => id)).toEqual(['ferry', 'bell']);
  });

  it('takes an end that its board calls otherwise for that of the board', () => {
    const ferry = named(plannedProp('carriage'), 'Ferry');
    const boards = heard('ferry', 'ferry', { left: true, right: false });
    const { props } = joined(answers([ferry]), boards, new Map());
    const met = withSensorNamed(props[0]!, 0, 'left', ['left', 'right'])!;
    expect(met.sensors).toEqual([
      { id: 'left', kind: 'end' },
      { id: 'far', kind: 'end' },
      { id: 'right', kind: 'plain' },
    ]);
    expect(met.home).toBe('left');
  });

  it('reads whatever ids it has, those that YAML takes for numbers and words among them', () => {
    const odd = ['1', 'no', 'null', '1e3', '0x1f', '-', '--'].map((id) => ({
      ...named(plannedProp('carriage'), 'Odd'),
      id,
      board: id,
      moves: [
        { ...plannedProp('carriage').moves[0]!, name: '5' },
        { ...plannedProp('carriage').moves[1]!, name: 'no' },
      ],
    }));
    const found = readYard(
      firstFile(
        { ...answers(odd), circuits: [{ title: '15', volts: 120, breaker: 15, standing: 0 }] },
        { bus: '' },
      ),
    );
    expect(found.ok ? [] : found.errors.map(({ message }) => message)).toEqual([]);
  });
});

describe('times of a first file', () => {
  it('follow the way out through an emptied field', () => {
    const { moves } = plannedProp('carriage');
    const emptied = timed(moves, 0, Number.NaN);
    expect(timed(emptied, 0, 4).map(({ seconds }) => seconds)).toEqual([4, 4]);
  });
});

import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { type Answers, blankAnswers, type PropAnswer, timed } from '../../web/first-answers.ts';
import { endsOf, joined, proposedProp, teach } from '../../web/first-boards.ts';
import { busOf, firstFile, idOf, OPEN_BUS, proposedLimit } from '../../web/first-file.ts';

const board = (id: string, prop: string, sensors: Record<string, boolean | null>) => ({
  id,
  firmware: null,
  up: true,
  props: [{ id: prop, sensors: Object.entries(sensors).map(([name, made]) => ({ id: name, made })) }],
});

/** A carriage pushed by hand from near to far. */
const PUSHED = [
  [board('ferry-board', 'ferry', { near: true, far: false })],
  [board('ferry-board', 'ferry', { near: false, far: false })],
  [board('ferry-board', 'ferry', { near: false, far: true })],
];

describe('ends are taught by moving a carriage by hand', () => {
  it('two sensors that were each made, never both at once, are its ends; home is where it stood first', () => {
    let taught = teach(new Map(), PUSHED[0]!);
    expect(endsOf(taught.get('ferry'))).toEqual([]);
    for (const boards of PUSHED) taught = teach(taught, boards);
    expect(endsOf(taught.get('ferry'))).toEqual(['near', 'far']);
    const prop = proposedProp('ferry-board', PUSHED[2]![0]!.props[0]!, taught.get('ferry'));
    expect(prop).toMatchObject({ title: 'Ferry', home: 'near', kind: 'prop' });
    expect(prop.moves.map(({ name, until }) => [name, until])).toEqual([
      ['out', 'far'],
      ['back', 'near'],
    ]);
  });

  it('what was made at the same time as another is no end', () => {
    const both = [board('b', 'p', { a: true, b: true })];
    expect(endsOf(teach(teach(new Map(), both), [board('b', 'p', { a: true, b: false })]).get('p'))).toEqual(
      [],
    );
  });

  it('a button of its own is proposed as a red button, a mat as no thing that moves', () => {
    expect(proposedProp('g', { id: 'gate', sensors: [{ id: 'button' }] }, undefined).kind).toBe(
      'stop-station',
    );
    expect(proposedProp('m', { id: 'mat', sensors: [{ id: 'step' }] }, undefined).moves).toEqual([]);
    expect(proposedProp('l', { id: 'lantern', sensors: [] }, undefined).moves).toHaveLength(1);
  });

  it('joins what boards say to what was typed, and loses nothing of it', () => {
    const blank = blankAnswers('America/Chicago');
    const first = joined(blank, PUSHED[0]!, teach(new Map(), PUSHED[0]!));
    expect(first.props.map(({ id }) => id)).toEqual(['ferry']);
    const typed = { ...first, props: [{ ...first.props[0]!, title: 'The old ferry', touched: true }] };
    let taught = teach(new Map(), PUSHED[0]!);
    for (const boards of PUSHED) taught = teach(taught, boards);
    const after = joined(typed, PUSHED[2]!, taught);
    expect(after.props[0]).toMatchObject({ title: 'The old ferry', home: 'near' });
    expect(after.props[0]!.sensors.map(({ kind }) => kind)).toEqual(['end', 'end']);
    expect(after.props[0]!.moves.map(({ name }) => name)).toEqual(['out', 'back']);
    // Nothing new said: the very same, so that nothing is drawn again.
    expect(joined(after, PUSHED[2]!, taught)).toBe(after);
  });
});

describe('a first file', () => {
  const carriage = (): PropAnswer => {
    let taught = teach(new Map(), PUSHED[0]!);
    for (const boards of PUSHED) taught = teach(taught, boards);
    return proposedProp('ferry-board', PUSHED[2]![0]!.props[0]!, taught.get('ferry'));
  };
  const answers = (more: Partial<Answers> = {}): Answers => ({
    ...blankAnswers('America/Chicago'),
    title: 'Saltmarsh Landing',
    latitude: 41.88,
    longitude: -87.63,
    props: [
      carriage(),
      proposedProp('lantern', { id: 'lantern', sensors: [] }, undefined),
      proposedProp('gate', { id: 'gate', sensors: [{ id: 'button' }] }, undefined),
    ],
    ...more,
  });

  it('is one that the reader takes, with the ends, limits and loads that were answered', () => {
    const read = readYard(firstFile(answers(), { bus: OPEN_BUS }));
    expect(read.ok ? [] : read.errors).toEqual([]);
    if (!read.ok) return;
    const { yard } = read;
    const ferry = yard.props.get('ferry')!;
    expect([ferry.home, ferry.homeMove, ferry.controller]).toEqual(['near', 'back', 'ferry-board']);
    expect(ferry.moves.get('out')).toMatchObject({ until: 'far', usualMs: 7000, limitMs: 12_500 });
    expect(yard.props.get('gate')!.kind).toBe('stop-station');
    expect([...yard.scenes.keys()]).toEqual(['ferry', 'lantern']);
    expect(yard.scenes.get('ferry')!.steps).toHaveLength(2);
    expect(yard.bus.listen).toEqual({ host: '0.0.0.0', port: 1883 });
  });

  it('keeps the bus of the file that runs, letter by letter', () => {
    const ferry = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');
    const bus = busOf(ferry);
    expect(bus).toContain('listen: 127.0.0.1:1883');
    expect(bus).not.toContain('nights:');
    const read = readYard(firstFile(answers(), { bus }));
    expect(read.ok && read.yard.bus).toMatchObject({ silenceMs: 1000 });
    expect(busOf('yard: {}\n')).toBe('');
    expect(firstFile(answers(), { bus: '' })).not.toContain('bus:');
    expect(busOf('bus: {listen: "0.0.0.0:1"}')).toBe('bus: {listen: "0.0.0.0:1"}');
  });

  it('proposes the limit that the yard file itself gives a timed move: half as long again and 2 s', () => {
    const read = readYard(firstFile(answers(), { bus: OPEN_BUS }));
    const text = firstFile(answers(), { bus: OPEN_BUS }).replace(', limit: 17 s', '');
    const without = readYard(text);
    expect(text).not.toBe(firstFile(answers(), { bus: OPEN_BUS }));
    expect(read.ok && without.ok).toBe(true);
    if (read.ok && without.ok)
      expect(read.yard.props.get('lantern')!.moves.get('run')!.limitMs).toBe(
        without.yard.props.get('lantern')!.moves.get('run')!.limitMs,
      );
    expect(proposedLimit(7)).toBe(12.5);
  });

  it('reads whatever words were typed as titles and names', () => {
    const words = fc.string({ unit: 'grapheme', maxLength: 40 }).filter((s) => !/\p{Cc}/u.test(s));
    fc.assert(
      fc.property(words, words, words, words, (title, prop, circuit, move) => {
        const base = answers();
        const text = firstFile(
          {
            ...base,
            title: title.trim() === '' ? 'x' : title,
            circuits: [
              { ...base.circuits[0]!, title: circuit },
              { ...base.circuits[0]!, title: circuit },
            ],
            props: base.props.map((p) => ({
              ...p,
              title: prop,
              moves: p.moves.map((m, n) => (n === 0 ? { ...m, name: `${move}${n}` } : m)),
            })),
          },
          { bus: OPEN_BUS },
        );
        const read = readYard(text);
        expect(read.ok ? [] : read.errors.map((e) => e.message)).toEqual([]);
      }),
    );
  });

  it('takes the way back for as long as the way out, until somebody says otherwise', () => {
    const { moves } = carriage();
    const once = timed(moves, 0, 3);
    expect(once.map(({ seconds }) => seconds)).toEqual([3, 3]);
    const twice = timed(once, 1, 4.5);
    expect(timed(twice, 0, 2).map(({ seconds }) => seconds)).toEqual([2, 4.5]);
  });

  it('makes ids of a person’s words', () => {
    expect(idOf('Pêche à la crevette!', 'x')).toBe('peche-a-la-crevette');
    expect(idOf('—', 'outlet-1')).toBe('outlet-1');
  });
});

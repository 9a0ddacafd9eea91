import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { differenceOf } from '../../server/file/difference.ts';
import { LANDING } from '../show/landing.ts';

/** The landing with one text put for another, and in what it then differs. */
function changed(from: string, to: string) {
  expect(LANDING).toContain(from);
  return differenceOf(LANDING, LANDING.replace(from, to));
}

describe('the difference of two yard files', () => {
  it('is none where only words for people and places differ', () => {
    expect(differenceOf(LANDING, LANDING)).toEqual([]);
    expect(differenceOf(LANDING, `# a comment\n${LANDING}\n`)).toEqual([]);
    expect(changed('{title: Lantern, moves:', '{ "title": "Lantern" , moves:')).toEqual([]);
  });

  it('says where, what stood there and what stands there now, as it is written', () => {
    expect(changed('until: near, usual: 6 s, limit: 10 s', 'until: near, usual: 6 s, limit: 12 s')).toEqual([
      {
        path: ['props', 'ferry', 'moves', 'back', 'limit'],
        was: '10 s',
        is: '12 s',
        when: 'rest',
        of: { kind: 'prop', id: 'ferry' },
      },
    ]);
    expect(changed('    every: 2 min\n', '')).toMatchObject([
      { path: ['scenes', 'crossing', 'every'], was: '2 min', is: null },
    ]);
    expect(
      changed('steps: [ferry.out, ferryman.row, ferry.back]', 'steps: [ferry.out, ferry.back]'),
    ).toMatchObject([{ was: '[ferry.out, ferryman.row, ferry.back]', is: '[ferry.out, ferry.back]' }]);
  });

  const CASES: [what: string, from: string, to: string, when: string][] = [
    ['a breaker', 'breaker: 15 A', 'breaker: 20 A', 'now'],
    ['a gap of a zone', 'gap: 20 s', 'gap: 30 s', 'now'],
    ['a title', 'title: Ferryman', 'title: The old ferryman', 'now'],
    ['a scene’s aim', 'every: 1 min', 'every: 90 s', 'rest'],
    ['a scene’s trigger', 'again-after: 30 s', 'again-after: 40 s', 'rest'],
    [
      'a new scene',
      '  lanterns-up:',
      '  more-light: {title: More, steps: [lantern.flicker]}\n  lanterns-up:',
      'rest',
    ],
    ['a load', 'load: {dock: 1 A}, loud: true', 'load: {dock: 2 A}, loud: true', 'rest'],
    ['a need', 'needs: [ferry.far]', 'needs: [ferry.far, hatch at rest]', 'rest'],
    ['an hour of a night', 'close: "22:00"', 'close: "21:30"', 'night'],
    ['where the sun sets', 'latitude: 41.88', 'latitude: 42.88', 'night'],
    ['a tank', 'volume: 6 gal', 'volume: 8 gal', 'closed'],
    ['a board', 'controller: ferry-board', 'controller: other-board', 'closed'],
    ['a sensor', 'sensors: {step: plain}', 'sensors: {step: plain, stood: plain}', 'closed'],
    ['where it is at home', '    home: near\n', '    home: far\n', 'closed'],
    [
      'a new prop',
      '  path-mat:',
      '  gull: {title: Gull, moves: {turn: {lasts: 5 s}}}\n  path-mat:',
      'closed',
    ],
    ['the bus', 'silence: 1 s', 'silence: 2 s', 'start'],
  ];
  it.each(CASES)('%s: %s', (_what, from, to, when) => {
    expect(changed(from, to).map((c) => c.when)).toEqual([when]);
  });

  it('says nothing of what does not read, and never throws', () => {
    expect(differenceOf(LANDING, 'props: [')).toEqual([]);
    fc.assert(
      fc.property(fc.nat(LANDING.length), fc.string({ maxLength: 12 }), (at, text) => {
        differenceOf(LANDING, LANDING.slice(0, at) + text + LANDING.slice(at));
      }),
    );
  });
});

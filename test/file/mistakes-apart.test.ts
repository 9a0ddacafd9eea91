import { describe, expect, it } from 'vitest';
import { errorsIn, landing } from './landing.ts';

type Change = readonly [from: string, to: string];

describe('whatever is wrong', () => {
  /** None of these hangs together with another. */
  const APART: readonly Change[] = [
    ['  title: The landing', '  titel: The landing'],
    ['opens: by itself', 'opens: itself'],
    ['notice-scene: lamps-up', 'notice-scene: nope'],
    ['dark: [2026-10-17]', 'dark: [17.10.2026]'],
    ['volts: 120', 'volts: 120 V'],
    ['cut-in: 90 psi', 'cut-in: 130 psi'],
    ['delivery: 2.6 cfm', 'delivry: 2.6 cfm'],
    ['circuit: dock', 'circuit: dok'],
    ['at-most: 1', 'at-most: 0'],
    ['    zone: pond\n    controller', '    zone: pand\n    controller'],
    ['over: 10 min', 'over: 10'],
    ['rest: 30 s', 'rest: 30'],
    ['limit: 12 s', 'limit: 6 s'],
    ['needs: [ferryman at rest]', 'needs: [feryman at rest]'],
    ['surge: 4.5 A for 400 ms', 'surge: 1 A for 400 ms'],
    ['    title: Ferryman\n', '    titel: Ferryman\n'],
    ['{dock: 0.9 A}', '{dok: 0.9 A}'],
    ['{shed: 2.4 l}', '{sled: 2.4 l}'],
    ['close: {until: shut, usual: 1 s, limit: 4 s}', 'close: {until: shut, usual: 1 s}'],
    ['sensors: {button: plain}', 'sensors: {knob: plain}'],
    ['every: 6 min', 'every: 6'],
    ['on: path-mat.step', 'on: path-mat.stp'],
    ['ferry.back]\n    if', 'ferry.bck]\n    if'],
    ['wait: 2 s', 'wait: 2'],
    ['steps: [lamp.flicker]', 'steps: []'],
  ];

  it('mistakes that have nothing to do with each other are told together as each is told alone', () => {
    // On one line the first may push the second along, so columns are left out.
    const told = (...changes: Change[]): string[] => errorsIn(landing(...changes)).map((e) => e.message);
    const alone = APART.map((change) => told(change));
    for (const one of alone) expect(one).toHaveLength(1);
    expect(told(...APART).toSorted()).toEqual(alone.flat().toSorted());
    // And with each of them taken out again, so that none is only told because of another.
    for (const [i] of APART.entries()) {
      expect(told(...APART.toSpliced(i, 1)).toSorted()).toEqual(alone.toSpliced(i, 1).flat().toSorted());
    }
  });

  it.each(
    [
      ...['id', 'title', 'timezone', 'latitude', 'longitude', 'prepare', 'open', 'close', 'opens'],
      ...['volts', 'breaker', 'volume', 'cut-in', 'cut-out', 'working', 'delivery', 'compressor', 'circuit'],
      ...['amps', 'on', 'over', 'rpm', 'teeth', 'pitch', 'travel', 'run', 'together', 'wait', 'steps'],
      ...['yard', 'nights', 'props'],
    ].map((key) => [key]),
  )('without the first `%s` the rest of the file is still looked at', (key) => {
    const text = landing(['zone: porch\n    every', 'zone: porsch\n    every']);
    const without = text.replace(new RegExp(`(^|[ {])${key}:`, 'mu'), `$1x-${key}-x:`);
    expect(without).not.toBe(text);
    expect(errorsIn(without).map((e) => e.path)).toContain('scenes.porch-scare.zone');
    for (const e of errorsIn(without)) expect(e.found).not.toBe('');
  });
});

describe('what is read where nothing stands', () => {
  it.each([
    ['a key that is missing', ['    title: Ferryman\n', ''], 'props.ferryman.title', 'nothing'],
    ['a key with nothing after it', ['lasts: 45 s', 'lasts:'], 'props.ferryman.moves.row.lasts', 'nothing'],
    ['an item that is empty', ['[ferry.far]', '[ferry.far, ~]'], 'props.ferryman.moves.row.needs[1]', '~'],
  ] as const)('%s', (_, change, path, found) => {
    expect(errorsIn(landing(change)).map((e) => [e.path, e.found])).toEqual([[path, found]]);
  });

  it('a section that is missing, and a file that is empty', () => {
    expect(errorsIn('{}').map((e) => [e.path, e.found])).toEqual(
      ['yard', 'nights', 'props', 'scenes'].map((section) => [section, expect.any(String)]),
    );
    expect(new Set(errorsIn('bus: {}\n').map((e) => e.found))).toEqual(new Set(['nothing']));
    expect(errorsIn('').map((e) => e.found)).toEqual(['nothing']);
  });
});

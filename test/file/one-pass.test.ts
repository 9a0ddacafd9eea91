import { describe, expect, it } from 'vitest';
import { errorsIn, landing } from './landing.ts';

type Change = readonly [from: string, to: string];

/** Changes to the landing with `«` before each mistake, and what is said of each after the line, in the order of the file. */
type Case = readonly [what: string, changes: readonly Change[], messages: readonly string[]];

/** Every mistake stands at its mark, says its message, and no other is told. */
function all(changes: readonly Change[], messages: readonly string[]): void {
  const parts = landing(...changes).split('«');
  const places = parts.slice(0, -1).map((_, i) => {
    const before = parts
      .slice(0, i + 1)
      .join('')
      .split('\n');
    return { line: before.length, column: before.at(-1)!.length + 1 };
  });
  expect(places).toHaveLength(messages.length);
  expect(errorsIn(parts.join('')).map(({ line, column, message }) => ({ line, column, message }))).toEqual(
    places.map((at, i) => ({ ...at, message: `Line ${at.line}: ${messages[i]}` })),
  );
}

const groups: Record<string, readonly Case[]> = {
  'a night': [
    [
      'with a wrong close and a scene that is not there',
      [
        ['close: "22:30"', 'close: «22h'],
        ['notice-scene: lamps-up', 'notice-scene: «nope'],
      ],
      [
        '`close: 22h` is not a time of day. Write `"18:00"`.',
        'there is no scene `nope`. The file has `crossing`, `porch-scare` and `lamps-up`.',
      ],
    ],
    [
      'without a close, prepared after it opens',
      [
        ['- prepare: "0 16 * 10 fri,sat"', '- «prepare: «"0 19 * 10 fri,sat"'],
        ['    close: "22:30"\n', ''],
      ],
      [
        'entry 1 of `nights` has no `close`. Add `close: "22:30"`.',
        'on 2026-10-02 prepare is at 19:00 and open at 18:50; prepare must come before open on the same date.',
      ],
    ],
    [
      'prepared after it opens, beside a dark date that is none',
      [
        ['prepare: "0 16 * 10 fri,sat"', 'prepare: «"0 19 * 10 fri,sat"'],
        ['dark: [2026-10-17]', 'dark: [«17.10.2026]'],
      ],
      [
        'on 2026-10-02 prepare is at 19:00 and open at 18:50; prepare must come before open on the same date.',
        '`17.10.2026` is no date. Write `2026-10-17`.',
      ],
    ],
    [
      'that may be the dark date that is none is not told of',
      [
        ['prepare: "0 16 * 10 fri,sat"', 'prepare: "0 19 2 10 *"'],
        ['dark: [2026-10-17]', 'dark: [2027-10-02, «2.10.2026]'],
      ],
      ['`2.10.2026` is no date. Write `2026-10-17`.'],
    ],
    [
      'whose scene is not there, prepared after it opens',
      [
        ['prepare: "0 16 * 10 fri,sat"', 'prepare: «"0 19 * 10 fri,sat"'],
        ['notice-scene: lamps-up', 'notice-scene: «nope'],
      ],
      [
        'on 2026-10-02 prepare is at 19:00 and open at 18:50; prepare must come before open on the same date.',
        'there is no scene `nope`. The file has `crossing`, `porch-scare` and `lamps-up`.',
      ],
    ],
    [
      'whose dates are not known says nothing of those below it',
      [
        ['prepare: "0 16 * 10 fri,sat"', 'prepare: «at four'],
        ['dark: ', '  - {prepare: "0 19 * 10 fri", open: "18:00", close: "22:00", opens: by hand}\ndark: '],
      ],
      [
        '`prepare: at four`: wants five fields (minute, hour, day, month, weekday), as in "0 16 * 10 fri,sat", and has 2. Write `"0 16 * 10 fri,sat"`.',
      ],
    ],
  ],
  'a tank': [
    [
      'with a wrong circuit and its pressures crossed',
      [
        ['cut-in: 90 psi', 'cut-in: «130 psi'],
        ['circuit: dock', 'circuit: «dok'],
      ],
      [
        '`cut-in: 130 psi` is not below `cut-out: 120 psi`: the compressor starts at cut-in and stops at cut-out.',
        'there is no circuit `dok`. Did you mean `dock`?',
      ],
    ],
    [
      'without a volume, with a wrong circuit and its pressures crossed',
      [
        ['  shed:\n', '  «shed:\n'],
        ['      volume: 6 gal,\n', ''],
        ['cut-in: 90 psi', 'cut-in: «130 psi'],
        ['circuit: dock', 'circuit: «dok'],
      ],
      [
        'the tank `shed` has no `volume`. Add `volume: 6 gal`.',
        '`cut-in: 130 psi` is not below `cut-out: 120 psi`: the compressor starts at cut-in and stops at cut-out.',
        'there is no circuit `dok`. Did you mean `dock`?',
      ],
    ],
    [
      'whose compressor is none, with its pressures crossed',
      [
        ['cut-in: 90 psi', 'cut-in: «130 psi'],
        ['compressor: {circuit: dock, amps: 6 A}', 'compressor: «dock'],
      ],
      [
        '`cut-in: 130 psi` is not below `cut-out: 120 psi`: the compressor starts at cut-in and stops at cut-out.',
        '`compressor: dock` is a plain value, and a compressor is wanted. Write `{circuit: dock, amps: 6 A}`.',
      ],
    ],
    [
      'that works above cut-out, whatever cut-in is',
      [
        ['cut-in: 90 psi', 'cut-in: «90'],
        ['working: 70 psi', 'working: «125 psi'],
      ],
      [
        '`cut-in: 90` has no unit. Write `90 psi`.',
        '`working: 125 psi` is not below `cut-out: 120 psi`, which is the most that the tank ever holds: no draw would leave so much. Set it lower than cut-in, with room for a draw.',
      ],
    ],
    [
      'of whose compressor the current is not known, on a circuit without room for it',
      [
        ['standing: 3.1 A', 'standing: 11 A'],
        ['amps: 6 A', 'amps: «6'],
        ['{dock: 0.9 A}', '{dock: «1.2 A}'],
        // The others draw nothing here, so that one move alone is too much.
        ...Array<Change>(2).fill(['{run: 1.8 A, surge: 4.5 A for 400 ms}', '0.4 A']),
        ['toll: {lasts: 6 s, load: {dock: 1.1 A}', 'toll: {lasts: 6 s, load: {dock: 0.4 A}'],
      ],
      [
        '`amps: 6` has no unit. Write `6 A`.',
        '`ferryman.row` can never run: it runs at 1.2 A; with 11 A that always draws that is 12.2 A, and `dock` carries 12 A for hours (80 % of 15 A).',
      ],
    ],
  ],
  'a scene': [
    [
      'with a key too many and names that are not there',
      [
        ['    zone: pond\n    every', '    zone: pond\n    «colour: red\n    every'],
        ['on: path-mat.step', 'on: «pth-mt.step'],
        ['[ferry.out, ferryman.row, ferry.back]', '[ferry.out, «feryman.row, «ferry.sideways]'],
      ],
      [
        '`colour` is no key of a scene. It has `title`, `zone`, `every`, `vary`, `weight`, `rest`, `on`, `again-after`, `steps` and `if-it-fails`.',
        'there is no prop `pth-mt`. Did you mean `path-mat`?',
        'there is no prop `feryman`. Did you mean `ferryman`?',
        '`ferry` has no move `sideways`. It has `out` and `back`.',
      ],
    ],
    [
      'with its title misspelled and names that are not there',
      [
        ['    title: The crossing', '    «titel: The crossing'],
        ['on: path-mat.step', 'on: «pth-mt.step'],
        ['[ferry.out, ferryman.row, ferry.back]', '[ferry.out, «feryman.row, «ferry.sideways]'],
      ],
      [
        '`titel` is no key of a scene. Did you mean `title`?',
        'there is no prop `pth-mt`. Did you mean `path-mat`?',
        'there is no prop `feryman`. Did you mean `ferryman`?',
        '`ferry` has no move `sideways`. It has `out` and `back`.',
      ],
    ],
    [
      'with a wrong zone that could never run, beside one with a wrong wait',
      [
        ['zone: pond\n    every', 'zone: «pand\n    every'],
        ['[ferry.out, ferryman.row, ferry.back]', '[«ferryman.row, ferry.out, ferry.back]'],
        ['wait: 2 s', 'wait: «2'],
      ],
      [
        'there is no zone `pand`. Did you mean `pond`?',
        'the scene `crossing` can never run: `ferryman.row` needs `ferry.far`, and `ferry` is at `near` then. Bring it there first, as with `ferry.out`.',
        '`wait: 2` has no unit. Write `2 s`.',
      ],
    ],
    [
      'that another with an unknown step might let run is not told of',
      [
        ['[ferry.out, ferryman.row, ferry.back]', '[ferryman.row, ferry.out, ferry.back]'],
        ['- bell.toll', '- «fery.out'],
      ],
      ['there is no prop `fery`. Did you mean `ferry`?'],
    ],
  ],
  'a prop and its moves': [
    [
      'a wrong zone, a need of nothing and a limit too low',
      [
        ['zone: pond\n    controller', 'zone: «pand\n    controller'],
        ['limit: 12 s\n        needs: [ferryman at rest]', 'limit: «6 s\n        needs: [«feryman at rest]'],
      ],
      [
        'there is no zone `pand`. Did you mean `pond`?',
        '`limit: 6 s` is not above the usual time (7 s): every run of `ferry.out` would be a fault. Write `limit: 13 s`.',
        'there is no prop `feryman`. Did you mean `ferryman`?',
      ],
    ],
    [
      'a wrong current on a wrong circuit',
      [['{dock: 0.9 A}', '{«dok: «7}']],
      ['there is no circuit `dok`. Did you mean `dock`?', '`dok: 7` has no unit. Write `7 A`.'],
    ],
    [
      'a surge below the current on a wrong circuit',
      [['{dock: {run: 1.8 A, surge: 4.5 A for 400 ms}}', '{«dok: {run: 1.8 A, surge: «1 A for 400 ms}}']],
      [
        'there is no circuit `dok`. Did you mean `dock`?',
        '`surge: 1 A for 400 ms` is below the running current of 1.8 A. The surge is the whole draw while starting: write the larger figure.',
      ],
    ],
    [
      'a home-move that leads away, beside a limit that is none',
      [
        ['    home: near', '    home: near\n    home-move: «out'],
        ['until: near\n        limit: 12 s', 'until: near\n        limit: «12'],
      ],
      [
        '`home-move: out`: that move ends at `far`, and home is `near`. Name the move that leads home.',
        '`limit: 12` has no unit. Write `12 s`.',
      ],
    ],
    [
      'a prop that is none still has whatever is asked of it',
      [['path-mat: {title: Path mat, sensors: {step: plain}}', 'path-mat: «plain']],
      ['`path-mat: plain` is a plain value, and a prop is wanted. Write `{title: Ferry, moves: {…}}`.'],
    ],
    [
      'a station whose sensors are a list still has its button',
      [['kind: stop-station, sensors: {button: plain}', 'kind: stop-station, sensors: «[button]']],
      ['`sensors` is a list, and sensors by name is wanted. Write `{near: end, far: end}`.'],
    ],
  ],
};

for (const [group, cases] of Object.entries(groups)) {
  describe(`beside another mistake, ${group}`, () => {
    it.each(cases)('%s', (_, changes, messages) => all(changes, messages));
  });
}

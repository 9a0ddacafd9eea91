import { describe, expect, it } from 'vitest';
import { errorsIn, LANDING, landing, marked } from './landing.ts';

type Change = readonly [from: string, to: string];
type Case = readonly [
  what: string,
  change: Change | readonly Change[],
  message: string,
  more?: Record<string, unknown>,
];

/** One mistake, told once, at the place of the mark, with this message after the line. */
function tell([, change, message, more]: Case): void {
  const changes = (typeof change[0] === 'string' ? [change] : change) as Change[];
  const { text, line, column } = marked(landing(...changes));
  const errors = errorsIn(text);
  expect(errors.map((e) => e.message)).toEqual([`Line ${line}: ${message}`]);
  expect(errors[0]).toMatchObject({ line, column, ...more });
  expect(errors[0]!.wanted).not.toBe('');
}

describe('one mistake is told once, at its place', () => {
  const cases: Record<string, readonly Case[]> = {
    quantities: [
      [
        'no unit',
        ['limit: 12 s', 'limit: «7'],
        '`limit: 7` has no unit. Write `7 s`.',
        {
          path: 'props.ferry.moves.out.limit',
          found: '7',
          example: '7 s',
          wanted: 'a time such as `12 s` (ms, s, min, h)',
        },
      ],
      [
        'no unit of current',
        ['breaker: 15 A', 'breaker: «15'],
        '`breaker: 15` has no unit. Write `15 A`.',
        { path: 'circuits.dock.breaker' },
      ],
      [
        'another dimension',
        ['usual: 7 s', 'usual: «7 m'],
        '`usual: 7 m` is a length, and a time is wanted. Write `7 min`.',
      ],
      ['below zero', ['lasts: 45 s', 'lasts: «-45 s'], '`lasts: -45 s` is below zero. Write `45 s`.'],
      ['not a number', ['rpm: 152', 'rpm: «.nan'], '`rpm: .nan` is no number. Write `152`.'],
      [
        'absurd',
        ['lasts: 45 s', 'lasts: «45 h'],
        '`lasts: 45 h` is too much: above zero and 24 h at most. Write `45 s`.',
      ],
      [
        'nothing',
        ['lasts: 45 s', 'lasts: «0 s'],
        '`lasts: 0 s` is too small: above zero and 24 h at most. Write `45 s`.',
      ],
      [
        'a comma in quotes',
        ['lasts: 45 s', 'lasts: «"4,5 s"'],
        '`lasts: "4,5 s"` has a decimal comma. Write `4.5 s`.',
      ],
      [
        'a unit on a bare key',
        ['volts: 120', 'volts: «120 V'],
        '`volts: 120 V` is more than a number: this key wants a bare number. Write `120`.',
      ],
      [
        'quotes on a bare key',
        ['volts: 120', 'volts: «"120"'],
        '`volts: "120"` is a number in quotes: this key wants a bare number. Write `120`.',
      ],
      ['half a tooth', ['teeth: 16', 'teeth: «16.5'], '`teeth: 16.5` is no whole number. Write `17`.'],
      [
        'more than all',
        ['continuous: 80 %', 'continuous: «180 %'],
        '`continuous: 180 %` is too much: above zero and 100 % at most. Write `80 %`.',
      ],
      [
        'a surge without a time',
        ['surge: 4.5 A for 400 ms', 'surge: «4.5 A'],
        '`surge: 4.5 A` does not say how long the surge lasts. Write `4.5 A for 400 ms`.',
      ],
      [
        'a surge in a bare number',
        ['surge: 4.5 A for 400 ms', 'surge: «4.5 A for 400'],
        '`surge: 4.5 A for 400`: the time has no unit. Write `4.5 A for 400 ms`.',
      ],
      [
        'a service without cycles',
        ['2000 cycles', '«2000'],
        '`service-every: 2000` has no unit. Write `2000 cycles`.',
      ],
      [
        'a gauge without its unit',
        ['standing: 3.1 A}', 'standing: 3.1 A, cable: {length: 20 m, gauge: «14}}'],
        '`gauge: 14` has no unit. Write `14 AWG`.',
      ],
      [
        'silence too short to hear two heartbeats',
        ['silence: 1 s', 'silence: «100 ms'],
        '`silence: 100 ms` is too small: 500 ms to 60 s. Write `1 s`.',
      ],
      [
        'a zone that lets nothing in',
        ['at-most: 1', 'at-most: «0'],
        '`at-most: 0` is out of range: 1 to 1000. Write `1`.',
      ],
    ],
    keys: [
      [
        'misspelled',
        ['        limit: 50 s', '        «limt: 50 s'],
        '`limt` is no key of a move. Did you mean `limit`?',
        { nearest: 'limit', path: 'props.ferryman.moves.row.limt', found: 'limt' },
      ],
      [
        'misspelled and wanted',
        ['  ferryman:\n    title:', '  ferryman:\n    «titel:'],
        '`titel` is no key of a prop. Did you mean `title`?',
      ],
      [
        'another word for it',
        ['        lasts: 45 s', '        «duration: 45 s'],
        '`duration` is no key of a move. Did you mean `lasts`?',
      ],
      [
        'in the wrong table',
        ['    rest: 30 s', '    rest: 30 s\n    «limit: 3 s'],
        '`limit` belongs to a move, not to a prop. Move it there.',
      ],
      [
        'at the top',
        ['zones:', '«zone:'],
        '`zone` is no key of the file itself. Did you mean `zones`?',
        { nearest: 'zones' },
      ],
      [
        'unknown',
        ['    rest: 30 s', '    rest: 30 s\n    «colour: green'],
        '`colour` is no key of a prop. It has `title`, `kind`, `zone`, `controller`, `sensors`, `home`, `home-move`, `rest`, `duty`, `drive`, `service-every`, `moves` and `cable`.',
      ],
      [
        'a name of every object',
        ['    rest: 30 s', '    rest: 30 s\n    «constructor: 1'],
        '`constructor` is no key of a prop. It has `title`, `kind`, `zone`, `controller`, `sensors`, `home`, `home-move`, `rest`, `duty`, `drive`, `service-every`, `moves` and `cable`.',
      ],
      [
        'in a step',
        ['      - wait: 2 s', '      - «wiat: 2 s'],
        '`wiat` is no key of a step. Did you mean `wait`?',
      ],
      [
        'a prop with its move as a key',
        ['      - hatch.close', '      - «hatch: close'],
        '`hatch: close` is no step. Write `hatch.close`.',
      ],
      [
        'missing',
        ['  ferryman:\n    title: Ferryman', '  «ferryman:'],
        'the prop `ferryman` has no `title`. Add `title: Ferry`.',
        { found: '', path: 'props.ferryman.title', example: 'title: Ferry' },
      ],
      [
        'missing in a night',
        ['  - prepare: "0 16 * 10 fri,sat"\n    open:', '  - «open:'],
        'entry 1 of `nights` has no `prepare`. Add `prepare: "0 16 * 10 fri,sat"`.',
      ],
      [
        'the owner’s choice',
        [
          '  - prepare: "0 16 * 10 fri,sat"\n    open: sunset + 20 min\n    close: "22:30"\n    quiet: "21:00"\n    opens: by itself\n',
          '  - «prepare: "0 16 * 10 fri,sat"\n    open: sunset + 20 min\n    close: "22:30"\n    quiet: "21:00"\n',
        ],
        'entry 1 of `nights` has no `opens`. Add `opens: by hand`.',
      ],
      [
        'empty',
        ['lasts: 45 s', 'lasts:«'],
        '`lasts:` has nothing after it. Write `lasts: 45 s`, or take the key out.',
      ],
      [
        'a word for a list',
        ['needs: [ferry.far]', 'needs: «ferry.far'],
        '`needs: ferry.far` is a plain value, and a list of needs is wanted. Write `[ferry.far]`.',
      ],
      [
        'a list for names',
        ['sensors: {near: end, far: end}', 'sensors: «[near, far]'],
        '`sensors` is a list, and sensors by name is wanted. Write `{near: end, far: end}`.',
      ],
      [
        'a load without its circuit',
        ['load: {dock: 0.9 A}', 'load: «0.9 A'],
        '`load: 0.9 A` is a plain value, and loads by circuit is wanted. Write `{dock: 0.9 A}`.',
      ],
      [
        'keys where a plain value is',
        ['2000 cycles', '«{}'],
        '`service-every` is keys with values, and a number of cycles is wanted. Write `2000 cycles`.',
      ],
      [
        'yes for true',
        ['loud: true', 'loud: «yes'],
        '`loud: yes` is neither `true` nor `false`. Write `true`.',
      ],
      [
        'a number for a title',
        ['title: Porch lamp', 'title: «1884'],
        '`title: 1884` is read as a value and not as text: put it in quotes. Write `"1884"`.',
      ],
      [
        'a kind that is none',
        ['{step: plain}', '{step: «flat}'],
        '`step: flat` is not one of `end`, `plain`. Write `end`.',
      ],
      [
        'a name that is none',
        ['  bell: {title', '  «Fog Bank: {title: Fog}\n  bell: {title'],
        "`Fog Bank` can't be a name here: small letters a to z, digits and hyphens, at most 40. Write `fog-bank`.",
      ],
    ],
    names: [
      [
        'no such prop',
        ['[ferry.far]', '[«fery.far]'],
        'there is no prop `fery`. Did you mean `ferry`?',
        { nearest: 'ferry' },
      ],
      [
        'no such sensor',
        ['[ferry.far]', '[«ferry.fra]'],
        '`ferry` has no sensor `fra`. Did you mean `ferry.far`?',
      ],
      [
        'no such move',
        ['[ferry.out, ferryman.row', '[«ferry.go, ferryman.row'],
        '`ferry` has no move `go`. It has `out` and `back`.',
        { wanted: 'one of ferry.out, ferry.back' },
      ],
      [
        'no such sensor of its own',
        ['until: far', 'until: «fur'],
        '`ferry` has no sensor `fur`. Did you mean `far`?',
      ],
      [
        'no such circuit',
        ['{dock: 0.9 A}', '{«dok: 0.9 A}'],
        'there is no circuit `dok`. Did you mean `dock`?',
      ],
      [
        'no such circuit for the compressor',
        ['circuit: dock', 'circuit: «barn'],
        'there is no circuit `barn`. The file has `dock`.',
      ],
      ['no such tank', ['{shed: 2.4 l}', '{«sled: 2.4 l}'], 'there is no tank `sled`. Did you mean `shed`?'],
      [
        'no such zone',
        ['zone: pond\n    every', 'zone: «pand\n    every'],
        'there is no zone `pand`. Did you mean `pond`?',
      ],
      [
        'no such scene',
        ['notice-scene: lamps-up', 'notice-scene: «lamp-up'],
        'there is no scene `lamp-up`. Did you mean `lamps-up`?',
      ],
      [
        'no such trigger',
        ['on: path-mat.step', 'on: «path-mat.stepped'],
        '`path-mat` has no sensor `stepped`. Did you mean `path-mat.step`?',
      ],
      ['no such home', ['home: shut', 'home: «closed'], '`hatch` has no sensor `closed`. It has `shut`.'],
      [
        'no home to be at',
        ['[ferry.far]', '[ferry.far, «lamp at home]'],
        '`lamp at home` is needed, but `lamp` has no `home`. Give it one, as `home: near`, or write `lamp at rest`.',
      ],
      [
        'a need that is none',
        ['[ferry.far]', '[«ferry at far]'],
        '`ferry at far` is no need: a sensor follows a point. Write `ferry.far`.',
      ],
      [
        'a step that is none',
        ['      - hatch.close', '      - «hatch close'],
        '`hatch close` is not written `prop.move`. Write `hatch.close`.',
      ],
      [
        'a tidying move that is none',
        ['if-it-fails: [ferry.back]', 'if-it-fails: [«ferry.bakc]'],
        '`ferry` has no move `bakc`. Did you mean `ferry.back`?',
      ],
    ],
    moves: [
      [
        'both ends',
        ['lasts: 45 s', 'lasts: 45 s\n        «until: far'],
        'the move `ferryman.row` has both `lasts` and `until`. It lasts a time, or it goes on until a sensor is made: take one out.',
      ],
      [
        'no end',
        ['      row:\n        lasts: 45 s\n', '      «row:\n'],
        'the move `ferryman.row` does not say when it ends. Add `lasts: 20 s`, or `until: far` with a sensor of its own.',
      ],
      [
        'no limit',
        ['close: {until: shut, usual: 1 s, limit: 4 s}', '«close: {until: shut, usual: 1 s}'],
        'the move `hatch.close` goes on until a sensor and has no `limit`: after what time is something wrong? Add `limit: 4 s`.',
      ],
      [
        'no usual time',
        ['close: {until: shut, usual: 1 s, limit: 4 s}', '«close: {until: shut, limit: 4 s}'],
        'the move `hatch.close` goes on until a sensor and does not say how long that usually takes. Add `usual: 7 s`, or a `drive` to the prop.',
      ],
      [
        'a limit below usual',
        ['limit: 12 s', 'limit: «6 s'],
        '`limit: 6 s` is not above the usual time (7 s): every run of `ferry.out` would be a fault. Write `limit: 13 s`.',
      ],
      [
        'a limit below what the drive takes',
        ['until: near\n        limit: 12 s', 'until: near\n        limit: «5 s'],
        '`limit: 5 s` is not above the usual time (the 6.8 s that its drive takes): every run of `ferry.back` would be a fault. Write `limit: 13 s`.',
      ],
      [
        'a limit below lasts',
        ['limit: 50 s', 'limit: «45 s'],
        '`limit: 45 s` is not above the time it lasts (45 s): every run of `ferryman.row` would be a fault. Write `limit: 70 s`.',
      ],
      [
        'a surge below running',
        ['surge: 4.5 A for 400 ms', 'surge: «1.2 A for 400 ms'],
        '`surge: 1.2 A for 400 ms` is below the running current of 1.8 A. The surge is the whole draw while starting: write the larger figure.',
      ],
    ],
    props: [
      [
        'a home-move without a home',
        ['  bell: {title: Bell,', '  bell: {title: Bell, «home-move: toll,'],
        '`bell` has a `home-move` and no `home`. Say which sensor is home, as `home: near`.',
      ],
      [
        'a home-move that leads away',
        ['    home: near', '    home: near\n    home-move: «out'],
        '`home-move: out`: that move ends at `far`, and home is `near`. Name the move that leads home.',
        { example: 'back' },
      ],
      [
        'a home-move beside the one that leads home',
        ['    home: shut', '    home: shut\n    home-move: «slam'],
        '`home-move: slam`: `close` is the one move that ends at `shut`, so that is the homing move. Take `home-move` out.',
      ],
      [
        'a home-move that is none',
        ['    home: near', '    home: near\n    home-move: «bakc'],
        '`ferry` has no move `bakc`. Did you mean `back`?',
      ],
      [
        'a station without its button',
        [
          '  gate-button: {title: Red button at the gate, kind: stop-station, sensors: {button: plain}}',
          '  «gate-button: {title: Red button at the gate, kind: stop-station, sensors: {knob: plain}}',
        ],
        'the stop station `gate-button` has no sensor `button`: that is the contact of the red button that is watched. Add `sensors: {button: plain}`.',
      ],
      [
        'a station with moves',
        ['sensors: {button: plain}}', 'sensors: {button: plain}, «moves: {press: {lasts: 1 s}}}'],
        '`gate-button` is a stop station and has no `moves`: it is a button, and only ever stops. Take `moves` out, or make it a prop of its own.',
      ],
      [
        'a station with a home',
        ['sensors: {button: plain}}', 'sensors: {button: plain}, «home: button}'],
        '`gate-button` is a stop station and has no `home`: it is a button, and only ever stops. Take `home` out, or make it a prop of its own.',
      ],
      [
        'a station as a trigger',
        ['on: path-mat.step', 'on: «gate-button.button'],
        '`gate-button.button` is a red button: pressing it stops the yard and starts nothing. Use another sensor.',
      ],
    ],
    scenes: [
      [
        'a prop twice together',
        ['[lamp.flicker, hatch.slam]', '[lamp.flicker, hatch.slam, «hatch.close]'],
        '`hatch` stands twice in one `together`, and a prop makes one move at a time. Make it a step of its own.',
      ],
      [
        'nothing together',
        ['together: [lamp.flicker, hatch.slam]', 'together: «[]'],
        '`together` names no moves. Write `together: [lantern.flicker, hatch.slam]`, or take it out.',
      ],
      [
        'a wait together',
        ['[lamp.flicker, hatch.slam]', '[lamp.flicker, «{wait: 2 s}]'],
        '`{wait: 2 s}` is keys with values, and a prop and its move is wanted. Write `ferry.out`.',
      ],
      [
        'no steps',
        ['steps: [lamp.flicker]', 'steps: «[]'],
        'the scene `lamps-up` has no steps: nothing would move. Add a move, as `steps: [ferry.out]`.',
      ],
      [
        'only waits',
        ['steps: [lamp.flicker]', 'steps: «[{wait: 2 s}]'],
        'the scene `lamps-up` only waits: nothing would move. Add a move, as `steps: [ferry.out]`.',
      ],
      [
        'a wait to tidy up',
        ['if-it-fails: [ferry.back]', 'if-it-fails: [«{wait: 2 s}]'],
        '`{wait: 2 s}` is keys with values, and a prop and its move is wanted. Write `ferry.out`.',
      ],
      [
        'more than it varies by',
        ['vary: 20 %', 'vary: «120 %'],
        '`vary: 120 %` is too much: 100 % at most. Write `20 %`.',
      ],
    ],
    place: [
      [
        'a town for a zone',
        ['timezone: America/Chicago', 'timezone: «Chicago'],
        '`timezone: Chicago` is no time zone that this computer knows. Write `America/Chicago`.',
      ],
      [
        'an offset for a zone',
        ['timezone: America/Chicago', 'timezone: «"-06:00"'],
        '`timezone: "-06:00"` is no time zone that this computer knows. Write `America/Chicago`.',
      ],
      [
        'past the pole',
        ['latitude: 41.88', 'latitude: «141.88'],
        '`latitude: 141.88` is out of range: -90 to 90. Write `41.88`.',
      ],
      [
        'a letter for a sign',
        ['longitude: -87.63', 'longitude: «87.63 W'],
        '`longitude: 87.63 W` is more than a number: this key wants a bare number. Write `87.63`.',
      ],
      [
        'two buses',
        ['  silence: 1 s', '  «url: mqtt://192.0.2.10:1883\n  silence: 1 s'],
        '`listen` is for the embedded broker and `url` for one elsewhere: the yard has one bus. Take one of them out.',
      ],
      [
        'a wildcard in the root',
        ['root: yard', 'root: «yard/#'],
        '`root: yard/#` has a wildcard (`#` or `+`) in it. Write `yard`.',
      ],
      [
        'an empty level in the root',
        ['root: yard', 'root: «/yard'],
        '`root: /yard` has an empty level: a `/` too many. Write `yard`.',
      ],
      [
        'the broker’s own root',
        ['root: yard', 'root: «$SYS'],
        "`root: $SYS` begins with `$`, which is the broker's own. Write `yard`.",
      ],
      [
        'no port',
        ['listen: 127.0.0.1:1883', 'listen: «192.0.2.4'],
        '`listen: 192.0.2.4` has no port. Write `192.0.2.4:1883`.',
      ],
      [
        'a port that is none',
        ['listen: 127.0.0.1:1883', 'listen: «127.0.0.1:70000'],
        '`listen: 127.0.0.1:70000` has no port that exists: 1 to 65535. Write `127.0.0.1:1883`.',
      ],
      [
        'a date the other way round',
        ['dark: [2026-10-17]', 'dark: [«17.10.2026]'],
        '`17.10.2026` is no date. Write `2026-10-17`.',
      ],
      [
        'a day that is none',
        ['dark: [2026-10-17]', 'dark: [«2026-02-30]'],
        '`2026-02-30` is no date. Write `2026-10-17`.',
      ],
      [
        'one date and no list',
        ['dark: [2026-10-17]', 'dark: «2026-10-17'],
        '`dark: 2026-10-17` is a plain value, and a list of dates is wanted. Write `[2026-10-17]`.',
      ],
      ['a fraction of a seed', ['seed: 7', 'seed: «7.5'], '`seed: 7.5` is no whole number. Write `8`.'],
    ],
    power: [
      [
        'cut-in above cut-out',
        ['cut-in: 90 psi', 'cut-in: «130 psi'],
        '`cut-in: 130 psi` is not below `cut-out: 120 psi`: the compressor starts at cut-in and stops at cut-out.',
      ],
      [
        'working above cut-in',
        ['working: 70 psi', 'working: «95 psi'],
        '`working: 95 psi` is above `cut-in: 90 psi`: draws would stop before the compressor ever starts, and the tank would stay as it is for ever. Set it lower than cut-in, with room for a draw.',
      ],
      [
        'too much standing',
        ['standing: 3.1 A', 'standing: «12.1 A'],
        '`dock` is over its limit before anything moves: 12.1 A standing and 6 A of compressors, and it carries 12 A for hours (80 % of 15 A). Move something to another circuit.',
      ],
    ],
  };

  for (const [group, list] of Object.entries(cases)) {
    describe(group, () => {
      it.each(list)('%s', (...one) => tell(one as unknown as Case));
    });
  }
});

describe('all mistakes are told at once', () => {
  it('in the order of the file, whatever kind they are', () => {
    const text = landing(
      ['timezone: America/Chicago', 'timezone: Chicago'],
      ['breaker: 15 A', 'breaker: 15'],
      ['zone: pond\n    controller', 'zone: pand\n    controller'],
      ['limit: 12 s', 'limit: 12'],
      ['needs: [ferry.far]', 'needs: [ferry.fra]'],
      ['loud: true\n  hatch', 'loud: yes\n  hatch'],
      ['close: {until: shut, usual: 1 s, limit: 4 s}', 'close: {until: shut, usual: 1 s}'],
      ['bell.toll\n', 'bell.tole\n'],
      ['steps: [lamp.flicker]', 'steps: []'],
    );
    expect(errorsIn(text).map((e) => e.path)).toEqual([
      'yard.timezone',
      'circuits.dock.breaker',
      'props.ferry.zone',
      'props.ferry.moves.out.limit',
      'props.ferryman.moves.row.needs[0]',
      'props.ferryman.moves.row.loud',
      'props.hatch.moves.close',
      'scenes.porch-scare.steps[3]',
      'scenes.lamps-up.steps',
    ]);
  });

  it('and the items of lists keep their numbers where others are broken', () => {
    const text = landing([
      '[lamp.flicker, hatch.slam]\n      - wait: 2 s\n      - hatch.close\n      - bell.toll',
      '[lamp.flicker, hatch slam, lamp.flicker, bell.tole]\n      - wait: 2\n      - hatch.clse\n      - together: [bell.toll, lmp.flicker]',
    ]);
    expect(errorsIn(text).map((e) => [e.path, e.found])).toEqual([
      ['scenes.porch-scare.steps[0].together[1]', 'hatch slam'],
      ['scenes.porch-scare.steps[0].together[2]', 'lamp.flicker'],
      ['scenes.porch-scare.steps[0].together[3]', 'bell.tole'],
      ['scenes.porch-scare.steps[1].wait', '2'],
      ['scenes.porch-scare.steps[2]', 'hatch.clse'],
      ['scenes.porch-scare.steps[3].together[1]', 'lmp.flicker'],
    ]);
  });

  it('a broken section does not hide what is wrong in the others', () => {
    const text = landing(
      ['latitude: 41.88', 'latitude: 141'],
      ['prepare: "0 16 * 10 fri,sat"', 'prepare: at four'],
      ['until: far', 'until: fur'],
    );
    expect(errorsIn(text).map((e) => e.path)).toEqual([
      'yard.latitude',
      'nights[0].prepare',
      'props.ferry.moves.out.until',
    ]);
  });

  it('what names a broken prop is not wrong for that', () => {
    expect(errorsIn(landing(['    title: Ferryman\n', ''])).map((e) => e.path)).toEqual([
      'props.ferryman.title',
    ]);
  });

  it('a file that misses whole sections says each', () => {
    expect(errorsIn('title: My yard\n').map((e) => e.message)).toEqual([
      'Line 1: `title` belongs to the section `yard` or a circuit or a tank or a zone or a prop or a scene, not to the file itself. Move it there.',
      'Line 1: the file has no `yard`. Add `yard: {id: saltmarsh, title: Saltmarsh Landing, …}`.',
      'Line 1: the file has no `nights`. Add `nights: [{prepare: "0 16 * 10 fri,sat", …}]`.',
      'Line 1: the file has no `props`. Add `props: {ferry: {…}}`.',
      'Line 1: the file has no `scenes`. Add `scenes: {crossing: {…}}`.',
    ]);
  });

  it('but not more than can be read', () => {
    const props = Array.from({ length: 300 }, (_, i) => `  p${i}: {title: P, moves: {m: {lasts: 2}}}`).join(
      '\n',
    );
    const errors = errorsIn(LANDING.replace('scenes:\n', `${props}\nscenes:\n`));
    expect(errors).toHaveLength(201);
    expect(errors[200]!.message).toBe('Line 284: and 100 more mistakes from here on. Put these right first.');
  });
});

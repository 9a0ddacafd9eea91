import { oneMistake } from './one-mistake.ts';

oneMistake({
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
});

import { oneMistake } from './one-mistake.ts';

oneMistake({
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
});

import { oneMistake } from './one-mistake.ts';

oneMistake({
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
      { found: 'nothing', path: 'props.ferryman.title', example: 'title: Ferry' },
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
});

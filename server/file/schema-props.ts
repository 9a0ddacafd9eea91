import { z } from 'zod';
import { BOUNDS, choice, flag, number, quantity, title, WORDS } from './leaf.ts';
import { id, moveRef, need, sensorKind, sensorRef, service } from './leaves-names.ts';
import { surge } from './leaves-power.ts';
import { cable, list, named, pause, span, table } from './schema-parts.ts';

/** Props with their moves, and scenes: see schema.ts. */

const load = z
  .union([
    quantity('current', BOUNDS.draw, '0.9 A', 'Running current.'),
    table(
      'a load',
      '{run: 1.8 A, surge: 4.5 A for 400 ms}',
      'Running current, and the draw while starting.',
      {
        run: quantity('current', BOUNDS.draw, '1.8 A', 'Running current.'),
        surge: surge.optional(),
      },
    ),
  ])
  .register(WORDS, { noun: 'a load', example: '0.9 A' });

export const move = table(
  'a move',
  '{lasts: 20 s}',
  'One thing that a prop does: it lasts a time, or goes on until a sensor is made.',
  {
    lasts: span('45 s', 'Length of a timed move.').optional(),
    until: id('a sensor of its own', 'far', 'The sensor of its own prop that ends it.').optional(),
    usual: span('7 s', "How long an until move takes. Default: from the prop's drive.").optional(),
    limit: span(
      '12 s',
      'After this it is a fault. Default of a timed move: 1.5 times lasts plus 2 s.',
    ).optional(),
    needs: list(
      'a list of needs',
      '[ferry.far]',
      'Interlocks: they must hold when the move starts and until it ends.',
      need,
    ).optional(),
    load: named('loads by circuit', '{dock: 0.9 A}', 'What it draws, by circuit.', load).optional(),
    air: named(
      'air by tank',
      '{shed: 2.4 l}',
      'Free air drawn at the start of the move, by tank.',
      quantity('volume', BOUNDS.air, '2.4 l', 'Free air.'),
    ).optional(),
    loud: flag('Not after quiet. Default false.').optional(),
  },
);

const drive = table(
  'a drive',
  '{rpm: 152, teeth: 16, pitch: 5.08 mm, travel: 1.4 m}',
  'A motor on a toothed belt: gives usual times.',
  {
    rpm: number({ least: 0.01, most: 100_000 }, 152, 'Turns of the pulley in a minute.', 'turns a minute'),
    teeth: number({ least: 1, most: 10_000, whole: true }, 16, 'Teeth of the pulley.', 'teeth'),
    pitch: quantity(
      'length',
      BOUNDS.pitch,
      '5.08 mm',
      'From tooth to tooth: MXL 2.032, XL 5.08, L 9.525 mm.',
    ),
    travel: quantity('length', BOUNDS.travel, '1.4 m', 'From end to end.'),
  },
);

export const prop = table('a prop', '{title: Ferry, moves: {…}}', 'A machine, a sensor or a stop station.', {
  title: title('Ferry', 'What people call it.'),
  kind: choice(
    ['prop', 'stop-station'],
    'stop-station',
    'stop-station: a red button whose contact is watched. Default prop.',
  ).optional(),
  zone: id('a zone', 'pond', 'Only groups it on the page.').optional(),
  controller: id(
    'a controller',
    'ferry-board',
    "The board that drives it. Default: the prop's own id.",
  ).optional(),
  sensors: named(
    'sensors by name',
    '{near: end, far: end}',
    'What it can see of itself.',
    sensorKind,
  ).optional(),
  home: id('a sensor of its own', 'near', 'Where it must stand to begin and to close.').optional(),
  'home-move': id(
    'a move of its own',
    'back',
    'The move that homes it, where no one move ends at home.',
  ).optional(),
  rest: pause('30 s', 'From the end of a scene that used it to the next that does. Default 0 s.').optional(),
  duty: table('a duty', '{on: 40 %, over: 10 min}', 'Of any such span, at most this share moving.', {
    on: quantity('share', BOUNDS.share, '40 %', 'Share that it may move.'),
    over: span('10 min', 'The span.'),
  }).optional(),
  drive: drive.optional(),
  'service-every': service.optional(),
  moves: named('moves by name', '{toll: {lasts: 6 s}}', 'What it can do.', move).optional(),
  cable: cable.optional(),
});

const step = z
  .union([
    moveRef,
    table(
      'a step of moves together',
      '{together: [lantern.flicker, hatch.slam]}',
      'Starts all at once, ends with the last.',
      {
        together: list(
          'a list of moves',
          '[lantern.flicker, hatch.slam]',
          'Moves of different props.',
          moveRef,
        ),
      },
    ),
    table('a wait', '{wait: 2 s}', 'Nothing moves for a while.', {
      wait: pause('2 s', 'How long.'),
    }),
  ])
  .register(WORDS, { noun: 'a step', example: 'ferry.out' });

export const scene = table(
  'a scene',
  '{title: The crossing, steps: [ferry.out, ferryman.row, ferry.back]}',
  'What is played as one.',
  {
    title: title('The crossing', 'What people call it.'),
    zone: id('a zone', 'pond', 'The zone it fills while it runs. Default: none.').optional(),
    every: quantity(
      'time',
      BOUNDS.every,
      '6 min',
      'Aim, start to start. Left out: run only by trigger or hand.',
    ).optional(),
    vary: quantity('share', BOUNDS.vary, '20 %', 'Each gap may differ by this much. Default 0 %.').optional(),
    weight: number(
      { least: 0.001, most: 1000 },
      1,
      'When not everything fits. Default 1.',
      'a weight',
    ).optional(),
    rest: pause('60 s', 'From its end to its own next start. Default 0 s.').optional(),
    on: sensorRef.optional(),
    'again-after': pause(
      '3 min',
      'A trigger sooner than this after the last start is refused. Default 0 s.',
    ).optional(),
    steps: list(
      'a list of steps',
      '[ferry.out, ferryman.row, ferry.back]',
      'Each starts when the one before it has ended.',
      step,
    ),
    'if-it-fails': list(
      'a list of moves',
      '[ferry.back]',
      'What is still done to leave it tidy.',
      moveRef,
    ).optional(),
  },
);

export type PropFile = z.output<typeof prop>;
export type MoveFile = z.output<typeof move>;
export type SceneFile = z.output<typeof scene>;

import { z } from 'zod';
import {
  BOUNDS,
  choice,
  clockTime,
  date,
  flag,
  gauge,
  id,
  key,
  moveRef,
  need,
  number,
  prepare,
  quantity,
  sensorKind,
  sensorRef,
  service,
  timezone,
  title,
  WORDS,
} from './leaves.ts';
import { listen, root, surge, url } from './leaves-power.ts';

/**
 * The yard file, version 1: every key, once. The reader parses with it, the editors' JSON Schema is generated from it,
 * and the error texts take their nouns and examples from it. What one key says about another is checked in check-*.ts.
 */

function table<T extends z.core.$ZodLooseShape>(
  noun: string,
  example: string,
  description: string,
  shape: T,
) {
  return z.strictObject(shape).describe(description).register(WORDS, { noun, example });
}

function named<T extends z.ZodType>(noun: string, example: string, description: string, of: T) {
  return z.record(key, of).describe(description).register(WORDS, { noun, example });
}

function list<T extends z.ZodType>(noun: string, example: string, description: string, of: T) {
  return z.array(of).describe(description).register(WORDS, { noun, example });
}

const pause = (example: string, description: string) => quantity('time', BOUNDS.pause, example, description);
const span = (example: string, description: string) => quantity('time', BOUNDS.span, example, description);
const amps = (example: string, description: string) =>
  quantity('current', BOUNDS.current, example, description);

const yard = table('the section `yard`', '{id: saltmarsh, title: Saltmarsh Landing, …}', 'The place.', {
  id: id('an id', 'saltmarsh', 'Name of the yard in files and addresses.'),
  title: title('Saltmarsh Landing', 'What people call it.'),
  timezone,
  latitude: number({ least: -90, most: 90 }, 41.88, 'Degrees, north positive.', 'degrees'),
  longitude: number(
    { least: -180, most: 180 },
    -87.63,
    'Degrees, east positive: the Americas are negative.',
    'degrees',
  ),
  seed: number(
    { least: 0, most: Number.MAX_SAFE_INTEGER, whole: true },
    7,
    "Of the stagger's variation: same file, same night, same plan. Default 1.",
    'a number',
  ).optional(),
  restart: choice(
    ['ask', 'auto'],
    'ask',
    'After a power cut in an open night. ask: wait for a person. auto: give notice, home and go on. Default ask.',
  ).optional(),
});

const bus = table(
  'the section `bus`',
  '{listen: 0.0.0.0:1883}',
  'The MQTT bus. Default: embedded on 127.0.0.1:1883.',
  {
    root: root.optional(),
    listen: listen.optional(),
    url: url.optional(),
    silence: quantity(
      'time',
      BOUNDS.silence,
      '1 s',
      'A prop that hears no heartbeat for this long stops by itself. Default 1 s, at least 500 ms.',
    ).optional(),
  },
);

const night = table(
  'an entry of `nights`',
  '{prepare: "0 16 * 10 fri,sat", open: "18:00", close: "22:30", opens: by hand}',
  'Nights of one kind. The first entry whose prepare falls on a date makes that night.',
  {
    prepare,
    open: clockTime('"18:00"', 'When guests come: a clock time, or sunset or dusk with + or - a time.'),
    close: clockTime('"22:30"', 'At or before open on the clock means the next day.'),
    quiet: clockTime('"21:00"', 'After it nothing loud is planned or run.').optional(),
    opens: choice(
      ['by itself', 'by hand'],
      'by hand',
      "Whether it opens at the time or waits for a person. No default: it is the owner's choice.",
    ),
    notice: quantity(
      'time',
      BOUNDS.notice,
      '30 s',
      'Before anything moves at opening, on the page and on the bus. Default 30 s.',
    ).optional(),
    'notice-scene': id('a scene', 'lanterns-up', 'The one scene that runs during the notice.').optional(),
    'fallback-open': clockTime('"18:30"', 'Opening time on dates on which the sun does not set.').optional(),
  },
);

const cable = table('a cable', '{length: 20 m, gauge: 14 AWG}', 'One way, for the voltage-drop review.', {
  length: quantity('length', BOUNDS.cable, '20 m', 'From the supply to the load, one way.'),
  gauge,
});

const circuit = table(
  'a circuit',
  '{title: Dock outlets, volts: 120, breaker: 15 A}',
  'One breaker and what hangs on it.',
  {
    title: title('Dock outlets', 'Default: its id.').optional(),
    volts: number({ least: 1, most: 1000 }, 120, 'Volts of the supply.', 'volts'),
    breaker: amps('15 A', 'What the breaker is rated for.'),
    continuous: quantity(
      'share',
      BOUNDS.share,
      '80 %',
      'Share of the breaker that may flow for hours. Default 80 %.',
    ).optional(),
    standing: quantity(
      'current',
      BOUNDS.draw,
      '3.1 A',
      'What always draws, compressors apart. Default 0 A.',
    ).optional(),
    cable: cable.optional(),
  },
);

const tank = table(
  'a tank',
  '{volume: 6 gal, cut-in: 90 psi, cut-out: 120 psi, working: 70 psi, delivery: 2.6 cfm, compressor: {circuit: dock, amps: 6 A}}',
  'Compressed air, with its compressor. Pressures are gauge.',
  {
    title: title('Shed tank', 'Default: its id.').optional(),
    volume: quantity('volume', BOUNDS.tank, '6 gal', 'Of the tank itself.'),
    'cut-in': quantity('pressure', BOUNDS.pressure, '90 psi', 'At or below it the compressor starts.'),
    'cut-out': quantity(
      'pressure',
      BOUNDS.pressure,
      '120 psi',
      'At it the compressor stops; the night begins there.',
    ),
    working: quantity(
      'pressure',
      BOUNDS.pressure,
      '70 psi',
      'What the props need: after every draw there is at least this.',
    ),
    delivery: quantity('flow', BOUNDS.flow, '2.6 cfm', 'Free air that the compressor delivers.'),
    compressor: table(
      'a compressor',
      '{circuit: dock, amps: 6 A}',
      'Counts as standing, since it starts by itself.',
      {
        circuit: id('a circuit', 'dock', 'The circuit it is plugged into.'),
        amps: amps('6 A', 'Its running current.'),
      },
    ),
  },
);

const zone = table('a zone', '{title: The porch}', 'A place that scenes share.', {
  title: title('The pond', 'Default: its id.').optional(),
  'at-most': number(
    { least: 1, most: 1000, whole: true },
    1,
    'Scenes in it at a time. Default: no limit.',
    'a number of scenes',
  ).optional(),
  gap: pause('20 s', "From a scene's end to the next in it. Default 0 s.").optional(),
});

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

const move = table(
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

const prop = table('a prop', '{title: Ferry, moves: {…}}', 'A machine, a sensor or a stop station.', {
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

const scene = table(
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

export const yardFile = table(
  'a yard file',
  '',
  'A yard of animated props: place, nights, circuits, air, zones, props, scenes.',
  {
    yard,
    bus: bus.optional(),
    nights: list('a list of nights', '[{prepare: "0 16 * 10 fri,sat", …}]', 'When there are shows.', night),
    dark: list('a list of dates', '[2026-10-17]', 'Dates without a show.', date).optional(),
    circuits: named('circuits by name', '{dock: {…}}', 'The breakers.', circuit).optional(),
    tanks: named('tanks by name', '{shed: {…}}', 'The air.', tank).optional(),
    zones: named('zones by name', '{pond: {title: The pond}}', 'The places.', zone).optional(),
    props: named('props by name', '{ferry: {…}}', 'The machines.', prop),
    scenes: named('scenes by name', '{crossing: {…}}', 'What is played.', scene),
  },
).meta({ title: 'Yard file' });

export type YardFile = z.output<typeof yardFile>;
export type PropFile = z.output<typeof prop>;
export type MoveFile = z.output<typeof move>;
export type SceneFile = z.output<typeof scene>;

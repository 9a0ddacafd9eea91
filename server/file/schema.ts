import type { z } from 'zod';
import { BOUNDS, choice, number, quantity, title } from './leaf.ts';
import { clockTime, date, id, prepare, timezone } from './leaves-names.ts';
import { listen, root, url } from './leaves-power.ts';
import { amps, cable, list, named, pause, table } from './schema-parts.ts';
import { prop, scene } from './schema-props.ts';

/**
 * The yard file, version 1: every key, once (props and scenes in schema-props.ts). The reader parses with it, the editors'
 * JSON Schema is generated from it, and the error texts take their nouns and examples from it. What one key says about
 * another is checked in check-*.ts.
 */

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

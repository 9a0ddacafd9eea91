import { readFileSync } from 'node:fs';
import { readYard } from '../../server/file/read.ts';
import type { LockoutPicture, Picture, PropPicture, ScenePicture } from '../../server/picture.ts';
import type { Entry } from '../../server/show/effects.ts';
import type { Fault, Reason } from '../../server/show/reasons.ts';
import { english } from '../../server/words/en/english.ts';
import { faultCauses, faultChecks, faultText } from '../../server/words/faults.ts';
import { say, sayEntry, type WordContext } from '../../server/words/reasons.ts';
import { clockOf, shortClockOf } from '../../web/time.ts';

/**
 * Pictures made by hand, one for each state that the page must show. The yard is the invented Saltmarsh Landing; what
 * is said of its faults is what the program says of them.
 */

/** The demonstration's own file, which is kept so that a test can type in it. */
export const FILE = readFileSync(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8');
const read = readYard(FILE);
if (!read.ok) throw new Error('the demonstration yard has errors');
export const { yard } = read;

const ZONE = 'America/Chicago';
const context: WordContext = {
  tongue: english,
  yard,
  clock: (ms) => clockOf(ms, ZONE),
  short: (ms) => shortClockOf(ms, ZONE),
};
export const said = (reason: Reason) => say(reason, context);
/** A line of the record. */
export const recorded = (entry: Entry) => sayEntry(entry, context);

/** 31 October 2026, 21:14:10 in Chicago, which is on daylight time until 1 November. */
export const EVENING = Date.parse('2026-10-31T21:14:10-05:00');
/** A clock time of that evening in the yard, ms since 1970. */
export const at = (clock: string) => Date.parse(`2026-10-31T${clock}-05:00`);

type Sensors = PropPicture['sensors'];
const end = (made: boolean, fresh = true): Sensors[string] => ({ made, fresh, kind: 'end' });

function prop(title: string, zone: string | null, more: Partial<PropPicture> = {}): PropPicture {
  return {
    title,
    zone,
    kind: 'prop',
    controller: title.toLowerCase().replaceAll(' ', '-'),
    state: 'ready',
    at: null,
    sensors: {},
    lockout: null,
    why: 'At rest.',
    run: null,
    move: null,
    live: more.state !== 'silent',
    heard: null,
    counts: { cycles: 212, moves: 424 },
    serviceDue: false,
    moves: ['run'],
    ...more,
  };
}

/** A prop locked out by a fault, in the program's own words. */
export function locked(of: PropPicture, fault: Fault, more: Partial<LockoutPicture> = {}): PropPicture {
  return {
    ...of,
    state: 'locked-out',
    why: said({ code: 'locked-out', prop: fault.prop, fault: fault.code }),
    lockout: {
      code: fault.code,
      since: fault.at,
      text: faultText(fault, context),
      causes: faultCauses(fault, context.tongue),
      checks: faultChecks(fault, context.tongue),
      acknowledged: false,
      barred: null,
      first: fault.first ?? null,
      ...more,
    },
  };
}

function scene(title: string, zone: string | null, more: Partial<ScenePicture> = {}): ScenePicture {
  return {
    title,
    zone,
    running: false,
    why: null,
    made: 9,
    wanted: 31,
    skipped: 0,
    lastStart: at('21:08:02'),
    ...more,
  };
}

const props = (): Record<string, PropPicture> => ({
  ferry: prop('Ferry', 'pond', {
    controller: 'ferry-board',
    state: 'moving',
    sensors: { near: end(false), far: end(false) },
    why: 'Moves out, 3.2 of 12.0 s.',
    run: '2026-10-31.crossing.30',
    move: { move: 'out', since: EVENING - 3200, usualMs: 7100, limitMs: 12_000 },
    moves: ['out', 'back'],
  }),
  ferryman: prop('Ferryman', 'pond', {
    why: "Waits: ferry's far sensor is not made yet, 3.2 of 12.0 s.",
    run: '2026-10-31.crossing.30',
    moves: ['row'],
  }),
  'bell-post': prop('Bell post', 'pond', { moves: ['toll'] }),
  'fog-bank': prop('Fog bank', 'pond', { moves: ['breathe'] }),
  gull: prop('Gull', 'pond', { sensors: { perch: end(true) }, at: 'perch', moves: ['flap', 'settle'] }),
  hatch: prop('Cellar hatch', 'porch', {
    sensors: { shut: end(true) },
    at: 'shut',
    state: 'resting',
    why: 'Rests for another 18 s.',
    moves: ['slam', 'close'],
    serviceDue: true,
  }),
  lantern: prop('Porch lantern', 'porch', { moves: ['flicker'] }),
  bell: prop('Bell', 'porch', { moves: ['toll'] }),
  helmet: prop("Diver's helmet", 'porch', {
    sensors: { down: end(true), up: end(false) },
    at: 'down',
    moves: ['rise', 'sink'],
  }),
  'path-mat': prop('Path mat', null, {
    sensors: { step: { made: false, fresh: true, kind: 'plain' } },
    moves: [],
    why: 'Nobody on it.',
  }),
  'gate-button': prop('Red button at the gate', null, {
    kind: 'stop-station',
    sensors: { button: { made: false, fresh: true, kind: 'plain' } },
    moves: [],
    why: 'Not pressed.',
  }),
});

/** The yard at a quarter past nine: open, one scene under way, all well. */
export function open(): Picture {
  return {
    seq: 4711,
    at: EVENING,
    yard: {
      id: 'saltmarsh',
      title: 'Saltmarsh Landing',
      timezone: ZONE,
      demonstration: false,
      sun: { rise: at('07:18:00'), set: at('17:46:00') },
    },
    mode: 'open',
    modeWhy: null,
    night: {
      date: '2026-10-31',
      open: at('18:06:00'),
      close: at('22:30:00'),
      quiet: at('22:00:00'),
      notice: at('18:05:30'),
    },
    bus: { connected: true, epoch: 12, standsDown: null },
    stop: { latched: false, n: 7, at: null, by: null, answered: [], silent: [], bars: [] },
    props: props(),
    scenes: {
      crossing: scene('The crossing', 'pond', {
        running: true,
        why: 'It is running.',
        made: 30,
        wanted: 43,
        skipped: 1,
      }),
      'porch-scare': scene('On the porch', 'porch', { made: 46, wanted: 65 }),
      gulls: scene('The gull wakes', 'pond', { why: 'The pond takes one scene at a time.' }),
    },
    circuits: {
      dock: { title: 'Dock outlets', amps: 6.1, limitAmps: 12, breakerAmps: 15 },
      porch: { title: 'Porch outlets', amps: 0.8, limitAmps: 12, breakerAmps: 15 },
    },
    tanks: { shed: { title: 'Shed tank', psi: 104, workingPsi: 70, cutOutPsi: 120, pumping: false } },
    zones: {
      pond: { title: 'The pond', runs: 1, atMost: 1 },
      porch: { title: 'The porch', runs: 0, atMost: null },
    },
    now: [{ id: '2026-10-31.crossing.30', scene: 'crossing', start: at('21:14:06') }],
    next: [
      { id: '2026-10-31.porch-scare.47', scene: 'porch-scare', start: at('21:15:30') },
      { id: '2026-10-31.gulls.10', scene: 'gulls', start: at('21:17:00') },
      { id: '2026-10-31.crossing.31', scene: 'crossing', start: at('21:20:12') },
    ],
    notes: [],
  };
}

/** The ferry jammed on its way out; the ferryman was halted with it. */
export function fault(): Picture {
  const picture = open();
  picture.now = [];
  picture.props.ferry = locked(
    prop('Ferry', 'pond', {
      controller: 'ferry-board',
      sensors: { near: end(false), far: end(false) },
      moves: ['out', 'back'],
    }),
    {
      code: 'travel-slow',
      prop: 'ferry',
      at: at('21:14:00'),
      move: 'out',
      other: 'near',
      sensor: 'far',
      leftAt: at('21:13:48'),
      limitMs: 12_000,
      usualMs: 7100,
    },
  );
  picture.props.ferryman = locked(
    prop('Ferryman', 'pond', { moves: ['row'] }),
    {
      code: 'interlock-lost',
      prop: 'ferryman',
      at: at('21:14:00'),
      move: 'row',
      need: { kind: 'made', prop: 'ferry', sensor: 'far' },
      why: 'not-made',
      first: 'ferry',
    },
    { barred: said({ code: 'follows-other', prop: 'ferryman', first: 'ferry' }) },
  );
  picture.props['fog-bank'] = prop('Fog bank', 'pond', {
    state: 'silent',
    heard: EVENING - 14_000,
    why: said({ code: 'silent', prop: 'fog-bank' }),
    moves: ['breathe'],
  });
  picture.props.helmet = locked(
    prop("Diver's helmet", 'porch', {
      sensors: { down: end(true), up: end(true) },
      moves: ['rise', 'sink'],
    }),
    { code: 'both-ends', prop: 'helmet', at: at('20:52:31'), sensor: 'down', other: 'up' },
    {
      acknowledged: true,
      barred: said({ code: 'still-contradicts', prop: 'helmet', sensors: ['down', 'up'] }),
    },
  );
  picture.scenes.crossing = scene('The crossing', 'pond', {
    why: said({ code: 'locked-out', prop: 'ferry', fault: 'travel-slow' }),
    made: 29,
    wanted: 43,
    skipped: 2,
  });
  return picture;
}

/** Stopped by the page 40 s ago; the fog bank has not answered and the red button at the gate is still in. */
export function stopped(): Picture {
  const picture = open();
  picture.mode = 'stopped';
  picture.now = [];
  const boards = Object.values(picture.props).map((p) => p.controller);
  picture.stop = {
    latched: true,
    n: 8,
    at: EVENING - 40_000,
    by: said({ code: 'stop-by', by: 'page' }),
    answered: boards.filter((board) => board !== 'fog-bank'),
    silent: ['fog-bank'],
    bars: [
      said({ code: 'station-in', prop: 'gate-button' }),
      said({ code: 'not-answered', prop: 'fog-bank' }),
    ],
  };
  for (const each of Object.values(picture.props))
    Object.assign(each, { why: said({ code: 'stopped', stop: 8 }), run: null, move: null });
  picture.props.ferry = prop('Ferry', 'pond', {
    controller: 'ferry-board',
    state: 'unknown',
    sensors: { near: end(false), far: end(false) },
    why: said({ code: 'stopped', stop: 8 }),
    moves: ['out', 'back'],
  });
  picture.props['fog-bank'] = prop('Fog bank', 'pond', {
    state: 'silent',
    heard: EVENING - 44_000,
    moves: ['breathe'],
  });
  picture.props['gate-button']!.sensors = { button: { made: true, fresh: true, kind: 'plain' } };
  return picture;
}

/** The same with everything answered and nothing in the way: it waits for a keeper. */
export function stoppedClear(): Picture {
  const picture = stopped();
  const heard = { ...open().props['fog-bank']!, why: said({ code: 'stopped', stop: 8 }) };
  const gate = open().props['gate-button']!;
  picture.props = { ...picture.props, 'fog-bank': heard, 'gate-button': gate };
  picture.stop = {
    ...picture.stop,
    answered: Object.values(picture.props).map((p) => p.controller),
    silent: [],
    bars: [],
  };
  return picture;
}

/** Held after a power cut. */
export function held(): Picture {
  const picture = open();
  picture.mode = 'held';
  picture.modeWhy = said({ code: 'held-restart', atMs: at('20:41:00') });
  picture.now = [];
  picture.props.ferry = prop('Ferry', 'pond', {
    controller: 'ferry-board',
    sensors: { near: end(true), far: end(false) },
    at: 'near',
    moves: ['out', 'back'],
  });
  return picture;
}

/** The demonstration, held: nothing real. */
export function demonstration(): Picture {
  const picture = open();
  picture.yard.demonstration = true;
  return picture;
}

/** The yard computer has no link to the props. */
export function busLost(): Picture {
  const picture = held();
  picture.bus.connected = false;
  picture.modeWhy = null;
  for (const each of Object.values(picture.props)) {
    each.state = 'silent';
    each.live = false;
    each.heard = EVENING - 9000;
  }
  return picture;
}

/** Three hundred props in twelve zones. */
export function many(): Picture {
  const picture = open();
  picture.props = { ...picture.props };
  for (let n = 0; n < 12; n += 1)
    picture.zones[`field-${n}`] = { title: `Reeds ${n + 1}`, runs: 0, atMost: null };
  for (let n = Object.keys(picture.props).length; n < 300; n += 1) {
    picture.props[`lamp-${n}`] = prop(`Reed lamp ${n}`, `field-${n % 12}`, {
      sensors: { down: end(true), up: end(false) },
      at: 'down',
      moves: ['rise', 'sink'],
    });
  }
  return picture;
}

export const STATES = { open, fault, stopped, stoppedClear, held, demonstration, busLost, many };
export type StateName = keyof typeof STATES;

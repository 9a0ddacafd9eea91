import { closest } from 'fastest-levenshtein';
import type { FaultName } from './faults.ts';
import { FAULTS, faultKind, isFault, usualSensor } from './faults.ts';
import type { Machine } from './physics.ts';
import type { Posts } from './posts.ts';

/**
 * The stand-ins' control language: one line in, one line out, for people at a terminal and for tests. What can't be
 * done answers with a line that begins 'No:' and changes nothing.
 */

const USES = {
  list: 'list [PROP|CONTROLLER]',
  faults: 'faults',
  help: 'help [FAULT]',
  mend: 'mend PROP|CONTROLLER|all [FAULT]',
  press: 'press PROP.SENSOR [500 ms]',
  hold: 'hold PROP.SENSOR',
  release: 'release PROP.SENSOR',
  put: 'put PROP SENSOR|50 %',
  drain: 'drain TANK',
  quit: 'quit',
} as const;
type Verb = keyof typeof USES;

/** Said back to whoever typed it. */
class Refusal extends Error {}

/** Answers a line of the control language: one line, which begins with 'No:' where nothing was done. */
export function answerLine(posts: Posts, atMs: number, line: string): string {
  const [verb = '', ...rest] = line.trim().split(/\s+/);
  try {
    if (isFault(verb)) return setFault(posts, atMs, verb, rest);
    if (Object.hasOwn(USES, verb)) return ACTS[verb as Verb](posts, atMs, rest);
    const near = closest(verb, [...Object.keys(USES), ...Object.keys(FAULTS)]);
    throw new Refusal(
      verb === '' ? `an empty line. Try: ${USES.help}` : `no '${verb}' here. Nearest: ${near}`,
    );
  } catch (error) {
    if (error instanceof Refusal) return `No: ${error.message}.`;
    throw error;
  }
}

const ACTS: Readonly<Record<Verb, (posts: Posts, atMs: number, words: string[]) => string>> = {
  list: (posts, _, [what]) => {
    const { boards, machines } = posts.crew;
    if (what !== undefined && !machines.has(what) && boards.has(what)) return describeBoard(posts, what);
    const props = what === undefined ? [...machines.values()] : [machineOf(posts, what)];
    const troubled = [...boards.keys()]
      .filter((c) => TROUBLES[posts.stateOf(c)] !== undefined)
      .filter((c) => what === undefined || props[0]!.prop.controller === c);
    return [...props.map(describe), ...troubled.map((c) => describeBoard(posts, c))].join('; ');
  },
  faults: () => `Faults: ${Object.keys(FAULTS).join(', ')}`,
  help: (_, __, [what]) => {
    if (what === undefined)
      return `Say: ${Object.values(USES).join(' | ')} | FAULT PROP|PROP.SENSOR|CONTROLLER [50 %]`;
    if (!isFault(what))
      throw new Refusal(`no fault '${what}'. Nearest: ${closest(what, Object.keys(FAULTS))}`);
    const kind = faultKind(what);
    const size = kind.share === null ? '' : ` (${percent(kind.share)} unless told)`;
    return `${what} ${kind.of === 'mishap' ? 'prop' : kind.of}: ${kind.words}${size}`;
  },
  mend,
  press: (posts, atMs, [where, ...time]) => {
    const { machine, sensor } = plainSensor(posts, where, USES.press);
    const ms = time.length === 0 ? 500 : durationMs(time.join(' '));
    machine.press(atMs, sensor, ms);
    return `${machine.prop.title}: ${sensor} pressed for ${ms} ms.`;
  },
  hold: (posts, atMs, [where]) => {
    const { machine, sensor } = plainSensor(posts, where, USES.hold);
    machine.press(atMs, sensor, null);
    return `${machine.prop.title}: ${sensor} held until released.`;
  },
  release: (posts, atMs, [where]) => {
    const { machine, sensor } = plainSensor(posts, where, USES.release);
    machine.release(atMs, sensor);
    return `${machine.prop.title}: ${sensor} released.`;
  },
  put: (posts, atMs, [what, ...place]) => {
    const machine = machineOf(posts, what ?? '', USES.put);
    if (!machine.track)
      throw new Refusal(`${machine.prop.title} has no end sensors, so it stands nowhere else`);
    const sensors = machine.track.marks.map((m) => m.sensor);
    const where = place.join(' ');
    machine.put(
      atMs,
      sensors.includes(where) ? where : share(where, `${sensors.join(', ')} or a share such as 50 %`),
    );
    return `${machine.prop.title} was moved by hand: ${describe(machine)}.`;
  },
  drain: (posts, atMs, [tank = '']) => {
    const tanks = [...posts.crew.yard.tanks.keys()];
    if (!posts.crew.supply.has(tank)) throw new Refusal(unknown('tank', tank, tanks, USES.drain));
    posts.crew.supply.drain(atMs, tank);
    return `Tank ${tank} is empty.`;
  },
  quit: () => 'Quitting.',
};

function setFault(posts: Posts, atMs: number, name: FaultName, words: string[]): string {
  const kind = faultKind(name);
  const [what = '', ...value] = words;
  if (kind.of === 'controller') {
    const prop = posts.crew.yard.props.get(what);
    if (!posts.crew.boards.has(what)) {
      const hint = prop ? `${what} is a prop; its controller is ${prop.controller}` : null;
      throw new Refusal(
        hint ?? unknown('controller', what, [...posts.crew.boards.keys()], `${name} CONTROLLER`),
      );
    }
    posts[kind.does](what, atMs);
    return `${what} ${kind.words}.`;
  }
  const [id = '', named] = what.split('.', 2);
  const machine = machineOf(posts, id, `${name} PROP`);
  const why = kind.unfit(machine.prop, machine.track);
  if (why) throw new Refusal(`${name} can't be on ${machine.prop.title}: ${why}`);
  const sensor = named ?? (kind.of === 'sensor' ? usualSensor(machine.prop, machine.track) : null);
  if (kind.of === 'sensor' || named !== undefined) sensorOf(machine, sensor);
  if (value.length > 0 && kind.share === null)
    throw new Refusal(`${name} has no size; say only: ${name} ${what}`);
  const size = value.length > 0 ? share(value.join(' '), 'a share such as 50 %') : (kind.share ?? undefined);
  machine.setFault(atMs, name, true, sensor ?? undefined, size);
  const which = kind.of === 'sensor' ? `, sensor ${sensor},` : '';
  return `${machine.prop.title}${which} ${kind.words}${size === undefined ? '' : `: ${percent(size)}`}.`;
}

function mend(posts: Posts, atMs: number, [what = '', only]: string[]): string {
  if (only !== undefined && !isFault(only)) {
    throw new Refusal(`no fault '${only}'. Nearest: ${closest(only, Object.keys(FAULTS))}`);
  }
  const machines =
    what === 'all' ? [...posts.crew.machines.values()] : [posts.crew.machines.get(what.split('.')[0]!)];
  const boards = what === 'all' ? [...posts.crew.boards.keys()] : [what];
  if (!machines[0] && !posts.crew.boards.has(what)) {
    const known = [...posts.crew.machines.keys(), ...posts.crew.boards.keys()];
    throw new Refusal(unknown('prop or controller', what, known, USES.mend));
  }
  const mended: string[] = [];
  for (const machine of machines) {
    for (const f of machine?.faults() ?? []) {
      if (only !== undefined && f.name !== only) continue;
      machine!.setFault(atMs, f.name, false, f.sensor);
      mended.push(`${machine!.prop.id} ${f.name}`);
    }
  }
  for (const board of boards) {
    if (only === undefined && posts.crew.boards.has(board) && posts.mend(board, atMs)) mended.push(board);
  }
  return mended.length > 0 ? `Mended: ${mended.join(', ')}.` : `Nothing was wrong with ${what}.`;
}

const TROUBLES: Readonly<Record<string, string>> = {
  cut: 'cut off',
  hung: 'hangs',
  booting: 'boots',
  down: 'not on the bus',
  dialling: 'not on the bus',
};

function describeBoard(posts: Posts, controller: string): string {
  const board = posts.crew.boards.get(controller)!;
  const state = TROUBLES[posts.stateOf(controller)] ?? 'on the bus';
  return `${controller} ${state}, drives ${board.machines.map((m) => m.prop.id).join(', ')}`;
}

function describe(machine: Machine): string {
  const { placeMm, moving, energised } = machine.truth();
  const track = machine.track;
  const here = track?.marks.find((m) => placeMm! >= m.fromMm && placeMm! <= m.toMm);
  const place = track
    ? here
      ? `at ${here.sensor}`
      : `at ${percent(placeMm! / track.lengthMm)} of its way`
    : null;
  const made = [...machine.prop.sensors.keys()].filter((s) => machine.reads(s));
  const words = [
    machine.prop.id,
    place,
    moving
      ? 'moving'
      : energised
        ? 'driven but still'
        : track || machine.prop.moves.size > 0
          ? 'at rest'
          : null,
    made.length > 0 ? `reads ${made.join(' and ')} made` : null,
    ...machine.faults().map((f) => `${f.name}${f.sensor ? ` ${f.sensor}` : ''}`),
  ];
  return words.filter((w) => w !== null).join(' ');
}

function machineOf(posts: Posts, id: string, use: string = USES.list): Machine {
  const machine = posts.crew.machines.get(id);
  if (!machine) throw new Refusal(unknown('prop', id, [...posts.crew.machines.keys()], use));
  return machine;
}

function sensorOf(machine: Machine, sensor: string | null | undefined): string {
  const known = [...machine.prop.sensors.keys()];
  if (known.length === 0) throw new Refusal(`${machine.prop.title} has no sensors`);
  if (!sensor || !machine.prop.sensors.has(sensor)) {
    throw new Refusal(`${machine.prop.title} has no sensor '${sensor ?? ''}'. It has: ${known.join(', ')}`);
  }
  return sensor;
}

/** A mat or button; an end is made by its prop's blade alone. */
function plainSensor(posts: Posts, where: string | undefined, use: string) {
  const [id = '', named] = (where ?? '').split('.', 2);
  const machine = machineOf(posts, id, use);
  const sensor = sensorOf(machine, named ?? machine.prop.sensors.keys().next().value);
  if (machine.track?.marks.some((m) => m.sensor === sensor)) {
    throw new Refusal(`${id}.${sensor} is an end, which nobody presses. Say: put ${id} ${sensor}`);
  }
  return { machine, sensor };
}

function unknown(kind: string, id: string, known: readonly string[], use: string): string {
  if (id === '') return `which ${kind}? Say: ${use}`;
  return `no ${kind} '${id}' among these stand-ins${known.length > 0 ? `. Nearest: ${closest(id, [...known])}` : ''}`;
}

function durationMs(text: string): number {
  const read = /^(\d+(?:\.\d+)?) ?(ms|s|min)$/.exec(text);
  if (!read) throw new Refusal(`'${text}' is no time. Write 500 ms or 2 s`);
  return Math.round(Number(read[1]) * { ms: 1, s: 1000, min: 60_000 }[read[2] as 'ms' | 's' | 'min']);
}

function share(text: string, wanted: string): number {
  const read = /^(\d+(?:\.\d+)?) ?%$/.exec(text);
  const value = read ? Number(read[1]) / 100 : Number.NaN;
  if (!(value >= 0 && value <= 1)) throw new Refusal(`'${text}' is not what fits here. Write ${wanted}`);
  return value;
}

function percent(value: number): string {
  return `${Math.round(value * 100)} %`;
}

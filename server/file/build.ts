import type {
  Circuit,
  Load,
  Move,
  NightEntry,
  Prop,
  Scene,
  Sensor,
  Step,
  Tank,
  Yard,
  Zone,
} from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Ref } from './names.ts';
import type { YardFile } from './schema.ts';
import type { MoveFile, PropFile, SceneFile } from './schema-props.ts';

/** Embedded, on this computer alone: what the yard has that says nothing of its bus. */
const LISTEN = { host: '127.0.0.1', port: 1883 };

/**
 * Makes the yard of what the schema read: defaults filled in, tables as maps in the order of the file. Where the file has
 * errors it is a draft: what was left out is missing, times that could not be known are NaN, and what an entry can't do
 * without is stood in for, which `book.clean` tells.
 */
export function buildYard(file: YardFile, book: Book): Yard {
  const { yard, bus } = file;
  const props = inFileOrder(book, 'props', file.props, buildProp);
  return {
    id: yard.id,
    title: yard.title,
    timezone: yard.timezone,
    latitude: yard.latitude,
    longitude: yard.longitude,
    seed: yard.seed ?? 1,
    restart: yard.restart ?? 'ask',
    bus: {
      root: bus?.root ?? 'yard',
      listen: bus?.url === undefined ? (bus?.listen ?? LISTEN) : null,
      url: bus?.url ?? null,
      silenceMs: bus?.silence ?? 1000,
    },
    nights: file.nights.map(buildNight),
    dark: file.dark ?? [],
    circuits: inFileOrder(book, 'circuits', file.circuits ?? {}, buildCircuit),
    tanks: inFileOrder(book, 'tanks', file.tanks ?? {}, buildTank),
    zones: inFileOrder(book, 'zones', file.zones ?? {}, buildZone),
    props,
    scenes: inFileOrder(book, 'scenes', file.scenes, buildScene),
    controllers: controllersOf(props),
  };
}

type Table<T> = Readonly<Record<string, T>>;

/** JavaScript would put names that look like numbers first; homing goes in the order of the file. */
function ordered<T>(book: Book, path: readonly (string | number)[], table: Table<T>): [string, T][] {
  return book.names(path).flatMap((name) => (Object.hasOwn(table, name) ? [[name, table[name]!]] : []));
}

function inFileOrder<T, R>(
  book: Book,
  section: string,
  table: Table<T>,
  build: (id: string, from: T, book: Book) => R,
): ReadonlyMap<string, R> {
  return new Map(ordered(book, [section], table).map(([id, from]) => [id, build(id, from, book)]));
}

function buildNight(from: YardFile['nights'][number]): NightEntry {
  return {
    prepare: from.prepare,
    open: from.open,
    close: from.close,
    quiet: from.quiet ?? null,
    opens: from.opens,
    noticeMs: from.notice ?? 30_000,
    noticeScene: from['notice-scene'] ?? null,
    fallbackOpen: from['fallback-open'] ?? null,
  };
}

function buildCircuit(id: string, from: NonNullable<YardFile['circuits']>[string]): Circuit {
  return {
    id,
    title: from.title ?? id,
    volts: from.volts,
    breakerAmps: from.breaker,
    continuous: from.continuous ?? 0.8,
    standingAmps: from.standing ?? 0,
    cable: from.cable ? { lengthMm: from.cable.length, gauge: from.cable.gauge } : null,
  };
}

function buildTank(id: string, from: NonNullable<YardFile['tanks']>[string], book: Book): Tank {
  const { circuit, amps } = from.compressor;
  return {
    id,
    title: from.title ?? id,
    volumeLitres: from.volume,
    cutInKpa: from['cut-in'],
    cutOutKpa: from['cut-out'],
    workingKpa: from.working,
    deliveryLpm: from.delivery,
    // In a draft what is not known draws nothing: what is too much even so is told.
    compressor: { circuit, amps: book.clean(['tanks', id, 'compressor']) ? amps : 0 },
  };
}

function buildZone(id: string, from: NonNullable<YardFile['zones']>[string]): Zone {
  return {
    id,
    title: from.title ?? id,
    atMost: from['at-most'] ?? Number.POSITIVE_INFINITY,
    gapMs: from.gap ?? 0,
  };
}

function buildProp(id: string, from: PropFile, book: Book): Prop {
  const sensors = ordered(book, ['props', id, 'sensors'], from.sensors ?? {});
  const moves = ordered(book, ['props', id, 'moves'], from.moves ?? {}).map(
    ([name, move]): [string, Move] => [name, buildMove(name, move, from, book, ['props', id, 'moves', name])],
  );
  const toHome = moves.filter(([, m]) => m.until !== null && m.until === from.home);
  const only = toHome.length === 1 ? toHome[0]![0] : null;
  return {
    id,
    title: from.title,
    kind: from.kind ?? 'prop',
    zone: from.zone ?? null,
    controller: from.controller ?? id,
    sensors: new Map(sensors.map(([name, kind]): [string, Sensor] => [name, { id: name, kind }])),
    home: from.home ?? null,
    homeMove: from.home === undefined ? null : (from['home-move'] ?? only),
    restMs: from.rest ?? 0,
    duty: from.duty ? { on: from.duty.on, overMs: from.duty.over } : null,
    drive: from.drive
      ? {
          rpm: from.drive.rpm,
          teeth: from.drive.teeth,
          pitchMm: from.drive.pitch,
          travelMm: from.drive.travel,
        }
      : null,
    serviceEvery: from['service-every'] ?? null,
    moves: new Map(moves),
    cable: from.cable ? { lengthMm: from.cable.length, gauge: from.cable.gauge } : null,
  };
}

function buildMove(
  id: string,
  from: MoveFile,
  prop: PropFile,
  book: Book,
  path: readonly (string | number)[],
): Move {
  const lastsMs = from.lasts ?? null;
  const derived = lastsMs === null && from.usual === undefined && prop.drive !== undefined;
  const usualMs = lastsMs ?? from.usual ?? (prop.drive ? driveMs(prop.drive) : Number.NaN);
  const limitMs = from.limit ?? (lastsMs === null ? Number.NaN : Math.round(lastsMs * 1.5) + 2000);
  return {
    id,
    lastsMs,
    until: from.until ?? null,
    usualMs,
    derived,
    limitMs,
    needs: from.needs ?? [],
    loads: ordered(book, [...path, 'load'], from.load ?? {}).map(([circuit, load]): Load => {
      if (typeof load === 'number') return { circuit, runAmps: load, surgeAmps: load, surgeMs: 0 };
      const { run, surge } = load;
      return { circuit, runAmps: run, surgeAmps: surge?.amps ?? run, surgeMs: surge?.forMs ?? 0 };
    }),
    air: ordered(book, [...path, 'air'], from.air ?? {}).map(([tank, litres]) => ({ tank, litres })),
    loud: from.loud ?? false,
  };
}

/**
 * How long a carriage takes from end to end, in whole ms: travel / (rpm / 60 × teeth × pitch), a toothed belt
 * running at the pulley's pitch length a turn. No time for starting and stopping is in it.
 */
export function driveMs(drive: { rpm: number; teeth: number; pitch: number; travel: number }): number {
  return Math.round((1000 * drive.travel) / ((drive.rpm / 60) * drive.teeth * drive.pitch));
}

function buildScene(id: string, from: SceneFile): Scene {
  const steps = from.steps.map((step): Step => {
    if ('wait' in step) return { kind: 'wait', ms: step.wait };
    if ('together' in step) return { kind: 'together', moves: step.together.map(moveOf) };
    return { kind: 'move', ...moveOf(step) };
  });
  const ifItFails = (from['if-it-fails'] ?? []).map(moveOf);
  return {
    id,
    title: from.title,
    zone: from.zone ?? null,
    everyMs: from.every ?? null,
    vary: from.vary ?? 0,
    weight: from.weight ?? 1,
    restMs: from.rest ?? 0,
    on: from.on ? { prop: from.on.prop, sensor: from.on.of } : null,
    againAfterMs: from['again-after'] ?? 0,
    steps,
    ifItFails,
    props: [...new Set([...steps.flatMap(propsOf), ...ifItFails.map((m) => m.prop)])],
  };
}

function moveOf(ref: Ref): { prop: string; move: string } {
  return { prop: ref.prop, move: ref.of };
}

function propsOf(step: Step): string[] {
  if (step.kind === 'wait') return [];
  return step.kind === 'move' ? [step.prop] : step.moves.map((m) => m.prop);
}

function controllersOf(props: ReadonlyMap<string, Prop>): ReadonlyMap<string, readonly string[]> {
  const controllers = new Map<string, string[]>();
  for (const prop of props.values()) {
    const its = controllers.get(prop.controller) ?? [];
    its.push(prop.id);
    controllers.set(prop.controller, its);
  }
  return controllers;
}

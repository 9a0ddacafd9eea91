import { readFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { type Broker, BrokerError, startBroker } from './bus/broker.ts';
import type { Bus } from './bus/client.ts';
import type { BusPort } from './bus/port.ts';
import type { Desk } from './desk.ts';
import { readYardBytes } from './file/check.ts';
import type { WaitingFile } from './live-yard.ts';
import type { ServeSettings } from './settings.ts';
import type { Show } from './show/show.ts';
import type { NoteWords } from './words/tongue.ts';
import type { Yard } from './yard/types.ts';

export interface Log {
  info(what: object, text: string): void;
  warn(what: object, text: string): void;
  error(what: object, text: string): void;
}

/** What keeps it from starting, for a person; `message` is whole sentences. */
export class ServeError extends Error {
  /** 1: the answer is no, as for a file with errors; 2: misuse, as for a file that is not there. */
  readonly exitCode: 1 | 2;

  constructor(message: string, exitCode: 1 | 2 = 1) {
    super(message);
    this.exitCode = exitCode;
  }
}

/** The yard of a file, its bus on the port that the settings want. All errors of the file are told, as `check` does. */
export async function yardAt(path: string, settings: ServeSettings): Promise<{ text: string; yard: Yard }> {
  const bytes = await readFile(path).catch((error: NodeJS.ErrnoException) => {
    const missing = error.code === 'ENOENT';
    throw new ServeError(
      missing ? `There is no file ${path}.` : `${path} can't be read: ${error.message}.`,
      2,
    );
  });
  const read = readYardBytes(bytes, path);
  if (!read.ok) {
    const told = read.errors.map((e) => `  ${e.message}`);
    throw new ServeError(
      `${path} has ${told.length} ${told.length === 1 ? 'error' : 'errors'}:\n${told.join('\n')}`,
    );
  }
  const text = bytes.toString('utf8');
  const { listen } = read.yard.bus;
  if (settings.busPort === null || !listen) return { text, yard: read.yard };
  return {
    text,
    yard: { ...read.yard, bus: { ...read.yard.bus, listen: { ...listen, port: settings.busPort } } },
  };
}

/** The demonstration takes a free port where the usual one is taken; a yard's boards know theirs, so it does not. */
export async function brokerOf(
  yard: Yard,
  word: string,
  demo: boolean,
  busPort: number | null,
  log: Log,
): Promise<Broker | null> {
  const { listen, root } = yard.bus;
  if (!listen) return null;
  const options = { host: listen.host, port: listen.port, root, word, log };
  try {
    return await startBroker(options);
  } catch (error) {
    const another =
      demo && busPort === null && error instanceof BrokerError && error.code === 'bus-port-taken';
    if (!another) throw error;
    return startBroker({ ...options, port: 0 });
  }
}

/** The bus needs the desk and the desk the bus: the desk is given the bus by what it will be. */
export function lateBus(bus: () => Bus): BusPort {
  return {
    get connected() {
      return bus().connected;
    },
    startMove: (order, who) => bus().startMove(order, who),
    haltProp: (prop, why, who) => bus().haltProp(prop, why, who),
    stop: (latched, n, who) => bus().stop(latched, n, who),
    announce: (who) => bus().announce(who),
    notice: (inMs, who) => bus().notice(inMs, who),
    desk: (who) => bus().desk(who),
    heartbeat: (who, n, stop) => bus().heartbeat(who, n, stop),
    flushed: () => bus().flushed(),
  };
}

export function readyOf(
  desk: Desk,
  waits: string | null,
  notes: NoteWords,
): { ready: boolean; why: string | null } {
  if (waits) return { ready: false, why: waits };
  const { connected, standsDown, takingAbove } = desk.show.desk;
  if (standsDown) return { ready: false, why: notes.anotherTookOver(standsDown.desk) };
  if (!connected || takingAbove > 0) return { ready: false, why: notes.busGone };
  return { ready: true, why: null };
}

export function dropNotes(desk: Desk, notes: NoteWords): string[] {
  const out: string[] = [];
  if (desk.counts.dropped > 0) {
    const { most } = desk.drops;
    const said = notes.dropped(desk.counts.dropped);
    out.push(most ? `${said} ${notes.mostDropped[most.code](most.what)}` : said);
  }
  if (desk.overflowed > 0) out.push(notes.flooded(desk.overflowed));
  return out;
}

/** Whether a run, a move or a homing is under way. */
export function anyMoving(show: Show): boolean {
  if (show.runs.length > 0 || show.homing !== null) return true;
  return Object.values(show.props).some(({ flight }) => flight !== null && flight.lost !== 'let-go');
}

/** What a saved yard file waits for, for everyone who looks at the yard. */
export function waitingNotes(waits: WaitingFile | null, yard: Yard, notes: NoteWords): string[] {
  if (!waits) return [];
  if (waits.when === 'start') return [notes.fileFromStart];
  if (waits.when === 'closed') return [notes.fileOnceClosed];
  const titles = [
    ...waits.props.map((id) => yard.props.get(id)?.title ?? id),
    ...waits.scenes.map((id) => yard.scenes.get(id)?.title ?? id),
  ];
  return [notes.fileOnceAtRest(titles)];
}

/** The certificate and the key of the settings; what is not there or can't be read is said with its name. */
export function tlsAt({ cert, key }: NonNullable<ServeSettings['tls']>): { cert: Buffer; key: Buffer } {
  const read = (path: string): Buffer => {
    try {
      return readFileSync(path);
    } catch (error) {
      const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
      throw new ServeError(
        missing ? `There is no file ${path}.` : `${path} can't be read: ${String(error)}.`,
        2,
      );
    }
  };
  return { cert: read(cert), key: read(key) };
}

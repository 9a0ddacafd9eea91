import { once } from 'node:events';
import type { ServerOptions } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Registry } from 'prom-client';
import type { DeskDoor } from '../desk-door.ts';
import type { PastDoor } from '../past/past.ts';
import { english } from '../words/en/english.ts';
import type { Tongue } from '../words/tongue.ts';
import { type App, buildApp } from './app.ts';
import type { DemoDoor } from './call.ts';
import type { SetUpParts } from './calls-set-up.ts';
import { type Connections, watchConnections } from './connections.ts';
import { type Doors, type Front, openDoors, type Tls, TlsError } from './doors.ts';
import { type Feed, openFeed } from './feed.ts';
import { countFigures, type Figures } from './figures.ts';
import { standInFront } from './front.ts';
import type { People } from './people.ts';
import { joinUrls, pageUrl } from './qr.ts';
import type { StopParts } from './stop.ts';

export interface Log {
  info(what: object, text: string): void;
  warn(what: object, text: string): void;
  error(what: object, text: string): void;
}

export interface ApiSettings {
  readonly door: DeskDoor;
  readonly past: PastDoor;
  readonly host: string;
  /** 0: any free one. */
  readonly port: number;
  readonly people: People;
  /** Further host names that it answers to. */
  readonly names: readonly string[];
  /** Folder of the built page. */
  readonly webDir: string;
  readonly demonstration: DemoDoor | null;
  /** The yard file and the red button's record; without them the set-up screen has only people. */
  readonly setUp?: Omit<SetUpParts, 'clock' | 'tongue'>;
  readonly log: Log;
  readonly metrics: Registry;
  /** The desk's wall time, ms. */
  readonly clock: () => number;
  /** Makes the description of the bus; null where there is none. */
  readonly asyncapi: (() => unknown) | null;
  /** A certificate and its key, PEM: then the page is served by https, and plain http leads to it. */
  readonly tls?: Tls;
  /** What people read is in this language; left out, in English. */
  readonly tongue?: Tongue;
  /** For tests: how fast it beats and gathers, how it waits, how many calls an address has. */
  readonly pace?: Pace;
}

export interface Pace {
  readonly beatMs?: number;
  readonly gatherMs?: number;
  /** Resolves after so many ms; sign-ins after a wrong PIN wait by it. */
  readonly wait?: (ms: number) => Promise<void>;
  /** Ms that only go forward; bars after wrong PINs end by it. */
  readonly monotonic?: () => number;
  /** Calls an address has in 10 s, stops apart. */
  readonly callsAtMost?: number;
}

export interface Api {
  readonly port: number;
  /** Where a person opens the page: the first address that a phone reaches, else this computer's own. */
  readonly url: string;
  /** All addresses that a phone reaches; none where it listens to this computer alone. */
  readonly addresses: readonly string[];
  /** Within a second, whatever is open. */
  close(): Promise<void>;
}

/** Thrown where it can't listen; `message` says what to do. */
export class ApiStartError extends Error {
  readonly code: 'port-taken' | 'port-refused' | 'no-such-address' | 'no-listening' | 'tls-refused';

  constructor(code: ApiStartError['code'], message: string) {
    super(message);
    this.code = code;
  }
}

const CONNECTIONS_AT_MOST = 512;
/** For a request's whole head, and for all of it. */
const HEAD_MS = 5_000;
const REQUEST_MS = 10_000;
/** What is under way when it closes may end within this time. */
const LAST_ANSWERS_MS = 200;

/** Begins to answer: the calls, the page and the feed on one port, the stop ahead of all. Throws `ApiStartError`. */
export async function startApi(settings: ApiSettings): Promise<Api> {
  const { door, host, clock, log, pace = {}, tongue = english } = settings;
  // A stop may come without a Host; everything else is refused without one by the guard.
  const { server, plain, front } = doorsOf(settings.tls, {
    requireHostHeader: false,
    headersTimeout: HEAD_MS,
    requestTimeout: REQUEST_MS,
    connectionsCheckingInterval: 1_000,
  });
  const secure = settings.tls !== undefined;
  const port = () => (front.address() as AddressInfo | null)?.port ?? settings.port;
  const figures: Figures = countFigures(settings.metrics, {
    sockets: () => feed.sockets,
    connections: () => connections.count,
  });
  const app = buildApp(settings, figures, port);
  server.on('request', app.listener);
  const feed: Feed = openFeed({ server, door, clock, figures, pace });
  let last: { n: number; bus: boolean } = { n: 0, bus: true };
  const stop: StopParts = {
    door,
    told(stop) {
      figures.stop(stop.bus);
      // Pressing again changes nothing, and a flood of presses is not to fill a disk.
      if (stop.n === last.n && stop.bus === last.bus) return;
      last = stop;
      log.warn(stop, 'Stop asked for.');
    },
    failed: (error) => log.error({ error: String(error) }, 'A stop failed in the desk or on its way back.'),
  };
  standInFront(server, settings.names, stop, tongue);
  if (plain) {
    standInFront(plain, settings.names, stop, tongue);
    watchConnections(plain, CONNECTIONS_AT_MOST);
  }
  const connections: Connections = watchConnections(
    server,
    CONNECTIONS_AT_MOST,
    secure ? 'secureConnection' : 'connection',
  );
  const close = () => closeAll(front, feed, app, connections);
  try {
    await listen(front, host, settings.port);
  } catch (error) {
    await close();
    throw error;
  }
  front.on('error', (error) => log.error({ error: String(error) }, 'The page and its calls had an error.'));
  const addresses = joinUrls(host, port(), undefined, secure);
  return { port: port(), addresses, url: addresses[0] ?? pageUrl(host, port(), secure), close };
}

function doorsOf(tls: Tls | undefined, options: ServerOptions): Doors {
  try {
    return openDoors(tls, options);
  } catch (error) {
    if (!(error instanceof TlsError)) throw error;
    throw new ApiStartError(
      'tls-refused',
      `The certificate and the key for https can not be used: ${error.message}. Both are PEM files, and belong together; look at DUSKLATCH_TLS_CERT and DUSKLATCH_TLS_KEY.`,
    );
  }
}

async function listen(server: Front, host: string, port: number): Promise<void> {
  try {
    server.listen({ host, port });
    await once(server, 'listening');
  } catch (error) {
    throw startError(error as NodeJS.ErrnoException, host, port);
  }
}

function startError(error: NodeJS.ErrnoException, host: string, port: number): ApiStartError {
  switch (error.code) {
    case 'EADDRINUSE':
      return new ApiStartError(
        'port-taken',
        `Port ${port} is taken by another program, perhaps by another dusklatch. End that, or take another with --port or DUSKLATCH_PORT.`,
      );
    case 'EACCES':
      return new ApiStartError(
        'port-refused',
        `Port ${port} is not allowed to this user. Take one above 1023 with --port or DUSKLATCH_PORT.`,
      );
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
      return new ApiStartError(
        'no-such-address',
        `This computer has no address ${host}. Look at --host or DUSKLATCH_HOST; 0.0.0.0 takes all.`,
      );
    default:
      return new ApiStartError(
        'no-listening',
        `The page can not be served on ${host}, port ${port}: ${error.message}.`,
      );
  }
}

async function closeAll(server: Front, feed: Feed, app: App, connections: Connections): Promise<void> {
  const closed = new Promise((resolve) => server.close(resolve));
  feed.close();
  server.closeIdleConnections();
  const cut = setTimeout(() => {
    connections.destroyAll();
    server.closeAllConnections();
  }, LAST_ANSWERS_MS);
  await closed;
  clearTimeout(cut);
  app.close();
}

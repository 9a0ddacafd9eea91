import {
  createServer,
  type IncomingMessage,
  type Server,
  type ServerOptions,
  type ServerResponse,
} from 'node:http';
import { createServer as createSecureServer } from 'node:https';
import { createServer as createNetServer, type Server as NetServer, type Socket } from 'node:net';

/** PEM. */
export interface Tls {
  readonly cert: Buffer;
  readonly key: Buffer;
}

/** The certificate and the key are none, or do not belong together. */
export class TlsError extends Error {}

/** What listens: the one server, or where there is https as well, what parts the two kinds of callers. */
export type Front = NetServer & {
  closeIdleConnections(): void;
  /** Cuts off whatever is still connected. */
  closeAllConnections(): void;
};

export interface Doors {
  /** Whose requests are the page's and its calls'. */
  readonly server: Server;
  /** Beside https: plain http on the same port, which leads to it; a stop is answered on it all the same. */
  readonly plain: Server | null;
  readonly front: Front;
}

/** RFC 8446, section 5.1: the content type of a handshake record, by which every TLS connection begins. */
const HANDSHAKE = 0x16;
const FIRST_BYTE_MS = 5_000;
const WAITING_AT_MOST = 256;

/**
 * Opens http, or https with http beside it on the very same port: somebody who types the address without the s must
 * still reach a stop. Throws `TlsError`.
 */
export function openDoors(tls: Tls | undefined, options: ServerOptions): Doors {
  if (!tls) {
    const server = createServer(options);
    return { server, plain: null, front: server };
  }
  const server = secureServer(tls, options);
  const plain = createServer(options);
  plain.on('request', leadToHttps);
  // Nothing is upgraded here: the feed is behind https.
  plain.on('upgrade', (_req, socket) => socket.destroy());
  return { server, plain, front: parting(server, plain) };
}

function secureServer(tls: Tls, options: ServerOptions): Server {
  try {
    return createSecureServer({ ...options, ...tls, handshakeTimeout: FIRST_BYTE_MS }) as unknown as Server;
  } catch (error) {
    throw new TlsError(error instanceof Error ? error.message : String(error));
  }
}

/** Hands each connection to the one or the other by its first byte. */
function parting(server: Server, plain: Server): Front {
  const waiting = new Set<Socket>();
  const all = new Set<Socket>();
  const front = createNetServer((socket) => {
    waiting.add(socket);
    all.add(socket);
    // Never a new one refused, since it may be a stop: over the bound, the oldest goes.
    if (waiting.size > WAITING_AT_MOST) waiting.values().next().value?.destroy();
    socket.setTimeout(FIRST_BYTE_MS, () => socket.destroy());
    socket.on('error', () => {});
    socket.once('close', () => {
      waiting.delete(socket);
      all.delete(socket);
    });
    socket.once('data', (bytes) => {
      socket.pause();
      waiting.delete(socket);
      socket.setTimeout(0);
      socket.removeAllListeners('timeout');
      socket.unshift(bytes);
      (bytes[0] === HANDSHAKE ? server : plain).emit('connection', socket);
      process.nextTick(() => socket.resume());
    });
  });
  return Object.assign(front, {
    closeIdleConnections() {
      for (const socket of waiting) socket.destroy();
      server.closeIdleConnections();
      plain.closeAllConnections();
    },
    closeAllConnections() {
      for (const socket of all) socket.destroy();
    },
  });
}

/** The guard has looked at the host before: it is one that this computer answers to. */
function leadToHttps(req: IncomingMessage, res: ServerResponse): void {
  const target = req.url?.startsWith('/') && !req.url.startsWith('//') ? req.url : '/';
  res.writeHead(308, {
    Location: `https://${req.headers.host ?? ''}${target}`,
    'Content-Length': 0,
    Connection: 'close',
  });
  res.end();
}

import type { Server } from 'node:http';
import type { Socket } from 'node:net';
import type { Duplex } from 'node:stream';

/** How long a caller may go on sending a body that nobody reads after it has its answer. */
const LINGER_MS = 1_000;

export interface Connections {
  readonly count: number;
  /** Destroys what is still open. */
  destroyAll(): void;
}

/**
 * Bounds the open connections without ever refusing a new one, since the new one may be a stop: over the bound, the
 * oldest goes. A body that never ends is cut off a second after its answer; cutting at once would reset the
 * connection before a slow caller has read the answer.
 */
export function watchConnections(
  server: Server,
  atMost: number,
  event: 'connection' | 'secureConnection' = 'connection',
): Connections {
  const open = new Set<Socket>();
  // The feed's sockets are bounded by the feed, and are the last that a flood of callers should push out.
  const upgraded = new Set<Duplex>();
  server.on(event, (socket: Socket) => {
    open.add(socket);
    socket.on('close', () => open.delete(socket));
    if (open.size > atMost) open.values().next().value?.destroy();
  });
  server.on('upgrade', (_req, socket: Duplex) => {
    open.delete(socket as Socket);
    upgraded.add(socket);
    socket.on('close', () => upgraded.delete(socket));
  });
  server.on('request', (req, res) => {
    res.on('finish', () => {
      if (req.complete) return;
      req.resume();
      setTimeout(() => {
        if (!req.complete) req.socket.destroy();
      }, LINGER_MS).unref();
    });
  });
  return {
    get count() {
      return open.size + upgraded.size;
    },
    destroyAll() {
      for (const socket of [...open, ...upgraded]) socket.destroy();
    },
  };
}

import type { Server } from 'node:http';
import { type Socket, Server as SocketServer } from 'socket.io';
import type { DeskDoor, PictureChange } from '../desk-door.ts';
import { type FeedChange, mergeChanges } from './feed-words.ts';
import type { Figures } from './figures.ts';

/** Changes within this time go out as one. */
const GATHER_MS = 50;
const BEAT_MS = 1_000;
/** Messages that may wait for one page; a page with more waiting gets nothing until it has taken them. */
const WAITING_AT_MOST = 8;
/** A page that stays behind for so many beats is let go; it comes back and begins with a whole picture. */
const BEHIND_BEATS = 10;
/** Pages that listen at a time. */
const SOCKETS_AT_MOST = 64;
/** The feed listens to nothing; what a page sends is counted, and a page that goes on sending is let go. */
const INBOUND_AT_MOST = 20;
const INBOUND_BYTES = 2_048;

export interface FeedParts {
  readonly server: Server;
  readonly door: Pick<DeskDoor, 'picture' | 'onChange'>;
  /** The desk's wall time, ms. */
  readonly clock: () => number;
  readonly figures: Pick<Figures, 'inbound' | 'behind'>;
  /** Only tests hurry. */
  readonly pace: { readonly beatMs?: number; readonly gatherMs?: number };
}

export interface Feed {
  readonly sockets: number;
  close(): void;
}

interface Listener {
  /** Messages not yet taken by the connection. */
  waiting: number;
  behindBeats: number;
  inbound: number;
}

/** The room of those that are told: who has the picture, and keeps up. */
const TOLD = 'told';

/**
 * Tells the pages what the yard looks like: see feed-words.ts for what goes out. A slow page costs a bounded number of
 * messages: beyond it, it is passed over, and the gap that it then sees makes it ask anew.
 */
export function openFeed(parts: FeedParts): Feed {
  const io = new SocketServer(parts.server, {
    serveClient: false,
    maxHttpBufferSize: INBOUND_BYTES,
    pingInterval: 5_000,
    pingTimeout: 5_000,
    connectTimeout: 5_000,
    upgradeTimeout: 5_000,
    httpCompression: false,
    destroyUpgrade: false,
    allowRequest: (_req, told) => {
      const room = io.engine.clientsCount < SOCKETS_AT_MOST;
      told(room ? null : 'Too many pages are open.', room);
    },
  });
  const listeners = new Map<Socket, Listener>();
  const gathered = gatherChanges(parts, (change) => {
    sortOut(listeners, parts);
    io.to(TOLD).emit('change', change);
  });
  io.on('connection', (socket) => {
    // Whoever joins gets the picture with all changes so far, so the next one follows on it.
    const picture = parts.door.picture();
    gathered.send();
    listeners.set(socket, listen(socket, parts));
    socket.on('disconnect', () => listeners.delete(socket));
    socket.emit('picture', picture);
    void socket.join(TOLD);
  });
  const beat = setInterval(() => {
    gathered.send();
    sortOut(listeners, parts);
    io.to(TOLD).emit('beat', { at: parts.clock(), seq: gathered.seq() });
    for (const [socket, listener] of listeners) {
      listener.behindBeats = socket.rooms.has(TOLD) ? 0 : listener.behindBeats + 1;
      if (listener.behindBeats >= BEHIND_BEATS) socket.conn.close(true);
    }
  }, parts.pace.beatMs ?? BEAT_MS);
  return {
    get sockets() {
      return listeners.size;
    },
    close() {
      clearInterval(beat);
      gathered.close();
      void io.close();
    },
  };
}

function listen(socket: Socket, { figures }: FeedParts): Listener {
  const listener: Listener = { waiting: 0, behindBeats: 0, inbound: 0 };
  socket.conn.on('packetCreate', () => {
    listener.waiting += 1;
  });
  socket.conn.on('flush', () => {
    listener.waiting = 0;
  });
  socket.onAny(() => {
    figures.inbound();
    listener.inbound += 1;
    if (listener.inbound >= INBOUND_AT_MOST) socket.conn.close(true);
  });
  return listener;
}

/** Who is behind is passed over; who has taken all that waited is told again. */
function sortOut(listeners: ReadonlyMap<Socket, Listener>, { figures }: FeedParts): void {
  for (const [socket, { waiting }] of listeners) {
    const told = socket.rooms.has(TOLD);
    if (told && waiting >= WAITING_AT_MOST) {
      void socket.leave(TOLD);
      figures.behind();
    } else if (!told && waiting === 0) {
      void socket.join(TOLD);
    }
  }
}

/**
 * Gathers changes: the first goes out as soon as the turn is over, what follows within the time goes out together.
 * A new mode or stop waits for nothing. Never sends within the desk's turn, so no page can hold it up or fail it.
 */
function gatherChanges({ door, pace }: FeedParts, out: (change: FeedChange) => void) {
  const gatherMs = pace.gatherMs ?? GATHER_MS;
  let seq = door.picture().seq;
  let pending: PictureChange | null = null;
  let soon: NodeJS.Immediate | null = null;
  let later: NodeJS.Timeout | null = null;
  let sentMs = Number.NEGATIVE_INFINITY;

  function send(): void {
    if (soon) clearImmediate(soon);
    if (later) clearTimeout(later);
    soon = later = null;
    if (!pending) return;
    const change = { ...pending, from: seq };
    seq = pending.seq;
    pending = null;
    sentMs = performance.now();
    out(change);
  }

  const leave = door.onChange((change) => {
    pending = pending ? mergeChanges(pending, change) : change;
    if (soon) return;
    const waitMs = sentMs + gatherMs - performance.now();
    if (waitMs <= 0 || change.set.mode !== undefined || change.set.stop !== undefined)
      soon = setImmediate(send);
    else later ??= setTimeout(send, waitMs);
  });

  return {
    send,
    seq: () => seq,
    close() {
      leave();
      pending = null;
      send();
    },
  };
}

import { type IncomingMessage, type RequestListener, type Server, ServerResponse } from 'node:http';
import type { Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import type { Tongue } from '../words/tongue.ts';
import { foreign, safeHeaders } from './guard.ts';
import { sendProblem } from './page.ts';
import { answerStop, isStopPath, type StopParts } from './stop.ts';

type UpgradeListener = (req: IncomingMessage, socket: Duplex, head: Buffer) => void;

const SOCKET_PATH = '/socket.io/';
const LINGER_MS = 1_000;

/**
 * Puts the stop, and after it the guard, before whatever listens to the server's requests so far. That holds for a
 * request in any dress: one that expects something we know nothing of, or offers another protocol (as curl does with
 * h2c), is answered like any other; only the feed's own path is ever upgraded.
 */
export function standInFront(
  server: Server,
  names: readonly string[],
  stop: StopParts,
  tongue: Tongue,
): void {
  const requested = take<RequestListener>(server, 'request');
  const upgraded = take<UpgradeListener>(server, 'upgrade');

  function answer(req: IncomingMessage, res: ServerResponse, behind: () => void): void {
    if (isStopPath(req.url ?? '')) return answerStop(req, res, stop, tongue);
    safeHeaders(req, res, () => {
      const against = foreign(req, names);
      if (against) sendProblem(req, res, against, tongue);
      else behind();
    });
  }
  const onRequest = (req: IncomingMessage, res: ServerResponse<IncomingMessage> & { req: IncomingMessage }) =>
    answer(req, res, () => {
      for (const listener of requested) listener(req, res);
    });
  server.on('request', onRequest);
  server.on('checkExpectation', onRequest);
  server.on('upgrade', (req, socket, head) => {
    const res = plainResponse(req, socket);
    if (!req.url?.startsWith(SOCKET_PATH)) return onRequest(req, res);
    answer(req, res, () => {
      res.detachSocket(socket as Socket);
      for (const listener of upgraded) listener(req, socket, head);
    });
  });
}

function take<L>(server: Server, event: string): L[] {
  const listeners = server.listeners(event) as L[];
  server.removeAllListeners(event);
  return listeners;
}

/** An answer in plain HTTP to a request that offered another protocol; the connection ends with it. */
function plainResponse(req: IncomingMessage, socket: Duplex) {
  const res = new ServerResponse(req);
  res.assignSocket(socket as Socket);
  res.shouldKeepAlive = false;
  socket.on('error', () => {});
  res.on('finish', () => {
    // Cutting at once would reset a caller that is still sending, before it has read the answer.
    socket.resume();
    socket.end();
    setTimeout(() => socket.destroy(), LINGER_MS).unref();
  });
  return res;
}

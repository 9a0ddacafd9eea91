import type { IncomingMessage, ServerResponse } from 'node:http';
import type { DeskDoor } from '../desk-door.ts';
import type { Tongue } from '../words/tongue.ts';
import { plainPage } from './plain-page.ts';
import { PROBLEM_TYPE, problem } from './problem.ts';

/**
 * The stop, ahead of everything else that the api does: as soon as the head of the request is there, before its body,
 * its host, its origin, who sent it and how many others came. Answering is second; a stop is never undone by a failure
 * to answer.
 */

const STOP_PATH = '/api/stop';

/** What the stop needs; `told` hears of each one afterwards. */
export interface StopParts {
  readonly door: Pick<DeskDoor, 'stop'>;
  told(stop: { n: number; bus: boolean; by: string; address: string }): void;
  failed(error: unknown): void;
}

/**
 * Whether a request's target is the stop's: with or without a query, a closing slash, doubled slashes, capitals,
 * escapes, or the whole address in front, as a proxy sends it.
 */
export function isStopPath(target: string): boolean {
  const path = target.replace(/^https?:\/\/[^/?#]*/i, '').replace(/[?#].*$/s, '');
  if (path.length > 200) return false;
  let plain = path;
  try {
    plain = decodeURIComponent(path);
  } catch {
    // Not escapes then; what is there is compared as it stands.
  }
  return plain.toLowerCase().replace(/\/+/g, '/').replace(/\/$/, '') === STOP_PATH;
}

/**
 * The longest that the answer to a stop waits for its record. Said too soon, a stop could be told as done and then be
 * lost with the power before it had left the process or stood on the disk.
 */
const KEPT_MS = 250;

/** Answers every request to the stop's address; only POST is a stop. Never throws. */
export function answerStop(
  req: IncomingMessage,
  res: ServerResponse,
  parts: StopParts,
  tongue: Tongue,
): void {
  const ask = { req, res, tongue };
  if (req.method !== 'POST') return answer(ask, parts, null);
  const outcome = press(req, parts);
  if (outcome.kept) void within(outcome.kept, KEPT_MS).then(() => answer(ask, parts, outcome));
  else answer(ask, parts, outcome);
}

function within(kept: Promise<void>, ms: number): Promise<void> {
  return new Promise((resolve) => {
    const late = setTimeout(resolve, ms);
    const done = () => {
      clearTimeout(late);
      resolve();
    };
    kept.then(done, done);
  });
}

/** A request to the stop's address, and the language in which it is answered. */
interface Ask {
  readonly req: IncomingMessage;
  readonly res: ServerResponse;
  readonly tongue: Tongue;
}

function answer(ask: Ask, parts: StopParts, outcome: Outcome | null): void {
  const { req, res } = ask;
  try {
    // Any page may stop, and may read what came of it; a page on a public network is asked about beforehand.
    res.setHeader('Access-Control-Allow-Origin', '*');
    res.setHeader('Cache-Control', 'no-store');
    res.setHeader('Cross-Origin-Resource-Policy', 'cross-origin');
    res.setHeader('X-Content-Type-Options', 'nosniff');
    if (outcome) tell(ask, outcome);
    else if (req.method === 'OPTIONS') allow(res);
    else {
      res.setHeader('Allow', 'POST, OPTIONS');
      send(ask, 405, PROBLEM_TYPE, JSON.stringify(problem(405, 'get-is-no-stop').body(ask.tongue.lang)));
    }
  } catch (error) {
    parts.failed(error);
    res.destroy();
  }
}

interface Outcome {
  readonly n: number;
  readonly bus: boolean;
  readonly kept?: Promise<void>;
}

function press(req: IncomingMessage, parts: StopParts): Outcome {
  const by = req.headers.origin || req.headers['sec-fetch-mode'] ? 'page' : 'http';
  let outcome: Outcome;
  try {
    outcome = parts.door.stop(by);
  } catch (error) {
    parts.failed(error);
    return { n: 0, bus: false };
  }
  try {
    parts.told({ n: outcome.n, bus: outcome.bus, by, address: req.socket.remoteAddress ?? '' });
  } catch (error) {
    parts.failed(error);
  }
  return outcome;
}

/** A preflight: any page may send any kind of body here. */
function allow(res: ServerResponse): void {
  res.writeHead(204, {
    Allow: 'POST, OPTIONS',
    'Access-Control-Allow-Methods': 'POST',
    'Access-Control-Allow-Headers': 'content-type',
    'Access-Control-Allow-Private-Network': 'true',
    'Access-Control-Max-Age': '86400',
  });
  res.end();
}

function tell(ask: Ask, { n, bus }: Outcome): void {
  const { req, res, tongue } = ask;
  const { plain } = tongue;
  const status = bus ? 200 : 503;
  if (req.headers.accept?.includes('text/html')) {
    res.setHeader(
      'Content-Security-Policy',
      "default-src 'none'; style-src-attr 'unsafe-inline'; form-action 'self'",
    );
    const title = bus ? plain.stopSent(n) : plain.pressRedButton;
    const page = plainPage(title, [bus ? plain.onItsWay : plain.noBus], tongue);
    send(ask, status, 'text/html; charset=utf-8', page);
  } else if (bus) {
    send(ask, status, 'application/json', JSON.stringify({ n, bus }));
  } else {
    const reasons = [{ code: 'no-bus', sentence: plain.noBus }];
    const told = {
      type: 'about:blank',
      title: 'Service Unavailable',
      status,
      detail: plain.noBus,
      reasons,
      n,
      bus,
    };
    send(ask, status, PROBLEM_TYPE, JSON.stringify(told));
  }
}

function send({ req, res }: Ask, status: number, type: string, body: string): void {
  res.writeHead(status, { 'Content-Type': type, 'Content-Length': Buffer.byteLength(body) });
  res.end(req.method === 'HEAD' ? undefined : body);
}

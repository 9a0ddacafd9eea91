import type { IncomingMessage, ServerResponse } from 'node:http';
import { isIP } from 'node:net';
import helmet from 'helmet';
import { type Problem, problem } from './problem.ts';

/**
 * Keeps foreign pages out. A page of another site can reach the yard computer in two ways: by sending a request to
 * its address (the Origin tells), or by having its own name resolve to that address, after which the browser takes the
 * two for one site (the Host tells, since it is the foreign name). Neither rule holds for a stop.
 */

const HOST = /^(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::\d{1,5})?$/;

/** The name or number in a Host header, lower case, without port, brackets and closing dot; null where malformed. */
export function hostName(host: string): string | null {
  const found = HOST.exec(host.toLowerCase())?.[1];
  if (found === undefined) return null;
  return found.startsWith('[') ? found.slice(1, -1) : found.replace(/\.$/, '');
}

/** Whether this is an IP address, a single label (`localhost` is one), `*.local`, or one of `names`. */
export function hostAllowed(host: string, names: readonly string[]): boolean {
  const name = hostName(host);
  if (!name) return false;
  if (host.startsWith('[')) return isIP(name) === 6;
  if (isIP(name) === 4 || !name.includes('.')) return true;
  return name.endsWith('.local') || names.some((n) => n.toLowerCase() === name);
}

/** Whether a page of this origin may ask: no origin at all, or the very host and port that was asked. */
export function originAllowed(origin: string | undefined, host: string): boolean {
  if (origin === undefined) return true;
  if (!/^https?:\/\//.test(origin)) return false;
  try {
    const page = new URL(origin);
    return page.origin === origin.toLowerCase() && page.host === new URL(`${page.protocol}//${host}`).host;
  } catch {
    return false;
  }
}

/** What is against answering this request at all; null where nothing is. */
export function foreign(req: IncomingMessage, names: readonly string[]): Problem | null {
  const hosts = req.headersDistinct.host ?? [];
  const host = hosts[0];
  // RFC 9112 section 3.2: none or several are answered 400, whatever else the request is.
  if (hosts.length !== 1 || !host) return problem(400, 'no-host');
  if (!hostAllowed(host, names)) return problem(421, 'foreign-host');
  return originAllowed(req.headers.origin, host) ? null : problem(403, 'foreign-origin');
}

/**
 * Headers for a page on plain http, or on https that may be taken away again. Nothing here may raise requests to https:
 * no upgrade-insecure-requests, no HSTS; and the two isolation headers that browsers only complain about there are off.
 */
export const safeHeaders = helmet({
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      // The elements' templates set widths and places by style attributes; style sheets stay our own.
      styleSrcAttr: ["'unsafe-inline'"],
      imgSrc: ["'self'", 'data:'],
      fontSrc: ["'self'"],
      manifestSrc: ["'self'"],
      connectSrc: ["'self'", socketSource],
      formAction: ["'self'"],
      baseUri: ["'none'"],
      frameAncestors: ["'none'"],
    },
  },
  xFrameOptions: { action: 'deny' },
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
});

/** Older phones do not take 'self' for the socket's scheme. An IPv6 number can not stand in a source list. */
function socketSource(req: IncomingMessage, _res: ServerResponse): string {
  const host = req.headers.host ?? '';
  const scheme = 'encrypted' in req.socket ? 'wss' : 'ws';
  return HOST.test(host.toLowerCase()) && !host.startsWith('[') ? `${scheme}://${host}` : "'self'";
}

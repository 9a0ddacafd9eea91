import { parseCookie, stringifySetCookie } from 'cookie';
import type { Express, Request, Response } from 'express';
import type { z } from 'zod';
import { readJson, readRaw } from './body.ts';
import type { Call, CallParts, Reply, Who } from './call.ts';
import type { Person } from './people.ts';
import { notSignedIn, Problem, problem } from './problem.ts';

/** How far a command's `issued` may lie from the desk's clock, either way. */
export const STALE_MS = 2_000;

export interface RouteParts extends CallParts {
  /** The desk's wall time, ms. */
  readonly clock: () => number;
  /** The session cookie's name: it bears the port, since a browser keeps one jar for all ports of a host. */
  readonly cookie: () => string;
  /** Served by https alone: the cookie then never goes out in the clear. */
  readonly secure: boolean;
  readonly commanded: (call: string, person: Person, status: number) => void;
}

/** Puts every call on the app, and a refusal of other methods on each path. */
export function mountCalls(app: Express, calls: readonly Call[], parts: RouteParts): void {
  const byPath = new Map<string, Call[]>();
  for (const c of calls) byPath.set(c.path, [...(byPath.get(c.path) ?? []), c]);
  for (const [path, here] of byPath) {
    const route = app.route(path.replace(/\{(\w+)\}/g, ':$1'));
    for (const c of here) route[c.method]((req, res) => serve(c, parts, req, res));
    const methods = here.map((c) => (c.method === 'get' ? 'GET, HEAD' : c.method.toUpperCase()));
    route.all(() => {
      throw problem(405, 'wrong-method', { Allow: methods.join(', ') });
    });
  }
}

/** The order matters: who asks, then what is named, then the body, then how old the press is; last the doing. */
async function serve(made: Call, parts: RouteParts, req: Request, res: Response): Promise<void> {
  const name = `${made.method.toUpperCase()} ${made.path}`;
  res.locals.call = name;
  res.setHeader('Cache-Control', 'no-store');
  const token = tokenOf(req, parts.cookie());
  const person = parts.people.whoIs(token ?? undefined)?.person ?? null;
  demand(made.who, person);
  const named = namedIn(made, req, parts);
  const body = made.raw
    ? await readRaw(req, res, made.raw)
    : made.body
      ? parse(made.body, await readJson(req, res, made.bodyBytes))
      : undefined;
  // what it names may have left the yard file while its body came
  if (body !== undefined) namedIn(made, req, parts);
  const query = made.query ? parse(made.query, { ...req.query }) : undefined;
  if (made.judged) judge(body, parts);
  try {
    const reply = await made.run({
      body,
      query,
      named,
      person,
      token,
      picture: () => parts.door.picture(),
      address: req.socket.remoteAddress ?? '',
    });
    if (made.judged && person) parts.commanded(name, person, reply.status);
    send(res, reply, parts);
  } catch (error) {
    if (made.judged && person && error instanceof Problem) parts.commanded(name, person, error.status);
    throw error;
  }
}

function demand(who: Who, person: Person | null): void {
  if (who === 'any') return;
  if (!person) throw notSignedIn('not-signed-in');
  if (who === 'keeper' && person.role !== 'keeper') throw problem(403, 'keeper-only');
}

/** The id, name or date in the path. Ids may be words such as `constructor`: only what the picture itself holds counts. */
function namedIn(made: Call, req: Request, { door }: RouteParts): string {
  const part = /\{(\w+)\}/.exec(made.path)?.[1];
  if (part === undefined) return '';
  const named = String(req.params[part]);
  if (part === 'prop' && !Object.hasOwn(door.picture().props, named)) throw problem(404, 'no-such-prop');
  if (part === 'scene' && !Object.hasOwn(door.picture().scenes, named)) throw problem(404, 'no-such-scene');
  return named;
}

const REASONS_AT_MOST = 8;

/** What was sent, parsed; or a problem that says of each field what is wrong. */
export function parse<T>(schema: z.ZodType<T>, sent: unknown): T {
  const parsed = schema.safeParse(sent);
  if (parsed.success) return parsed.data;
  throw new Problem(422, parsed.error.issues.slice(0, REASONS_AT_MOST).map(complaint));
}

function complaint(issue: z.core.$ZodIssue): { code: string; sentence: string } {
  if (issue.code === 'unrecognized_keys') {
    const keys = issue.keys.slice(0, 3).map((k) => `\`${short(k)}\``);
    return { code: 'unknown-field', sentence: `Not known here: ${keys.join(', ')}.` };
  }
  if (issue.path.length === 0) return { code: 'malformed', sentence: 'The request must be a JSON object.' };
  const field = short(issue.path.join('.'));
  return {
    code: issue.message === 'is missing' ? 'missing' : 'malformed',
    sentence: `\`${field}\` ${issue.message}.`,
  };
}

const short = (text: string): string => (text.length > 40 ? `${text.slice(0, 40)}…` : text);

/**
 * Refuses a press that was made too long ago, or on a picture that this desk never gave: a tab of before a restart may
 * hold a higher number, and every stop since would look older than what it saw. Lifting a bench press only halts.
 */
function judge(body: unknown, { clock, door }: RouteParts): void {
  const { issued, seq, up } = body as { issued?: number; seq?: number; up?: boolean };
  if (up === true) return;
  if (issued === undefined || Math.abs(clock() - issued) > STALE_MS) throw problem(409, 'stale');
  if (seq === undefined || seq > door.picture().seq) throw problem(409, 'seen-nothing');
}

function tokenOf(req: Request, cookie: string): string | null {
  const jar = parseCookie(req.headers.cookie ?? '');
  return (Object.hasOwn(jar, cookie) && jar[cookie]) || null;
}

function send(res: Response, reply: Reply, { clock, cookie, secure }: RouteParts): void {
  if (reply.session !== undefined) {
    const maxAge = reply.session ? Math.floor((reply.session.until - clock()) / 1_000) : 0;
    const held = { httpOnly: true, sameSite: 'strict', path: '/', maxAge, secure } as const;
    res.append('Set-Cookie', stringifySetCookie(cookie(), reply.session?.token ?? '', held));
  }
  res.status(reply.status);
  if (reply.bytes) res.attachment(reply.bytes.name).type(reply.bytes.type).send(reply.bytes.body);
  else if (reply.text) res.set('Content-Type', reply.text.type).send(reply.text.body);
  else if (reply.json !== undefined) res.json(reply.json);
  else res.end();
}

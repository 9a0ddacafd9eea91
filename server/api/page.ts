import { existsSync } from 'node:fs';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { extname, join, sep } from 'node:path';
import express, { type ErrorRequestHandler, type RequestHandler, type Router } from 'express';
import type { Tongue } from '../words/tongue.ts';
import { plainPage } from './plain-page.ts';
import { PROBLEM_TYPE, Problem, problem } from './problem.ts';
import { SPOKEN, spoken } from './spoken.ts';

const YEAR_S = 31_536_000;

/**
 * The built page, in a language. What the build named by its content never changes; the rest is asked about each time.
 * In English it goes out as it was built.
 */
export function servePage(webDir: string, tongue: Tongue): Router {
  const router = express.Router({ strict: true });
  if (tongue.lang !== 'en')
    for (const [paths, file] of SPOKEN)
      router.get(paths, async (_req, res, next) => {
        const text = await spoken(webDir, file, tongue).catch(() => null);
        if (text === null) return next();
        res.setHeader('Cache-Control', 'no-cache');
        res.type(extname(file)).send(text);
      });
  router.use(built(webDir));
  return router;
}

function built(webDir: string): RequestHandler {
  return express.static(webDir, {
    index: 'index.html',
    redirect: false,
    setHeaders(res, path) {
      const hashed = path.startsWith(join(webDir, 'assets') + sep);
      res.setHeader('Cache-Control', hashed ? `public, max-age=${YEAR_S}, immutable` : 'no-cache');
    },
  });
}

/** What nothing else has answered. */
export function nothingHere(webDir: string): RequestHandler {
  return (req) => {
    const built = existsSync(join(webDir, 'index.html'));
    throw req.path === '/' && !built ? problem(503, 'not-built') : problem(404, 'no-such-page');
  };
}

/** What is no `Problem` is either a request that express could not read, or a fault of ours, which `failed` hears of. */
export function tellProblem(
  failed: (error: unknown, call: string) => void,
  tongue: Tongue,
): ErrorRequestHandler {
  return (error: unknown, req, res, next) => {
    const told = asProblem(error);
    if (told.status === 500) failed(error, `${req.method} ${req.path}`);
    if (res.headersSent) next(error);
    else sendProblem(req, res, told, tongue);
  };
}

/** Every refusal goes out here: as problem details, or to a browser that wants a page as a plain one. */
export function sendProblem(req: IncomingMessage, res: ServerResponse, told: Problem, tongue: Tongue): void {
  const page = !req.url?.startsWith('/api/') && req.headers.accept?.includes('text/html');
  const body = page
    ? plainPage(told.title(tongue.lang), told.sentences(tongue.lang), tongue)
    : JSON.stringify(told.body(tongue.lang));
  res.writeHead(told.status, {
    ...told.headers,
    'Cache-Control': 'no-store',
    'Content-Type': page ? 'text/html; charset=utf-8' : PROBLEM_TYPE,
    'Content-Length': Buffer.byteLength(body),
  });
  res.end(req.method === 'HEAD' ? undefined : body);
}

function asProblem(error: unknown): Problem {
  if (error instanceof Problem) return error;
  const status = (error as { status?: unknown } | null)?.status;
  // Express and its static files mark what they could not read with a status of the caller's own.
  if (status === 404) return problem(404, 'no-such-page');
  if (typeof status === 'number' && status >= 400 && status < 500) return problem(422, 'broken-request');
  return problem(500, 'broke');
}

import type { RequestListener } from 'node:http';
import express, { type Express } from 'express';
import { MemoryStore, rateLimit } from 'express-rate-limit';
import { english } from '../words/en/english.ts';
import { Attempts } from './attempts.ts';
import type { Call } from './call.ts';
import { aboutCalls } from './calls-about.ts';
import { commandCalls } from './calls-command.ts';
import { demoCalls } from './calls-demo.ts';
import { nightCalls } from './calls-nights.ts';
import { pastCalls } from './calls-past.ts';
import { peopleCalls } from './calls-people.ts';
import { readCalls } from './calls-read.ts';
import { setUpCalls } from './calls-set-up.ts';
import { sheetCalls } from './calls-sheet.ts';
import { faultPages } from './fault-pages.ts';
import type { Figures } from './figures.ts';
import type { ApiSettings } from './http.ts';
import { describeApi } from './openapi.ts';
import { nothingHere, servePage, tellProblem } from './page.ts';
import { problem } from './problem.ts';
import { joinUrls } from './qr.ts';
import { mountCalls } from './routes.ts';

const WINDOW_MS = 10_000;
const CALLS_AT_MOST = 1_000;

export interface App {
  readonly listener: RequestListener;
  close(): void;
}

/** Everything but the stop and the feed. `port` is asked once it listens. */
export function buildApp(settings: ApiSettings, figures: Figures, port: () => number): App {
  const { webDir, log, tongue = english } = settings;
  const cookie = () => `dusklatch-${port()}`;
  const tally = new MemoryStore();
  const app = express();
  app.disable('x-powered-by');
  app.disable('etag');
  app.use((_req, res, next) => {
    res.on('finish', () => figures.request(res.locals.call ?? 'other', res.statusCode));
    next();
  });
  limitCalls(app, tally, settings.pace?.callsAtMost ?? CALLS_AT_MOST);
  mountCalls(app, everyCall(settings, figures, cookie, port), {
    ...settings,
    cookie,
    secure: settings.tls !== undefined,
    commanded: (call, person, status) => log.info({ call, by: person.name, status }, 'Command.'),
  });
  app.use(faultPages(tongue), servePage(webDir, tongue), nothingHere(webDir));
  app.use(tellProblem((error, call) => log.error({ call, error: stackOf(error) }, 'A call failed.'), tongue));
  return { listener: app, close: () => tally.shutdown() };
}

/** A flood from one address must not take the time that the turn, and a stop, need. */
function limitCalls(app: Express, store: MemoryStore, limit: number): void {
  app.use(
    '/api',
    rateLimit({
      windowMs: WINDOW_MS,
      limit,
      store,
      standardHeaders: false,
      legacyHeaders: false,
      // No proxy is believed, so what a caller says about one is no mistake of ours to warn of.
      validate: { xForwardedForHeader: false, forwardedHeader: false },
      handler: (_req, _res, next) =>
        next(problem(429, 'too-many-calls', { 'Retry-After': String(WINDOW_MS / 1_000) })),
    }),
  );
}

function everyCall(
  settings: ApiSettings,
  figures: Figures,
  cookie: () => string,
  port: () => number,
): Call[] {
  const { host, metrics, asyncapi, pace, demonstration } = settings;
  let document: object | null = null;
  const calls: Call[] = [
    ...readCalls(settings, metrics),
    ...(settings.setUp
      ? setUpCalls({ ...settings.setUp, clock: settings.clock, tongue: settings.tongue ?? english })
      : []),
    ...sheetCalls(settings),
    ...nightCalls(settings),
    ...pastCalls(settings),
    ...commandCalls(settings),
    ...peopleCalls(settings, {
      attempts: new Attempts(pace?.monotonic ?? (() => performance.now())),
      wait: pace?.wait ?? ((ms) => new Promise((resolve) => setTimeout(resolve, ms))),
      counted: (result) => figures.signIn(result),
    }),
    ...(demonstration ? demoCalls({ ...settings, demo: demonstration }) : []),
    ...aboutCalls({
      addresses: () => joinUrls(host, port(), undefined, settings.tls !== undefined),
      openapi: () => {
        document ??= describeApi(calls, cookie());
        return document;
      },
      asyncapi,
    }),
  ];
  return calls;
}

function stackOf(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}

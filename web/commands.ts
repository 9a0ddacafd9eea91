import { within } from './deadline.ts';
import { type SetUpCommand, setUpRequest } from './set-up-commands.ts';
import type { Store } from './store.ts';
import { words } from './words.ts';

/** What a person may ask for on the page. Elements send these up; nothing else leaves the page but the stop. */
export type Command =
  | { do: 'clear' | 'open' | 'hold' | 'close' | 'sign-out' }
  | { do: 'open-for'; hours: number; plan: boolean }
  | { do: 'run'; scene: string }
  | { do: 'lock-out'; prop: string; why: string }
  | { do: 'release' | 'acknowledge'; prop: string }
  | { do: 'bench'; prop: string; move: string; press: string; up: boolean }
  | { do: 'sign-in'; pin: string }
  | { do: 'fault'; prop: string; fault: 'jam'; on: boolean }
  | { do: 'demo-run'; scene: string }
  | { do: 'demo-press'; prop: string; sensor: string }
  | { do: 'demo-keeper' | 'demo-reset' }
  | SetUpCommand;

export type Outcome =
  | { ok: true; body: unknown }
  | { ok: false; status: number; detail: string; reasons: string[] };

export interface Request {
  method: 'GET' | 'POST' | 'PUT' | 'DELETE';
  path: string;
  body: Record<string, unknown>;
  /** A zip, sent as it is in place of the body. */
  bytes?: Blob;
  /** Whether it says when it was issued and what had been seen. */
  stamped: boolean;
  /** How long an answer may take, where it may take longer than most. */
  answerMs?: number;
}

const ANSWER_WITHIN_MS = 5000;

/** The call that a command is. The paths are the desk's HTTP interface. */
export function requestOf(command: Command): Request {
  const post = (path: string, body: Record<string, unknown> = {}): Request => ({
    method: 'POST',
    path,
    body,
    stamped: true,
  });
  const prop = (id: string, act: string) => `/api/props/${encodeURIComponent(id)}/${act}`;
  switch (command.do) {
    case 'clear':
      return post('/api/stop/clear');
    case 'open':
    case 'hold':
    case 'close':
      return post(`/api/${command.do}`);
    case 'open-for':
      return post('/api/open', { for: `${command.hours} h`, ...(command.plan ? {} : { plan: false }) });
    case 'run':
      return post(`/api/scenes/${encodeURIComponent(command.scene)}/run`);
    case 'lock-out':
      return post(prop(command.prop, 'lockout'), { why: command.why });
    case 'release':
    case 'acknowledge':
      return post(prop(command.prop, command.do));
    case 'bench':
      return post(prop(command.prop, 'bench'), {
        move: command.move,
        press: command.press,
        ...(command.up ? { up: true } : {}),
      });
    case 'fault':
      return post('/api/demo/fault', { prop: command.prop, fault: command.fault, on: command.on });
    case 'demo-run':
      return post('/api/demo/run', { scene: command.scene });
    case 'demo-press':
      return post('/api/demo/press', { prop: command.prop, sensor: command.sensor });
    case 'demo-keeper':
    case 'demo-reset':
      return post(`/api/demo/${command.do.slice('demo-'.length)}`);
    case 'sign-in':
      return { ...post('/api/session', { pin: command.pin }), stamped: false };
    case 'sign-out':
      return { method: 'DELETE', path: '/api/session', body: {}, stamped: false };
    default:
      return setUpRequest(command);
  }
}

/** Sends commands by HTTP, each with the time it was issued and what had been seen; never while the link is lost. */
export class Commands {
  readonly #store: Store;
  readonly #fetch: typeof fetch;

  constructor(store: Store, fetcher: typeof fetch = (...args) => fetch(...args)) {
    this.#store = store;
    this.#fetch = fetcher;
  }

  /** `seen`: the `seq` that the person saw when the press began; left out, the picture's now. */
  async send(command: Command, seen?: number, signal?: AbortSignal): Promise<Outcome> {
    if (this.#store.link() !== 'live') return refusal(0, words.lost.notSent);
    const request = requestOf(command);
    const body = request.stamped
      ? {
          ...request.body,
          issued: Math.round(this.#store.deskNow()),
          seq: seen ?? this.#store.picture?.seq ?? 0,
        }
      : request.body;
    try {
      const answer = await this.#fetch(request.path, {
        method: request.method,
        headers: { 'content-type': request.bytes ? 'application/zip' : 'application/json' },
        ...(request.method === 'GET' ? {} : { body: request.bytes ?? JSON.stringify(body) }),
        cache: 'no-store',
        signal: within(request.answerMs ?? ANSWER_WITHIN_MS, signal),
      });
      return outcomeOf(answer.status, await bodyOf(answer));
    } catch {
      return refusal(0, words.said.noAnswer);
    }
  }

  /** Something to read that takes its time, with why not where it does not come. */
  async look(path: string, withinMs: number): Promise<Outcome> {
    try {
      const headers = { accept: 'application/json' };
      const answer = await this.#fetch(path, { cache: 'no-store', headers, signal: within(withinMs) });
      return outcomeOf(answer.status, await readJson(answer));
    } catch {
      return refusal(0, words.said.noAnswer);
    }
  }

  /** Something to read, or null where there is nothing or no answer. */
  async read<T>(path: string): Promise<T | null> {
    try {
      const answer = await this.#fetch(path, {
        cache: 'no-store',
        headers: { accept: 'application/json' },
        signal: within(ANSWER_WITHIN_MS),
      });
      return answer.ok ? ((await answer.json()) as T) : null;
    } catch {
      return null;
    }
  }
}

function refusal(status: number, detail: string, reasons: string[] = []): Outcome {
  return { ok: false, status, detail, reasons };
}

/** A file that came, under the name that it should be kept by. */
export interface Came {
  readonly blob: Blob;
  readonly name: string;
}

async function bodyOf(answer: Response): Promise<unknown> {
  if (!answer.headers.get('content-type')?.startsWith('application/zip')) return readJson(answer);
  const name = /filename="?([\w.-]+)/.exec(answer.headers.get('content-disposition') ?? '')?.[1];
  return { blob: await answer.blob(), name: name ?? 'dusklatch.zip' } satisfies Came;
}

async function readJson(answer: Response): Promise<unknown> {
  try {
    return await answer.json();
  } catch {
    return null;
  }
}

/** Problem details (RFC 9457): `detail` is a sentence, `reasons` hold one sentence each where there are several. */
export function outcomeOf(status: number, body: unknown): Outcome {
  if (status >= 200 && status < 300) return { ok: true, body };
  const problem = (typeof body === 'object' && body !== null ? body : {}) as {
    detail?: unknown;
    reasons?: unknown;
  };
  const reasons = Array.isArray(problem.reasons) ? problem.reasons : [];
  const sentences = reasons
    .map((reason: unknown) => (reason as { sentence?: unknown } | null)?.sentence)
    .filter((sentence): sentence is string => typeof sentence === 'string');
  const detail = typeof problem.detail === 'string' ? problem.detail : words.said.failed;
  return refusal(status, detail, sentences.length > 1 ? sentences : []);
}

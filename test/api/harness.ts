import { readFileSync } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { type IncomingHttpHeaders, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Registry } from 'prom-client';
import { type ExpectStatic, expect } from 'vitest';
import { type Api, type ApiSettings, startApi } from '../../server/api/http.ts';
import { People } from '../../server/api/people.ts';
import type { PinCost } from '../../server/api/pin-hash.ts';
import type { StrangerBoard } from '../../server/bus/strangers.ts';
import type { FileChange } from '../../server/file/difference.ts';
import { readYard } from '../../server/file/read.ts';
import type { Reading } from '../../server/file-check.ts';
import { LiveYard } from '../../server/live-yard.ts';
import { Notices } from '../../server/notices/notices.ts';
import type { Posted } from '../../server/notices/post.ts';
import { RedButton } from '../../server/red-button.ts';
import { newShow } from '../../server/show/fresh.ts';
import type { Show } from '../../server/show/show.ts';
import { YardFile } from '../../server/yard-file.ts';
import { type Document, Documented } from './documented.ts';
import { ScriptedBackups } from './scripted-backups.ts';
import { NOW, ScriptedDoor } from './scripted-door.ts';
import { ScriptedPast } from './scripted-past.ts';

/** Waits for a condition, looking often. */
export function soon(look: () => unknown): ReturnType<ExpectStatic['poll']> {
  return expect.poll(look, { timeout: 10_000, interval: 5 });
}

export const FILE_TEXT = 'yard: saltmarsh\n';

/** Stands in for the reader on its thread: a text that says `wrong` has an error there, one that says `slow` takes too long. */
async function checkedAs(text: string, running: string): Promise<Reading | null> {
  if (text.includes('slow')) return null;
  const line = text.split('\n').findIndex((one) => one.includes('wrong')) + 1;
  const errors = line > 0 ? [{ line, column: 3, message: `Line ${line}: this is wrong.` }] : [];
  const checked = { ok: line === 0, errors, notes: [], findings: [], leftOut: [] };
  const change: FileChange = { path: ['yard'], was: running, is: text, when: 'closed', of: null };
  return { checked, yard: line === 0 ? YARD : null, changes: line > 0 || text === running ? [] : [change] };
}

const read = readYard(readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8'));
if (!read.ok) throw new Error('config/ferry.yaml does not read');
const YARD = read.yard;

/** A file that runs in a show that stays as it is; what is saved is exchanged if nothing holds it back. */
export function liveOn(
  text: string,
  show: () => Pick<Show, 'mode' | 'night' | 'runs' | 'props' | 'homing'>,
): LiveYard {
  return new LiveYard(
    { text, hash: 'running', yard: YARD },
    {
      show: show as () => Show,
      night: () => null,
      exchange: (_file, _fact, fits) => fits(),
      saved() {},
      exchanged() {},
    },
  );
}

export const KEEPER_PIN = '246810';
export const HELPER_PIN = '135791';
/** Real hashing is meant to be slow; what is tested here is not how slow. */
export const CHEAP = { N: 2, r: 1, p: 1 } as const;

export interface Said {
  status: number;
  headers: IncomingHttpHeaders;
  text: string;
  // biome-ignore lint/suspicious/noExplicitAny: a test looks into whatever came
  json: any;
}

export interface Sent {
  body?: unknown;
  /** Sent as it is, in place of `body`. */
  raw?: string | Buffer;
  cookie?: string | undefined;
  headers?: Record<string, string>;
  /** Which of this computer's own addresses it comes from. */
  from?: string;
}

export interface Line {
  level: 'info' | 'warn' | 'error';
  what: object;
  text: string;
}

const documents = new Map<string, Documented>();

/** Compiled once: the documents of two yards differ in the port within the cookie's name. */
function documentedBy(text: string): Documented {
  const key = text.replace(/dusklatch-\d+/, 'dusklatch-0');
  const known = documents.get(key) ?? new Documented(JSON.parse(text) as Document);
  documents.set(key, known);
  return known;
}

/** An api on a free port of this computer, before a scripted desk, with its own folder of people. */
export class TestYard {
  readonly door = new ScriptedDoor();
  readonly past = new ScriptedPast();
  readonly lines: Line[] = [];
  readonly metrics = new Registry();
  now = NOW;
  ticks = 0;
  readonly waited: number[] = [];
  folder!: string;
  filePath!: string;
  people!: People;
  strangers: StrangerBoard[] = [];
  /** What the receiver of notices answers. */
  posted: Posted = { ok: true };
  readonly backups = new ScriptedBackups();
  /** What decides whether a saved file may run. */
  show: Show = { ...newShow(YARD), mode: 'open' };
  api!: Api;
  documented: Documented | null = null;

  static async start(
    more: Partial<ApiSettings> = {},
    cost: Omit<PinCost, 'salt'> = CHEAP,
  ): Promise<TestYard> {
    const yard = new TestYard();
    yard.folder = await mkdtemp(join(tmpdir(), 'dusklatch-api-'));
    yard.filePath = join(yard.folder, 'saltmarsh.yaml');
    await writeFile(yard.filePath, FILE_TEXT);
    yard.door.now = () => yard.now;
    const clock = () => yard.now;
    const log = logInto(yard.lines);
    const opened = await People.open({ folder: yard.folder, keeperPin: KEEPER_PIN, clock, log, cost });
    yard.people = opened.people;
    await yard.people.add({ name: 'Ada', role: 'helper' }, HELPER_PIN);
    yard.api = await startApi({
      door: yard.door,
      past: yard.past,
      host: '127.0.0.1',
      port: 0,
      people: yard.people,
      names: ['yard.saltmarsh.example'],
      webDir: join(yard.folder, 'web'),
      demonstration: null,
      setUp: {
        file: new YardFile(
          yard.filePath,
          liveOn(FILE_TEXT, () => yard.show),
          true,
          checkedAs,
        ),
        redButton: await RedButton.open(yard.folder),
        backups: yard.backups,
        notices: await Notices.open({
          folder: yard.folder,
          post: async () => yard.posted,
          clock,
          yard: () => YARD,
          later: () => () => {},
          log,
          changed() {},
        }),
        strangers: () => yard.strangers,
      },
      log,
      metrics: yard.metrics,
      clock,
      asyncapi: () => ({ asyncapi: '3.0.0', info: { title: 'Bus', version: '1' } }),
      ...more,
      pace: {
        beatMs: 25,
        gatherMs: 5,
        callsAtMost: 1_000_000,
        monotonic: () => yard.ticks,
        wait: async (ms) => {
          yard.waited.push(ms);
        },
        ...more.pace,
      },
    });
    // By https the tests ask for themselves.
    if (!more.tls) yard.documented = documentedBy((await yard.get('/api/openapi.json')).text);
    return yard;
  }

  get host(): string {
    return `127.0.0.1:${this.api.port}`;
  }

  /** As at the start, for tests that share a yard; who is signed in stays so. */
  reset(): void {
    this.now = NOW;
    this.lines.length = 0;
    this.door.reset();
  }

  async end(): Promise<void> {
    await this.api.close();
    await rm(this.folder, { recursive: true, force: true });
  }

  /** Sends a request, and holds the answer against the OpenAPI document. */
  async send(method: string, path: string, sent: Sent = {}): Promise<Said> {
    const said = await this.exchange(method, path, sent);
    const type = said.headers['content-type'] ?? '';
    const wrong = this.documented?.wrong(method, path, said.status, type, said.json) ?? null;
    if (wrong !== null) throw new Error(`Not as documented: ${wrong}`);
    return said;
  }

  private exchange(method: string, path: string, sent: Sent): Promise<Said> {
    const raw = sent.raw ?? (sent.body === undefined ? undefined : JSON.stringify(sent.body));
    const headers: Record<string, string> = {
      ...(raw !== undefined && {
        'content-type': 'application/json',
        'content-length': String(Buffer.byteLength(raw)),
      }),
      ...(sent.cookie && { cookie: sent.cookie }),
      ...sent.headers,
    };
    return new Promise((resolve, reject) => {
      const req = request(
        {
          host: '127.0.0.1',
          port: this.api.port,
          method,
          path,
          headers,
          agent: false,
          localAddress: sent.from ?? '127.0.0.1',
        },
        (res) => {
          const parts: Buffer[] = [];
          res.on('data', (part: Buffer) => parts.push(part));
          res.on('error', reject);
          res.on('end', () => {
            const text = Buffer.concat(parts).toString();
            const json =
              /json/.test(res.headers['content-type'] ?? '') && text ? JSON.parse(text) : undefined;
            resolve({ status: res.statusCode ?? 0, headers: res.headers, text, json });
          });
        },
      );
      req.on('error', reject);
      req.end(raw);
    });
  }

  get(path: string, sent: Sent = {}): Promise<Said> {
    return this.send('GET', path, sent);
  }

  post(path: string, body?: unknown, cookie?: string, headers: Record<string, string> = {}): Promise<Said> {
    return this.send('POST', path, { body, cookie, headers });
  }

  /** What a page sends with every command. */
  fresh<T extends object>(more: T = {} as T) {
    return { issued: this.now, seq: this.door.state.seq, ...more };
  }

  /** Signs in and gives back the cookie as a browser would send it. */
  async signIn(pin: string): Promise<string> {
    const said = await this.post('/api/session', { pin });
    if (said.status !== 200) throw new Error(`sign-in: ${said.status} ${said.text}`);
    return cookieOf(said);
  }

  keeper(): Promise<string> {
    return this.signIn(KEEPER_PIN);
  }

  helper(): Promise<string> {
    return this.signIn(HELPER_PIN);
  }
}

export function cookieOf(said: Said): string {
  return said.headers['set-cookie']?.[0]?.split(';')[0] ?? '';
}

export function logInto(lines: Line[]) {
  const at = (level: Line['level']) => (what: object, text: string) => void lines.push({ level, what, text });
  return { info: at('info'), warn: at('warn'), error: at('error') };
}

import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { isScalar, parseDocument, visit } from 'yaml';
import type { Picture } from '../../server/picture.ts';
import { freePort } from './mosquitto.ts';

/*
 * The built daemon and the stand-ins as real processes, on a real bus, in real time: what a builder would start by hand.
 */

const CLI = fileURLToPath(new URL('../../dist/server/cli.js', import.meta.url));
const STANDIN = fileURLToPath(new URL('../../dist/server/standin/main.js', import.meta.url));
const CONFIG = fileURLToPath(new URL('../../config/', import.meta.url));
export const PIN = '246813';

export const sleep = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** What a look gives once it gives anything. */
type Found<T> = Exclude<NonNullable<T>, false | 0 | ''>;

/** Waits for a condition, looking often; fails with what it waited for. */
export async function until<T>(what: string, look: () => T | Promise<T>, forMs = 20_000): Promise<Found<T>> {
  const end = performance.now() + forMs;
  for (;;) {
    const found = await look();
    if (found) return found as Found<T>;
    if (performance.now() > end) throw new Error(`waited ${forMs} ms for ${what}`);
    await sleep(50);
  }
}

const SHRUNK = new Set(['every', 'rest', 'gap', 'again-after', 'lasts', 'wait', 'notice']);
const NEARER = new Set(['usual', 'travel']);

/**
 * A yard file of config/ on this bus, its times shrunk so that a night passes in a minute or two, and without quiet, so
 * that it does not matter at which hour the test runs.
 */
export async function shrunkYard(name: string, url: string, factor = 0.03): Promise<string> {
  const doc = parseDocument(await readFile(join(CONFIG, name), 'utf8'));
  visit(doc, {
    Pair(_, pair) {
      if (!isScalar(pair.key) || !isScalar(pair.value) || typeof pair.value.value !== 'string') return;
      const key = String(pair.key.value);
      const by = SHRUNK.has(key) ? factor : NEARER.has(key) ? 0.25 : null;
      const read = /^([\d.]+) (ms|s|min|h|m|cm)$/.exec(pair.value.value);
      if (by === null || !read) return;
      pair.value.value = `${Number((Number(read[1]) * by).toPrecision(6))} ${read[2]}`;
    },
  });
  const nights = doc.get('nights') as { items: { delete(key: string): void }[] };
  for (const night of nights.items) night.delete('quiet');
  doc.set('bus', { url });
  return doc.toString();
}

export interface Line {
  readonly n: number;
  readonly at: number;
  readonly code: string;
  readonly text: string;
  readonly prop: string | null;
  readonly scene: string | null;
  readonly run: string | null;
}

export interface Yard {
  readonly url: string;
  readonly port: number;
  readonly dir: string;
  readonly file: string;
  readonly dataDir: string;
  /** What it said on standard output and error so far. */
  said(): string;
  picture(): Promise<Picture>;
  lines(): Promise<Line[]>;
  /** Signs in; resolves to the cookie. */
  signIn(pin: string): Promise<string>;
  /** A bare POST, as whoever the cookie says; signed out without one. */
  post(path: string, body: object, cookie?: string): Promise<Response>;
  /** A command with the present `issued` and `seq`, as the keeper or as whoever the cookie says. */
  command(path: string, body?: object, cookie?: string): Promise<Response>;
  /** The daemon's process. */
  pid(): number;
  /** How the daemon's process ended, or null while it runs. */
  ended(): { code: number | null; signal: NodeJS.Signals | null } | null;
  /** To the daemon's process; resolves at once, whatever it does with it. */
  signal(signal: NodeJS.Signals): void;
  /** The same, and resolves once it has ended. */
  kill(signal: NodeJS.Signals): Promise<void>;
  /** Starts the daemon again on the same port, file and folder; resolves once it is ready, or (`alive`) once it answers. */
  start(until?: 'ready' | 'alive'): Promise<void>;
  close(): Promise<void>;
}

export interface YardOptions {
  readonly text: string;
  /** The data folder; by default one of its own. */
  readonly dataDir?: string;
  readonly args?: readonly string[];
  /** Resolves once the daemon drives the yard (`ready`, by default), or once it answers at all. */
  readonly until?: 'ready' | 'alive';
  /** Options of node itself, such as a module to load before the daemon. */
  readonly nodeArgs?: readonly string[];
  readonly env?: NodeJS.ProcessEnv;
}

export async function startYard(options: YardOptions): Promise<Yard> {
  const { text, dataDir, args = [], nodeArgs = [], env = {} } = options;
  const dir = await mkdtemp(join(tmpdir(), 'dusklatch-real-'));
  const file = join(dir, 'yard.yaml');
  await writeFile(file, text);
  const data = dataDir ?? join(dir, 'data');
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  let child: ChildProcess | null = null;
  let said = '';
  let keeper = '';
  const post = (path: string, body: object, cookie?: string): Promise<Response> =>
    fetch(`${url}${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...(cookie === undefined ? {} : { cookie }) },
      body: JSON.stringify(body),
    });
  const yard: Yard = {
    url,
    port,
    dir,
    file,
    dataDir: data,
    said: () => said,
    picture: async () => (await fetch(`${url}/api/yard`)).json() as Promise<Picture>,
    async lines() {
      const all: Line[] = [];
      for (;;) {
        const after = all.at(-1)?.n ?? 0;
        const { lines } = (await (await fetch(`${url}/api/journal?after=${after}&limit=500`)).json()) as {
          lines: Line[];
        };
        if (lines.length === 0) return all;
        all.push(...lines);
      }
    },
    async signIn(pin) {
      const answer = await post('/api/session', { pin });
      const cookie = answer.headers.get('set-cookie')?.split(';')[0];
      if (cookie === undefined) throw new Error(`no sign-in: ${answer.status} ${await answer.text()}`);
      return cookie;
    },
    post,
    async command(path, body = {}, cookie) {
      if (cookie === undefined && keeper === '') keeper = await yard.signIn(PIN);
      const { seq, at } = await yard.picture();
      return post(path, { issued: at, seq, ...body }, cookie ?? keeper);
    },
    pid: () => child!.pid!,
    ended: () =>
      child && (child.exitCode !== null || child.signalCode !== null)
        ? { code: child.exitCode, signal: child.signalCode }
        : null,
    signal: (signal) => void child?.kill(signal),
    kill: (signal) => endChild(child, signal),
    async start(wanted = 'ready') {
      const flags = ['--host', '127.0.0.1', '--port', String(port), '--data', data, '--keeper-pin', PIN];
      child = keepChild(
        spawn(process.execPath, [...nodeArgs, CLI, 'serve', file, ...flags, ...args], {
          stdio: ['ignore', 'pipe', 'pipe'],
          env: { ...process.env, ...env },
        }),
      );
      const hear = (bytes: Buffer): void => {
        said += bytes.toString();
      };
      child.stdout!.on('data', hear);
      child.stderr!.on('data', hear);
      await until(
        wanted === 'ready' ? 'readyz' : 'healthz',
        async () => {
          if (child!.exitCode !== null) throw new Error(`the daemon ended with ${child!.exitCode}: ${said}`);
          return fetch(`${url}/${wanted === 'ready' ? 'readyz' : 'healthz'}`).then(
            (r) => r.ok,
            () => false,
          );
        },
        30_000,
      );
    },
    async close() {
      await yard.kill('SIGTERM');
      await rm(dir, { recursive: true, force: true });
    },
  };
  try {
    await yard.start(options.until);
  } catch (error) {
    await yard.kill('SIGKILL');
    await rm(dir, { recursive: true, force: true });
    throw error;
  }
  return yard;
}

const children = new Set<ChildProcess>();
// a test run that is broken off leaves no process behind
process.once('exit', () => {
  for (const child of children) child.kill('SIGKILL');
});

/** Keeps a process in mind until it ends, so that it ends with the test run whatever becomes of that. */
export function keepChild<C extends ChildProcess>(child: C): C {
  children.add(child);
  child.once('exit', () => children.delete(child));
  return child;
}

/** Sends a signal and resolves once the process has ended; one that takes none within 10 s is killed. */
export async function endChild(child: ChildProcess | null, signal: NodeJS.Signals): Promise<void> {
  if (!child || child.exitCode !== null || child.signalCode !== null) return;
  const exit = once(child, 'exit');
  child.kill(signal);
  // one that was frozen hears of it only once it goes on
  if (signal !== 'SIGKILL') child.kill('SIGCONT');
  const late = setTimeout(() => child.kill('SIGKILL'), 10_000);
  await exit;
  clearTimeout(late);
}

export interface Standins {
  /** A line of the stand-ins' control language; resolves to its answer, and rejects where that is 'No: …'. */
  say(line: string): Promise<string>;
  signal(signal: NodeJS.Signals): void;
  kill(signal: NodeJS.Signals): Promise<void>;
  /** Starts them again after `kill`: every prop stands at home. */
  start(): void;
  close(): Promise<void>;
}

/** Stand-ins of some or all of a yard's boards, as a process of their own. */
export async function startStandins(
  file: string,
  url: string,
  only: readonly string[] = [],
): Promise<Standins> {
  const args = [
    STANDIN,
    file,
    '--bus',
    url,
    '--seed',
    '7',
    ...(only.length > 0 ? ['--only', only.join(',')] : []),
  ];
  let answers: ((line: string) => void)[] = [];
  let child = launch();

  function launch() {
    const started = keepChild(spawn(process.execPath, args, { stdio: ['pipe', 'pipe', 'pipe'] }));
    answers = [];
    createInterface({ input: started.stdout }).on('line', (line) => answers.shift()?.(line));
    started.stdin.on('error', () => {});
    started.stderr.resume();
    return started;
  }

  return {
    say(line) {
      return new Promise((answered, refused) => {
        answers.push((answer) =>
          answer.startsWith('No:') ? refused(new Error(`'${line}': ${answer}`)) : answered(answer),
        );
        child.stdin.write(`${line}\n`);
      });
    },
    signal: (signal) => void child.kill(signal),
    kill: (signal) => endChild(child, signal),
    start() {
      child = launch();
    },
    close: () => endChild(child, 'SIGKILL'),
  };
}

/** Opens a night by hand for so long and waits until the yard is open. */
export async function openFor(yard: Yard, span: string, plan = true): Promise<void> {
  await until('every board to be heard', async () => {
    const { props } = await yard.picture();
    return Object.values(props).every((p) => p.state !== 'silent');
  });
  const answer = await yard.command('/api/open', { for: span, plan });
  if (answer.status !== 202) throw new Error(`open was refused: ${answer.status} ${await answer.text()}`);
  await until('the yard to be open', async () => (await yard.picture()).mode === 'open');
}

export interface Replayed {
  readonly from: number | null;
  readonly events: number;
  readonly compared: number;
  readonly taken: number;
  readonly difference: unknown;
  readonly gaps: readonly { readonly first: number; readonly last: number }[];
}

/** What the built command `replay` makes of a data folder whose daemon has ended. */
export async function replayOf(dataDir: string): Promise<Replayed> {
  const { out, code, err } = await runCli(['replay', '--data', dataDir, '--json']);
  if (out === '') throw new Error(`replay ended with ${code}: ${err}`);
  return JSON.parse(out) as Replayed;
}

export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the built command to its end, at most 30 s. */
export async function runCli(args: readonly string[], env: NodeJS.ProcessEnv = {}): Promise<Ran> {
  const child = keepChild(
    spawn(process.execPath, [CLI, ...args], {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, ...env },
      timeout: 30_000,
      killSignal: 'SIGKILL',
    }),
  );
  let out = '';
  let err = '';
  child.stdout.on('data', (bytes: Buffer) => {
    out += bytes.toString();
  });
  child.stderr.on('data', (bytes: Buffer) => {
    err += bytes.toString();
  });
  const [code] = (await once(child, 'close')) as [number | null];
  return { code, out, err };
}

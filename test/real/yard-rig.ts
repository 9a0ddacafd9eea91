import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface, type Interface } from 'node:readline';
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

/** Waits for a condition, looking often; fails with what it waited for. */
export async function until<T>(
  what: string,
  look: () => T | Promise<T>,
  forMs = 20_000,
): Promise<NonNullable<T>> {
  const end = performance.now() + forMs;
  for (;;) {
    const found = await look();
    if (found) return found as NonNullable<T>;
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

export interface Yard {
  readonly url: string;
  readonly dir: string;
  readonly file: string;
  readonly dataDir: string;
  /** What it said on standard output and error so far. */
  said(): string;
  picture(): Promise<Picture>;
  lines(): Promise<
    { n: number; code: string; text: string; prop: string | null; scene: string | null; run: string | null }[]
  >;
  /** A command as the keeper, with the present `issued` and `seq`. */
  command(path: string, body?: object): Promise<Response>;
  kill(signal: NodeJS.Signals): Promise<void>;
  /** Starts the daemon again on the same port, file and folder. */
  start(): Promise<void>;
  close(): Promise<void>;
}

export interface YardOptions {
  readonly text: string;
  /** The data folder; by default one of its own. */
  readonly dataDir?: string;
  readonly args?: readonly string[];
}

export async function startYard({ text, dataDir, args = [] }: YardOptions): Promise<Yard> {
  const dir = await mkdtemp(join(tmpdir(), 'dusklatch-real-'));
  const file = join(dir, 'yard.yaml');
  await writeFile(file, text);
  const data = dataDir ?? join(dir, 'data');
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  let child: ChildProcess | null = null;
  let said = '';
  let cookie = '';
  const yard: Yard = {
    url,
    dir,
    file,
    dataDir: data,
    said: () => said,
    picture: async () => (await fetch(`${url}/api/yard`)).json() as Promise<Picture>,
    async lines() {
      const all: Awaited<ReturnType<Yard['lines']>> = [];
      for (;;) {
        const after = all.at(-1)?.n ?? 0;
        const { lines } = (await (await fetch(`${url}/api/journal?after=${after}&limit=500`)).json()) as {
          lines: typeof all;
        };
        if (lines.length === 0) return all;
        all.push(...lines);
      }
    },
    async command(path, body = {}) {
      if (cookie === '') {
        const session = await fetch(`${url}/api/session`, {
          method: 'POST',
          headers: { 'content-type': 'application/json' },
          body: JSON.stringify({ pin: PIN }),
        });
        cookie = session.headers.get('set-cookie')?.split(';')[0] ?? '';
      }
      const { seq, at } = await yard.picture();
      return fetch(`${url}${path}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', cookie },
        body: JSON.stringify({ issued: at, seq, ...body }),
      });
    },
    async kill(signal) {
      if (!child || child.exitCode !== null || child.signalCode !== null) return;
      child.kill(signal);
      await once(child, 'exit');
    },
    async start() {
      child = spawn(
        process.execPath,
        [
          CLI,
          'serve',
          file,
          '--host',
          '127.0.0.1',
          '--port',
          String(port),
          '--data',
          data,
          '--keeper-pin',
          PIN,
          ...args,
        ],
        { stdio: ['ignore', 'pipe', 'pipe'] },
      );
      const hear = (bytes: Buffer): void => {
        said += bytes.toString();
      };
      child.stdout!.on('data', hear);
      child.stderr!.on('data', hear);
      await until('readyz', async () => {
        if (child!.exitCode !== null) throw new Error(`the daemon ended with ${child!.exitCode}: ${said}`);
        return fetch(`${url}/readyz`).then(
          (r) => r.ok,
          () => false,
        );
      });
    },
    async close() {
      await yard.kill('SIGTERM');
      await rm(dir, { recursive: true, force: true });
    },
  };
  await yard.start();
  return yard;
}

export interface Standins {
  /** A line of the stand-ins' control language; resolves to its answer. */
  say(line: string): Promise<string>;
  kill(signal: NodeJS.Signals): Promise<void>;
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
  const child = spawn(process.execPath, args, { stdio: ['pipe', 'pipe', 'pipe'] });
  const answers: ((line: string) => void)[] = [];
  const reader: Interface = createInterface({ input: child.stdout });
  reader.on('line', (line) => answers.shift()?.(line));
  child.stderr.resume();
  return {
    say(line) {
      return new Promise((answered) => {
        answers.push(answered);
        child.stdin.write(`${line}\n`);
      });
    },
    async kill(signal) {
      if (child.exitCode !== null || child.signalCode !== null) return;
      child.kill(signal);
      await once(child, 'exit');
    },
    async close() {
      reader.close();
      if (child.exitCode !== null || child.signalCode !== null) return;
      child.kill('SIGKILL');
      await once(child, 'exit');
    },
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

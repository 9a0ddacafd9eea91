import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import mqtt, { type MqttClient } from 'mqtt';

const CLI = fileURLToPath(new URL('../../server/cli.js', import.meta.url));
export const PIN = '246813';
/** Of what a daemon says, characters. */
const SAID_KEPT = 8192;

export interface Daemon {
  readonly url: string;
  readonly busUrl: string;
  readonly pid: number;
  /** ms from the command to `readyz`. */
  readonly readyMs: number;
  cookie: string;
  readonly dataDir: string;
  picture(): Promise<{ seq: number; at: number; mode: string; night: { open: number } | null }>;
  command(path: string, body?: object): Promise<Response>;
  /** Opens the yard by hand for so long and resolves once it is open: with its plan, or with nothing planned. */
  opened(how?: { for?: string; plan?: boolean }): Promise<void>;
  /** Ends it; its data folder stays until `stop`. */
  end(): Promise<void>;
  stop(): Promise<void>;
}

export async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  server.close();
  await once(server, 'close');
  return port;
}

export const sleep = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

export async function until(
  what: string,
  ok: () => boolean | Promise<boolean>,
  forMs = 20_000,
): Promise<void> {
  const end = performance.now() + forMs;
  let cause: unknown;
  const holds = async (): Promise<boolean> => {
    try {
      return await ok();
    } catch (error) {
      // a connection that was closed as idle while it was being used again
      cause = error;
      return false;
    }
  };
  while (!(await holds())) {
    if (performance.now() > end) throw new Error(`waited ${forMs} ms for ${what}`, { cause });
    await sleep(5);
  }
}

/**
 * The built daemon with a yard file, as a process of its own. What it says is kept from the table and told where it ends by
 * itself. With `BENCH_PROFILE` naming a folder it leaves a CPU profile there.
 */
export async function startDaemon(yardOf: (busPort: number) => string): Promise<Daemon> {
  const dir = mkdtempSync(join(tmpdir(), 'dusklatch-bench-'));
  const [port, busPort] = [await freePort(), await freePort()];
  const file = join(dir, 'yard.yaml');
  writeFileSync(file, yardOf(busPort));
  const url = `http://127.0.0.1:${port}`;
  const begun = performance.now();
  const profile = process.env.BENCH_PROFILE;
  const child = spawn(
    process.execPath,
    [
      ...(profile ? ['--cpu-prof', '--cpu-prof-dir', profile] : []),
      CLI,
      'serve',
      file,
      '--port',
      String(port),
      '--host',
      '127.0.0.1',
      '--data',
      join(dir, 'data'),
      '--keeper-pin',
      PIN,
    ],
    { stdio: ['ignore', 'ignore', 'pipe'] },
  );
  const orphan = (): void => void child.kill('SIGKILL');
  process.once('exit', orphan);
  let said = '';
  child.stderr.on('data', (chunk: Buffer) => {
    said = (said + chunk).slice(-SAID_KEPT);
  });
  let ending = false;
  child.once('exit', (code, signal) => {
    process.off('exit', orphan);
    if (!ending) process.stderr.write(`the daemon ended by itself (${code ?? signal}):\n${said}\n`);
  });
  await until('readyz', async () => (await fetch(`${url}/readyz`)).ok);
  const readyMs = performance.now() - begun;
  const daemon: Daemon = {
    url,
    busUrl: `mqtt://127.0.0.1:${busPort}`,
    pid: child.pid!,
    readyMs,
    cookie: '',
    dataDir: join(dir, 'data'),
    picture: async () => (await fetch(`${url}/api/yard`)).json() as never,
    async command(path, body = {}) {
      const { seq, at } = await daemon.picture();
      return fetch(`${url}${path}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', cookie: daemon.cookie },
        body: JSON.stringify({ issued: at, seq, ...body }),
      });
    },
    async opened(how = {}) {
      await until('the yard to open', async () => {
        const { mode } = await daemon.picture();
        if (mode === 'closed') await daemon.command('/api/open', { for: '2 h', plan: false, ...how });
        await sleep(100);
        return mode === 'open';
      });
    },
    async end() {
      ending = true;
      child.kill('SIGTERM');
      if (child.exitCode === null && child.signalCode === null) await once(child, 'exit');
    },
    async stop() {
      await daemon.end();
      rmSync(dir, { recursive: true, force: true });
    },
  };
  const session = await fetch(`${url}/api/session`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ pin: PIN }),
  });
  daemon.cookie = session.headers.get('set-cookie')?.split(';')[0] ?? '';
  return daemon;
}

/** A raw client on the daemon's broker, the floor's measure. */
export async function rawClient(busUrl: string): Promise<MqttClient> {
  const client = mqtt.connect(busUrl, { protocolVersion: 4, clean: true, keepalive: 10, reconnectPeriod: 0 });
  await new Promise<void>((done, fail) => client.once('connect', () => done()).once('error', fail));
  return client;
}

/** Least of a board: links, reads, beats, answers a stop; it moves when told and says so at once. */
export interface Board {
  readonly client: MqttClient;
  readonly session: string;
  say(topic: string, payload: object, retain?: boolean, qos?: 0 | 1): void;
  close(): void;
}

/**
 * A board is a machine of its own. Here hundreds share a process: were each to answer a stop as it hears it, the last
 * one would hear it only after all others had answered, and that would be counted as the stop's way.
 */
const ANSWER_MS = 20;

let words = 0;

export async function board(
  busUrl: string,
  controller: string,
  sensors: Readonly<Record<string, boolean>>,
  hear: (topic: string, payload: Record<string, unknown>, board: Board) => void,
): Promise<Board> {
  const client = await rawClient(busUrl);
  let session = `w${++words}`;
  let epoch = 0;
  let timer: NodeJS.Timeout | null = null;
  const me: Board = {
    client,
    get session() {
      return session;
    },
    say(topic, payload, retain = false, qos = 1) {
      // what was to end after it has gone ends with it
      if (client.connected) client.publish(`yard/${topic}`, JSON.stringify(payload), { qos, retain });
    },
    close() {
      if (timer) clearInterval(timer);
      client.end(true);
    },
  };
  const report = (stop: number): void => {
    me.say(
      `controller/${controller}/link`,
      { up: true, session, first: session, contract: 1, props: [controller], stop, epoch },
      true,
    );
    for (const [s, made] of Object.entries(sensors))
      me.say(`prop/${controller}/sense/${s}`, { prop: controller, made, session, n: 1 }, true);
  };
  client.on('message', (topic, bytes) => {
    const payload = JSON.parse(bytes.toString()) as Record<string, unknown>;
    const short = topic.slice(topic.indexOf('/') + 1);
    if (short === 'heartbeat') {
      if (epoch !== payload.epoch) {
        epoch = payload.epoch as number;
        session = `w${++words}`;
        report(0);
      }
      return;
    }
    if (short === 'announce') return report(0);
    if (short === 'stop' && payload.latched === true) {
      session = `w${++words}`;
      hear(short, payload, me);
      setTimeout(() => {
        me.say(`controller/${controller}/stopped`, { n: payload.n, session, safe: true });
        report(payload.n as number);
      }, ANSWER_MS);
      return;
    }
    hear(short, payload, me);
  });
  await client.subscribeAsync(
    ['stop', 'heartbeat', 'announce', `prop/${controller}/do`, `prop/${controller}/halt`].map(
      (t) => `yard/${t}`,
    ),
    { qos: 1 },
  );
  report(0);
  timer = setInterval(() => me.say(`controller/${controller}/beat`, { session, n: 1 }, false, 0), 300);
  return me;
}

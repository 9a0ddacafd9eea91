import { type ChildProcess, spawn } from 'node:child_process';
import { accessSync, constants } from 'node:fs';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';

export interface Mosquitto {
  readonly url: string;
  readonly port: number;
  /** What it has logged so far, for a failing test's message. */
  log(): string;
  /** Ends it in order and removes its folder. */
  stop(): Promise<void>;
  /** Ends it at once (SIGKILL), as a power cut would. Its port stays known: see `restart`. */
  kill(): Promise<void>;
  /** Freezes it (SIGSTOP): connections stay open and nothing answers. */
  pause(): void;
  resume(): void;
  /** Starts it again on the same port after `kill`; what it retained is gone, save what a store of its own holds. */
  restart(): Promise<void>;
  /** Has it write its store, where `lines` give it one: what it retains outlives a `kill` from here. */
  save(): void;
}

export interface MosquittoOptions {
  /** Lines of configuration besides the listener's; without `allow_anonymous` in them, anyone may connect. */
  readonly lines?: readonly string[];
  /** More files in its folder: name to text. `{dir}` in a line stands for the folder. */
  readonly files?: Readonly<Record<string, string>>;
}

/** Where mosquitto is, or null. Debian puts it in /usr/sbin, which is not on everyone's PATH. */
export function findMosquitto(): string | null {
  const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin'];
  for (const folder of folders.filter((each) => each !== '')) {
    const path = join(folder, 'mosquitto');
    try {
      accessSync(path, constants.X_OK);
      return path;
    } catch {
      // not in this one
    }
  }
  return null;
}

/** True where a test against mosquitto can run. Said plainly where it can't; where it must (CI), it throws. */
export function mosquittoHere(): boolean {
  if (findMosquitto() !== null) return true;
  if (process.env.CI === 'true') throw new Error('mosquitto is not installed, and here it must be');
  console.warn('mosquitto is not installed: what needs a real external broker is left out');
  return false;
}

/** A port that was free a moment ago, on the loopback. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      const port = typeof address === 'object' && address !== null ? address.port : 0;
      server.close(() => resolve(port));
    });
  });
}

/**
 * A real broker of its own on a free port of 127.0.0.1, without persistence unless `lines` ask for it. Null where mosquitto is not installed
 * (said on the console); throws instead with CI=true, so that a green run there has really met it.
 */
export async function startMosquitto(options: MosquittoOptions = {}): Promise<Mosquitto | null> {
  if (!mosquittoHere()) return null;
  const path = findMosquitto()!;
  const dir = await mkdtemp(join(tmpdir(), 'dusklatch-mosquitto-'));
  const port = await freePort();
  for (const [name, text] of Object.entries(options.files ?? {})) {
    await writeFile(join(dir, name), text, { mode: 0o600 });
  }
  const lines = (options.lines ?? []).map((line) => line.replaceAll('{dir}', dir));
  if (!lines.some((line) => line.startsWith('allow_anonymous'))) lines.push('allow_anonymous true');
  // mosquitto gives up root for the user of this line where it is started as root; its files are ours
  if (process.getuid?.() === 0) lines.push('user root');
  const config = join(dir, 'mosquitto.conf');
  if (!lines.some((line) => line.startsWith('persistence '))) lines.push('persistence false');
  await writeFile(config, [`listener ${port} 127.0.0.1`, ...lines, ''].join('\n'));

  let said = '';
  let child: ChildProcess = await launch();

  async function launch(): Promise<ChildProcess> {
    const started = spawn(path, ['-c', config], { stdio: ['ignore', 'pipe', 'pipe'] });
    const keep = (chunk: Buffer) => {
      said = (said + chunk.toString()).slice(-20_000);
    };
    started.stdout.on('data', keep);
    started.stderr.on('data', keep);
    await answers(started, port, () => said);
    return started;
  }

  async function end(signal: NodeJS.Signals): Promise<void> {
    const ending = child;
    if (ending.exitCode !== null || ending.signalCode !== null) return;
    const gone = new Promise<void>((resolve) => ending.once('exit', () => resolve()));
    // a frozen one takes no SIGTERM; SIGKILL takes it as it is, so that it does nothing more with what it had buffered
    if (signal !== 'SIGKILL') ending.kill('SIGCONT');
    ending.kill(signal);
    await gone;
  }

  // a test run that is broken off leaves no broker behind
  const onExit = () => child.kill('SIGKILL');
  process.once('exit', onExit);

  return {
    url: `mqtt://127.0.0.1:${port}`,
    port,
    log: () => said,
    async stop() {
      process.off('exit', onExit);
      await end('SIGTERM');
      await rm(dir, { recursive: true, force: true });
    },
    kill: () => end('SIGKILL'),
    pause: () => void child.kill('SIGSTOP'),
    resume: () => void child.kill('SIGCONT'),
    async restart() {
      await end('SIGKILL');
      child = await launch();
    },
    save: () => void child.kill('SIGUSR1'),
  };
}

/** Resolves once the port takes connections; rejects where the process ends before, or after 10 s. */
async function answers(child: ChildProcess, port: number, log: () => string): Promise<void> {
  const until = performance.now() + 10_000;
  while (performance.now() < until) {
    if (child.exitCode !== null) throw new Error(`mosquitto ended with ${child.exitCode}: ${log()}`);
    if (await takes(port)) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  child.kill('SIGKILL');
  throw new Error(`mosquitto did not open port ${port} within 10 s: ${log()}`);
}

function takes(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}

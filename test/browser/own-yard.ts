import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { freePort } from '../real/mosquitto.ts';
import { launch, PHONE } from './chromium.ts';
import { until } from './stage.ts';

export const COMMAND = fileURLToPath(new URL('../../dist/server/cli.js', import.meta.url));

/** Whether the daemon is built; with CI=true it must be. */
export const isBuilt = existsSync(COMMAND);
if (!isBuilt && process.env.CI === 'true') throw new Error('the daemon is not built: npm run build');
if (!isBuilt)
  console.warn('The daemon is not built: its tests in the browser are SKIPPED. Run npm run build.');

export const PIN = '20406080';

/** The real daemon, stand-ins for its boards, and a browser in front: each a process that is ended after. */
export class OwnYard {
  readonly folder = mkdtempSync(join(tmpdir(), 'dusklatch-own-'));
  readonly data = join(this.folder, 'data');
  readonly path = join(this.folder, 'my-yard.yaml');
  url = '';
  busUrl = '';
  told = '';
  browser!: Browser;
  #boards: ChildProcess | null = null;
  #daemon: ChildProcess | null = null;
  #args: string[] = [];
  #env: Record<string, string> = {};
  readonly #children: ChildProcess[] = [];

  /** On a yard file. `standins`: the file whose boards are played, if another than the yard's; false plays none. */
  static async start(
    text: string,
    standins: string | boolean = true,
    more: Record<string, string> = {},
  ): Promise<OwnYard> {
    const yard = new OwnYard();
    writeFileSync(yard.path, text);
    await yard.#open([yard.path], { DUSKLATCH_HOST: '127.0.0.1', ...more });
    if (standins !== false) yard.playBoards(typeof standins === 'string' ? standins : text);
    return yard;
  }

  /** The demonstration, as a newcomer starts it: without a file, and with boards of its own. */
  static async demonstration(args: string[] = []): Promise<OwnYard> {
    const yard = new OwnYard();
    await yard.#open(args, {});
    return yard;
  }

  async #open(args: string[], env: Record<string, string>): Promise<void> {
    const [port, busPort] = [await freePort(), await freePort()];
    this.url = `http://127.0.0.1:${port}`;
    this.busUrl = `mqtt://127.0.0.1:${busPort}`;
    this.#args = args;
    this.#env = {
      DUSKLATCH_PORT: String(port),
      DUSKLATCH_BUS_PORT: String(busPort),
      DUSKLATCH_DATA: this.data,
      DUSKLATCH_KEEPER_PIN: PIN,
      ...env,
    };
    await this.begin();
    this.browser = await launch();
  }

  async begin(): Promise<void> {
    this.#daemon = this.#run(['serve', ...this.#args], this.#env);
    await this.up();
  }

  signal(signal: NodeJS.Signals): void {
    this.#daemon!.kill(signal);
  }

  /** As a power cut ends it. */
  cut(): Promise<void> {
    return this.#ended('SIGKILL');
  }

  /** In order, so that it keeps the state it came to. */
  down(): Promise<void> {
    return this.#ended('SIGTERM');
  }

  async #ended(signal: NodeJS.Signals): Promise<void> {
    const over = new Promise((done) => this.#daemon!.once('exit', done));
    this.#daemon!.kill(signal);
    await over;
  }

  /** Asks for something as a page would that is signed in and up to date; `page` holds the cookie. */
  async ask(page: Page, path: string, more: object = {}) {
    const { seq, at } = await this.picture();
    return page.request.post(`${this.url}${path}`, { data: { issued: at, seq, ...more } });
  }

  playBoards(text: string): void {
    const path = join(this.folder, 'boards.yaml');
    writeFileSync(path, text);
    this.#boards = this.#run(['standins', path, '--bus', this.busUrl], {});
  }

  /** A line to the stand-ins, as at their terminal. */
  say(line: string): void {
    this.#boards!.stdin!.write(`${line}\n`);
  }

  async up(): Promise<void> {
    const ready = async () => {
      const answer = await fetch(`${this.url}/readyz`, { redirect: 'manual' }).catch(() => null);
      // by https it leads there, and its certificate is known to the browser alone
      return answer !== null && (answer.ok || answer.status === 308);
    };
    await until(ready, 20_000).catch(() => {
      throw new Error(`the daemon did not start:\n${this.told}`);
    });
  }

  /** A page on it, signed in as the keeper. */
  async keeper(hash: string, viewport = PHONE): Promise<Page> {
    const context = await this.browser.newContext({ viewport, acceptDownloads: true });
    await context.request.post(`${this.url}/api/session`, { data: { pin: PIN } });
    const page = await context.newPage();
    await page.goto(`${this.url}/${hash}`);
    await page.waitForSelector('html[data-link=live]');
    return page;
  }

  // biome-ignore lint/suspicious/noExplicitAny: a test looks into whatever came
  async picture(): Promise<any> {
    return (await fetch(`${this.url}/api/yard`)).json();
  }

  async end(): Promise<void> {
    await this.browser?.close();
    await Promise.all(this.#children.reverse().map(ended));
    rmSync(this.folder, { recursive: true, force: true });
  }

  #run(args: string[], env: Record<string, string>): ChildProcess {
    const child = spawn(process.execPath, [COMMAND, ...args], {
      env: { ...process.env, ...env },
      stdio: ['pipe', 'pipe', 'pipe'],
    });
    for (const out of [child.stdout!, child.stderr!])
      out.on('data', (text) => {
        this.told += text;
      });
    this.#children.push(child);
    return child;
  }
}

function ended(child: ChildProcess): Promise<unknown> {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve();
  const over = new Promise((done) => child.once('exit', done));
  child.kill('SIGTERM');
  return over;
}

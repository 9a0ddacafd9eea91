import { type ChildProcessWithoutNullStreams, execFileSync, spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));

/** Whether this machine has a compiler; without one the firmware's tests are skipped. */
export const compiler = spawnSync('g++', ['--version']).status === 0 ? 'g++' : null;

const WARNINGS = ['-Wall', '-Wextra', '-Wshadow', '-Werror'];
/** With these the program ends at the first read past an end or the first undefined operation. */
const SANITIZERS = ['-fsanitize=address,undefined', '-fno-sanitize-recover=all'];

/** Builds the carriage's logic with a text front end; answers the program and how to remove it. */
export function buildHost(): { program: string; remove: () => void } {
  const dir = mkdtempSync(join(tmpdir(), 'carriage-'));
  const program = join(dir, 'host');
  const build = (more: string[]) =>
    spawnSync(
      compiler!,
      ['-std=c++11', '-O1', '-g', ...WARNINGS, ...more, join(here, 'host.cpp'), '-o', program],
      {
        encoding: 'utf8',
      },
    );
  let made = build(SANITIZERS);
  if (made.status !== 0 && /sanitize|lasan|lubsan/.test(made.stderr)) made = build([]);
  if (made.status !== 0) throw new Error(`the carriage does not compile:\n${made.stderr}`);
  return { program, remove: () => rmSync(dir, { recursive: true, force: true }) };
}

/** Lets the compiler check the sketch against declarations of the board's core. Throws with its words. */
export function checkSketch(): void {
  const sketch = join(here, '../../deploy/firmware/carriage/carriage.ino');
  const stubs = join(here, 'stubs');
  const include = ['-include', join(stubs, 'Arduino.h'), '-I', stubs];
  const flags = ['-std=c++17', ...WARNINGS, '-Wno-missing-field-initializers', '-fsyntax-only'];
  execFileSync(compiler!, [...flags, ...include, '-x', 'c++', sketch], { stdio: 'pipe' });
}

export type Said =
  | { kind: 'motor'; way: 'off' | 'out' | 'back' }
  | { kind: 'pub'; topic: string; retained: boolean; qos: number; payload: string }
  | { kind: 'will' | 'sub' | 'json' | 'unknown'; fields: string[] };

/** The running program: one command at a time, each answered with what the board did. */
export class Host {
  readonly #child: ChildProcessWithoutNullStreams;
  readonly #waiting: { done: (said: Said[]) => void; failed: (e: Error) => void }[] = [];
  #said: Said[] = [];
  #errors = '';

  constructor(program: string) {
    this.#child = spawn(program, [], { env: { ...process.env, ASAN_OPTIONS: 'detect_leaks=0' } });
    this.#child.stderr.on('data', (chunk) => {
      this.#errors += chunk;
    });
    this.#child.on('exit', (code) => {
      for (const w of this.#waiting.splice(0)) w.failed(new Error(`ended with ${code}\n${this.#errors}`));
    });
    createInterface({ input: this.#child.stdout }).on('line', (line) => this.#line(line));
  }

  ask(command: string): Promise<Said[]> {
    return new Promise((done, failed) => {
      this.#waiting.push({ done, failed });
      this.#child.stdin.write(`${command}\n`);
    });
  }

  end(): void {
    this.#child.removeAllListeners('exit');
    this.#child.stdin.end();
    this.#child.kill();
  }

  #line(line: string): void {
    if (line === '.') {
      this.#waiting.shift()!.done(this.#said);
      this.#said = [];
      return;
    }
    this.#said.push(saidOf(line.split('\t')));
  }
}

function saidOf([kind, ...f]: string[]): Said {
  if (kind === 'motor') return { kind, way: f[0] as 'off' | 'out' | 'back' };
  if (kind === 'pub')
    return { kind, topic: f[0]!, retained: f[1] === '1', qos: Number(f[2]), payload: f.slice(3).join('\t') };
  return { kind: kind as 'will', fields: f };
}

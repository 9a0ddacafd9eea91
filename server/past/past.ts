import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { CurvesTold } from '../curves.ts';
import type { NightTimes } from '../plan/tonight.ts';
import type { RunLine } from '../unplanned.ts';
import type { Language } from '../words/tongue.ts';

/** What is asked of the process. Times are ms since 1970, `before` a number of a line, `to` a number of an event. */
export type PastAsk =
  | { readonly what: 'nights' }
  | { readonly what: 'course'; readonly night: string; readonly tonight: NightTimes | null }
  | { readonly what: 'moment'; readonly at: number }
  | { readonly what: 'story'; readonly prop: string; readonly before: number | null; readonly limit: number }
  | { readonly what: 'so-far'; readonly night: string; readonly from: number; readonly to: number }
  | { readonly what: 'unplanned'; readonly night: string; readonly from: number };

export type PastSaid =
  | { readonly id: number; readonly ok: true; readonly json: string | null }
  | { readonly id: number; readonly ok: false; readonly why: string; readonly slow: boolean };

export interface PastOpening {
  readonly dataDir: string;
  readonly demonstration: boolean;
  /** In which the yard as it was is told; left out, in English. Lines of the record stand as they were read. */
  readonly language?: Language;
}

/** What the api may ask of the past; every answer is JSON text, ready to go out. */
export interface PastDoor {
  /** The nights that the record knows, newest first. */
  nights(): Promise<string>;
  /** A night's marks; null where nothing of it is recorded. */
  course(night: string): Promise<string | null>;
  /** The yard as it was at an instant; null where nothing is kept of then. */
  moment(at: number): Promise<string | null>;
  /** A prop's story, newest first, of lines numbered below `before`. */
  story(prop: string, before: number | null, limit: number): Promise<string>;
}

/** Too much is asked at once, or an answer took too long. */
export class PastBusy extends Error {}

const WAITING_MOST = 12;
/** A moment is folded for a few seconds at a time; what takes longer than this hangs, and is given up. */
const PATIENCE_MS = 20_000;
/** Nobody waits for the curves of the night so far, which a start folds once. */
const PATIENT_MS = 300_000;
/** The process and what it keeps go when nobody has asked for so long. */
const IDLE_MS = 180_000;
/** What it may keep; a process that wants more ends, and the desk goes on. */
const MEMORY_MB = 256;
const PROCESS = fileURLToPath(new URL('./process.js', import.meta.url));

interface Waiting {
  readonly give: (json: string | null) => void;
  readonly fail: (error: Error) => void;
  readonly timer: NodeJS.Timeout;
}

/**
 * Asks the past in a process of its own: folding an evening takes seconds on a small computer, and a desk whose loop
 * stands still for so long neither stops anything nor keeps its props. It is no thread, because a thread that is ended in
 * the middle of a read takes the whole process down with it: the database's library can't be interrupted. So many
 * questions wait at once and no more.
 */
export class Past implements PastDoor {
  readonly #opening: PastOpening;
  readonly #tonight: () => NightTimes | null;
  readonly #waiting = new Map<number, Waiting>();
  #process: ChildProcess | null = null;
  #idle: NodeJS.Timeout | null = null;
  #asked = 0;

  constructor(opening: PastOpening, tonight: () => NightTimes | null) {
    this.#opening = opening;
    this.#tonight = tonight;
  }

  /** The process's number while one is open. */
  get pid(): number | undefined {
    return this.#process?.pid;
  }

  async nights(): Promise<string> {
    return (await this.#ask({ what: 'nights' }))!;
  }

  course(night: string): Promise<string | null> {
    const tonight = this.#tonight();
    return this.#ask({ what: 'course', night, tonight: tonight?.date === night ? tonight : null });
  }

  moment(at: number): Promise<string | null> {
    return this.#ask({ what: 'moment', at });
  }

  async story(prop: string, before: number | null, limit: number): Promise<string> {
    return (await this.#ask({ what: 'story', prop, before, limit }))!;
  }

  /** Loads and pressures of a night from an instant to event `to`. */
  async soFar(night: string, from: number, to: number): Promise<CurvesTold> {
    return JSON.parse((await this.#ask({ what: 'so-far', night, from, to }, PATIENT_MS))!) as CurvesTold;
  }

  /** Starts and ends of the runs of a night, from an instant on, that are on no plan. */
  async unplanned(night: string, from: number): Promise<RunLine[]> {
    return JSON.parse((await this.#ask({ what: 'unplanned', night, from }, PATIENT_MS))!) as RunLine[];
  }

  close(): void {
    if (this.#idle) clearTimeout(this.#idle);
    this.#end(new PastBusy('the yard computer ends'));
  }

  #ask(ask: PastAsk, patienceMs = PATIENCE_MS): Promise<string | null> {
    if (this.#waiting.size >= WAITING_MOST) return Promise.reject(new PastBusy('too many ask'));
    const process = this.#open();
    this.#asked += 1;
    const id = this.#asked;
    return new Promise((give, fail) => {
      const timer = setTimeout(() => this.#end(new PastBusy('it took too long')), patienceMs);
      timer.unref();
      this.#waiting.set(id, { give, fail, timer });
      process.send({ id, ask }, (error) => error && this.#end(error, process));
    });
  }

  #open(): ChildProcess {
    if (this.#idle) clearTimeout(this.#idle);
    this.#idle = setTimeout(() => this.#waiting.size === 0 && this.#end(new PastBusy('idle')), IDLE_MS);
    this.#idle.unref();
    if (this.#process) return this.#process;
    const process = fork(PROCESS, {
      execArgv: [`--max-old-space-size=${MEMORY_MB}`],
      serialization: 'advanced',
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    });
    process.unref();
    process.channel?.unref();
    process.on('message', (said: PastSaid) => this.#hear(said));
    process.on('error', (error) => this.#end(error, process));
    process.on('exit', () => this.#end(new PastBusy('the process ended'), process));
    process.send(this.#opening, (error) => error && this.#end(error, process));
    this.#process = process;
    return process;
  }

  #hear(said: PastSaid): void {
    const waiting = this.#waiting.get(said.id);
    if (!waiting) return;
    this.#waiting.delete(said.id);
    clearTimeout(waiting.timer);
    if (said.ok) waiting.give(said.json);
    else waiting.fail(said.slow ? new PastBusy(said.why) : new Error(said.why));
  }

  /** Ends the process, and tells all who wait; the next question begins another. It only reads, so it is safe to kill. */
  #end(error: Error, which = this.#process): void {
    if (!which || which !== this.#process) return;
    this.#process = null;
    const waiting = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const { fail, timer } of waiting) {
      clearTimeout(timer);
      fail(error);
    }
    which.kill('SIGKILL');
  }
}

import type { Machine } from './physics.ts';
import type { Order } from './topics.ts';

/** The payload of a `did`. */
export type Did = Readonly<Record<string, unknown>>;

type Fence = 'session' | 'epoch' | 'stopped' | 'heartbeat' | null;

/** The last `do` accepted in this session. */
interface Job {
  readonly order: Order;
  readonly startedMs: number;
  /** The sensor that ends it; null where it is timed. */
  readonly until: string | null;
  /** Where a fault of the prop ends it by time alone. */
  readonly ends: { readonly atMs: number; readonly is: 'done' | 'failed' } | null;
  moving: boolean;
  /** What the same run and step is answered again. */
  did: Did;
}

/** ms from energising to a driver that trips. */
const TRIP_MS = 60;

/**
 * The moves of one prop as its board carries them out. At rest, or moving by one accepted job, which ends `done` (at
 * its sensor or after its routine), `failed` (the limit, or the driver's own word), `halted`, or without a word
 * when the session ends.
 */
export class Work {
  readonly machine: Machine;
  readonly #say: (did: Did) => void;
  #job: Job | null = null;

  constructor(machine: Machine, say: (did: Did) => void) {
    this.machine = machine;
    this.#say = (did) => {
      if (!machine.condition.mute) say(did);
    };
  }

  /** A `do`; `fence` says why nothing may be carried out now, if so. */
  hear(atMs: number, order: Order, session: string, fence: Fence): void {
    const last = this.#job;
    if (fence === 'session' || fence === 'epoch') this.#refuse(order, session, fence);
    else if (last && last.order.run === order.run && last.order.step === order.step) this.#say(last.did);
    else if (fence) this.#refuse(order, session, fence);
    else if (last?.moving) this.#refuse(order, session, 'busy');
    else if (this.machine.condition.refuses || !this.machine.prop.moves.has(order.move)) {
      this.#refuse(order, session, 'unknown');
    } else this.#accept(atMs, order, session);
  }

  halt(atMs: number, session: string): void {
    this.machine.cut(atMs);
    const job = this.#job;
    if (job?.moving) this.#end(atMs, job, session, 'halted');
    else {
      // At rest it answers too. Where nothing was accepted in this session the keys of every `did` still stand.
      const about = job?.order ?? { prop: this.machine.prop.id, run: 'none', step: 0, move: 'none' };
      this.#say(didOf(about, 'halted', session));
    }
  }

  /** Outputs off and nothing remembered: the session has ended. */
  forget(atMs: number): void {
    this.machine.cut(atMs);
    this.#job = null;
  }

  /** Ends what has ended by now. The machine stands at this instant. */
  judge(atMs: number, session: string): void {
    const job = this.#job;
    if (!job?.moving) return;
    const arrived = job.until !== null && this.machine.reads(job.until);
    if (job.ends && atMs >= job.ends.atMs) {
      this.#end(atMs, job, session, job.ends.is, job.ends.is === 'failed' ? { why: 'driver' } : {});
    } else if (arrived || this.machine.routineDone) this.#end(atMs, job, session, 'done');
    else if (atMs >= job.startedMs + job.order.limitMs) {
      this.#end(atMs, job, session, 'failed', { why: 'limit' });
    }
  }

  /** When `judge` is wanted by time alone; Infinity: not. */
  nextDue(): number {
    const job = this.#job;
    return job?.moving ? Math.min(job.startedMs + job.order.limitMs, job.ends?.atMs ?? Infinity) : Infinity;
  }

  #accept(atMs: number, order: Order, session: string): void {
    const move = this.machine.prop.moves.get(order.move)!;
    const { idle, trips } = this.machine.condition;
    const lastsMs = move.until === null ? (order.lastsMs ?? move.usualMs) : null;
    const ends = trips
      ? ({ atMs: atMs + TRIP_MS, is: 'failed' } as const)
      : idle
        ? ({ atMs: atMs + (lastsMs ?? move.usualMs), is: 'done' } as const)
        : null;
    const did = didOf(order, 'started', session);
    this.#job = { order, startedMs: atMs, until: move.until, moving: true, did, ends };
    if (!idle) this.machine.start(atMs, move, lastsMs);
    this.#say(did);
    this.judge(atMs, session);
  }

  #end(atMs: number, job: Job, session: string, is: string, more: Did = {}): void {
    this.machine.cut(atMs);
    job.moving = false;
    const ms = is === 'done' ? { ms: Math.round(atMs - job.startedMs) } : {};
    job.did = didOf(job.order, is, session, { ...ms, ...more });
    this.#say(job.did);
  }

  #refuse(order: Order, session: string, why: string): void {
    this.#say(didOf(order, 'refused', session, { why }));
  }
}

function didOf(
  about: Pick<Order, 'prop' | 'run' | 'step' | 'move'>,
  is: string,
  session: string,
  more: Did = {},
): Did {
  const { prop, run, step, move } = about;
  return { prop, run, step, move, is, session, ...more };
}

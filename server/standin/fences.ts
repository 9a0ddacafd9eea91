import { DEFAULT_SILENCE_MS, type Order } from './topics.ts';

/** A desk as a board knows it. */
export interface Desk {
  readonly desk: string;
  readonly epoch: number;
}

/** Positive where `a` counts as higher: by epoch, and by the word as text where epochs are equal. */
export function compareDesks(a: Desk, b: Desk): number {
  if (a.epoch !== b.epoch) return a.epoch - b.epoch;
  return a.desk === b.desk ? 0 : a.desk > b.desk ? 1 : -1;
}

/**
 * What stands between a board's outputs and a `do`: whom it follows, when it last heard them, and which stop is
 * latched. It decides nothing about outputs; the board asks it and acts.
 */
export class Fences {
  /** The highest desk heard since boot; epoch 0 before any. */
  followed: Desk = { desk: '', epoch: 0 };
  silenceMs = DEFAULT_SILENCE_MS;
  /** The last stop obeyed since boot; 0 before any. */
  obeyed = 0;
  #heardMs: number | null = null;
  /** From when silence counts where no heartbeat was heard yet: boot, connect, or a new desk. */
  #armedMs: number;
  #silent = false;
  #latched: number | null = null;
  #cleared: number | null = null;

  constructor(atMs: number) {
    this.#armedMs = atMs;
  }

  get silent(): boolean {
    return this.#silent;
  }

  get stopped(): boolean {
    return this.#latched !== null;
  }

  /** A connection begins: silence counts anew from here, unless a heartbeat from before it still holds. */
  arm(atMs: number): void {
    if (this.#heardMs !== null && atMs - this.#heardMs >= this.silenceMs) this.#heardMs = null;
    this.#armedMs = atMs;
    this.#silent = false;
  }

  /** True where a desk higher than all before was heard: from now on only that one is followed. */
  hearDesk(atMs: number, who: Desk): boolean {
    if (compareDesks(who, this.followed) <= 0) return false;
    this.followed = { desk: who.desk, epoch: who.epoch };
    this.#heardMs = null;
    this.arm(atMs);
    return true;
  }

  follows(who: Desk): boolean {
    return compareDesks(who, this.followed) === 0;
  }

  /** A heartbeat of the desk it follows. True where it is the first after a silence. */
  hearHeartbeat(atMs: number, silenceMs: number): boolean {
    const back = this.#silent;
    this.silenceMs = silenceMs;
    this.#heardMs = atMs;
    this.#silent = false;
    return back;
  }

  /** When silence will have lasted too long; null while it is silent already. */
  silenceDue(): number | null {
    return this.#silent ? null : (this.#heardMs ?? this.#armedMs) + this.silenceMs;
  }

  /** `silenceMs` have passed without a heartbeat. */
  fallSilent(): void {
    this.#silent = true;
  }

  /** A latched stop on `stop`. True where it is to be obeyed anew: new session, `stopped`, `link`. */
  hearStop(n: number): boolean {
    if (n === this.#cleared) return false;
    const anew = this.#latched === null || n > this.obeyed;
    this.#latched = Math.max(this.#latched ?? n, n);
    this.obeyed = Math.max(this.obeyed, n);
    return anew;
  }

  /** A heartbeat's `stop`: late, and without effect, unless above the number last cleared. */
  hearHeartbeatStop(n: number): boolean {
    return n !== 0 && n > (this.#cleared ?? 0) && this.hearStop(n);
  }

  /** `latched:false` of the desk it follows. */
  hearClear(n: number): void {
    this.#cleared = Math.max(this.#cleared ?? n, n);
    if (this.#latched !== null && n >= this.#latched) this.#latched = null;
  }

  /** Why an order may not be carried out whatever its prop does, or null. */
  refusal(atMs: number, order: Order, session: string): 'session' | 'epoch' | 'stopped' | 'heartbeat' | null {
    if (order.session !== session) return 'session';
    if (!this.follows(order)) return 'epoch';
    if (this.stopped) return 'stopped';
    if (this.#heardMs === null || atMs - this.#heardMs > this.silenceMs) return 'heartbeat';
    return null;
  }
}

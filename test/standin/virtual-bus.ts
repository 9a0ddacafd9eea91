import type { Board } from '../../server/standin/board.ts';
import type { ExamBus } from '../../server/standin/examiner.ts';
import { type Out, readPayload } from '../../server/standin/topics.ts';

/** What of a board a bus needs; a bent one may say something else. */
export type BoardLike = Pick<
  Board,
  'controller' | 'subscriptions' | 'dial' | 'connect' | 'receive' | 'advanceTo' | 'nextDue' | 'reboot'
>;

interface Timer {
  atMs: number;
  readonly everyMs: number;
  readonly act: () => void;
}

/** A broker in virtual time with one board on it: live messages without the retain flag, retained ones on subscribing. */
export class VirtualBus implements ExamBus {
  readonly #board: BoardLike;
  readonly #topics: Set<string>;
  readonly #retained = new Map<string, string>();
  readonly #timers = new Set<Timer>();
  #listener: Parameters<ExamBus['onMessage']>[0] = () => {};
  #will: Out | null = null;
  /** The board has power and is subscribed. */
  #on = false;
  #atMs = 0;
  /** When the board finds the bus, where it has not yet. */
  #firstMs: number | null;

  constructor(board: BoardLike, connectsAtMs = 0) {
    this.#board = board;
    this.#topics = new Set(board.subscriptions.map((s) => s.topic));
    this.#firstMs = connectsAtMs;
    if (connectsAtMs === 0) this.#connect();
  }

  nowMs(): number {
    return this.#atMs;
  }

  onMessage(listener: Parameters<ExamBus['onMessage']>[0]): void {
    this.#listener = listener;
    for (const [topic, payload] of this.#retained) listener(topic, read(payload), true);
  }

  publish(topic: string, payload: string, retain: boolean): void {
    this.#give(topic, payload, retain);
  }

  every(ms: number, act: () => void): () => void {
    act();
    const timer = { atMs: this.#atMs + ms, everyMs: ms, act };
    this.#timers.add(timer);
    return () => this.#timers.delete(timer);
  }

  async wait(ms: number, until?: () => boolean): Promise<boolean> {
    const endMs = this.#atMs + ms;
    for (;;) {
      if (until?.()) return true;
      const first = [...this.#timers].sort((a, b) => a.atMs - b.atMs)[0];
      const board = this.#on ? this.#board.nextDue() : this.#firstMs;
      const due = Math.min(endMs, first?.atMs ?? Infinity, board ?? Infinity);
      this.#atMs = Math.max(this.#atMs, due);
      if (this.#firstMs !== null && this.#firstMs <= this.#atMs) this.#connect();
      this.#says(this.#board.advanceTo(this.#atMs));
      if (first && first.atMs <= this.#atMs) {
        first.atMs += first.everyMs;
        first.act();
      }
      if (this.#atMs >= endMs) return until?.() ?? false;
    }
  }

  async kept(topics: readonly string[]) {
    const held = [...this.#retained].filter(([topic]) => topics.includes(topic));
    return new Map(held.flatMap(([topic, text]) => (read(text) ? [[topic, read(text)!] as const] : [])));
  }

  async close(): Promise<void> {}

  /** The board loses power and has it back: the broker gives out its will, then it connects anew. */
  async powerCycle(): Promise<void> {
    this.#board.reboot(this.#atMs);
    this.#on = false;
    await this.wait(500);
    this.#connect();
  }

  #connect(): void {
    this.#firstMs = null;
    if (this.#will) this.#says([this.#will]);
    this.#will = this.#board.dial(this.#atMs);
    this.#on = true;
    const retained = [...this.#retained].filter(([topic]) => this.#topics.has(topic));
    this.#says(this.#board.connect(this.#atMs));
    for (const [topic, payload] of retained) {
      this.#says(this.#board.receive(this.#atMs, topic, read(payload), true));
    }
  }

  #says(outs: readonly Out[]): void {
    for (const out of outs) this.#give(out.topic, JSON.stringify(out.payload), out.retain);
  }

  #give(topic: string, payload: string, retain: boolean): void {
    if (retain && payload === '') this.#retained.delete(topic);
    else if (retain) this.#retained.set(topic, payload);
    this.#listener(topic, read(payload), false);
    const value = read(payload);
    if (value && this.#on && this.#topics.has(topic))
      this.#says(this.#board.receive(this.#atMs, topic, value, false));
  }
}

const read = (payload: string) => readPayload(new TextEncoder().encode(payload));

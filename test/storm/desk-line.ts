import type { Line, LineEnds, Outgoing } from '../../server/bus/line.ts';
import type { Broker, Client, Conn } from './broker.ts';
import { bytesOf, type Message, objectOf } from './message.ts';
import type { World } from './world.ts';

/** What a line needs of the process that holds it. */
export interface LineOwner {
  readonly name: string;
  readonly alive: boolean;
  /** The desk's own broker, in its own process. */
  readonly near: boolean;
  broker(): Broker;
  /** Runs in the process: not at all once it is dead, later while it stands still. */
  enter(run: () => void): void;
  will(): Message | null;
  /** May kill the process: before the message is handed over, or after it. */
  beforeSend(outgoing: Outgoing): void;
  afterSend(message: Message): void;
  received(message: Message, retained: boolean): void;
  /** A beat takes a short way, since a night has a million of them. */
  beat(controller: string, session: string): void;
  /** How long what was handed over stays in the process, ms. */
  flushMs(): number;
  leaving(left: boolean): void;
}

const BACKOFF_MS = [100, 200, 400, 800, 1600, 2000];
const KEEP_ALIVE_MS = 5000;

/**
 * The desk's way to the broker in virtual time: everything above it, the real payloads, topics and reading, is the
 * daemon's own. Like the real one it keeps nothing back for later and dials anew after a break.
 */
export class DeskLine implements Line, Client {
  readonly name: string;
  state: Line['state'] = 'away';
  conn: Conn | null = null;
  readonly #world: World;
  readonly #owner: LineOwner;
  readonly #ends: LineEnds;
  #attempt = 0;
  #left = false;

  constructor(world: World, owner: LineOwner, ends: LineEnds) {
    this.#world = world;
    this.#owner = owner;
    this.#ends = ends;
    this.name = owner.name;
    this.#dialIn(owner.near ? 0 : 5);
  }

  #dialIn(ms: number): void {
    this.#world.in(ms, () => this.#owner.enter(() => this.#dial()));
  }

  #dial(): void {
    if (this.#left || this.conn) return;
    const { near } = this.#owner;
    this.conn = this.#owner
      .broker()
      .connect(this, this.name, near ? null : this.#owner.will(), KEEP_ALIVE_MS);
    if (!this.conn) return this.#dialIn(BACKOFF_MS[Math.min(this.#attempt++, BACKOFF_MS.length - 1)]!);
    if (near) {
      this.conn.up.latencyMs = 0;
      this.conn.down.latencyMs = 0;
    }
    this.#attempt = 0;
    this.state = 'up';
    this.#ends.up();
  }

  wants(m: Message): boolean {
    if (this.#owner.near) return m.topic.startsWith(`${this.#owner.broker().root}/`);
    return m.kind !== 'announce' && m.kind !== 'notice' && m.kind !== 'halt' && m.kind !== 'other';
  }

  receive(m: Message, retained: boolean): void {
    this.#owner.enter(() => {
      if (this.state !== 'up') return;
      this.#owner.received(m, retained);
      if (m.kind === 'beat' && !m.from.startsWith('weather') && !retained)
        this.#owner.beat(m.id, (m.data as { session: string }).session);
      else this.#ends.message(m.topic, bytesOf(m), retained);
    });
  }

  beat(controller: string, session: string): void {
    this.#owner.enter(() => {
      if (this.state === 'up') this.#owner.beat(controller, session);
    });
  }

  lost(conn: Conn): void {
    if (conn !== this.conn) return;
    this.conn = null;
    this.#owner.enter(() => this.#down('the connection ended'));
  }

  #down(why: string): void {
    const wasUp = this.state === 'up';
    this.state = 'away';
    if (this.#left) return;
    this.#dialIn(BACKOFF_MS[Math.min(this.#attempt++, BACKOFF_MS.length - 1)]!);
    if (wasUp) this.#ends.down(why);
  }

  send(outgoing: Outgoing): boolean {
    if (!this.#owner.alive || this.state !== 'up' || !this.conn) return false;
    this.#owner.beforeSend(outgoing);
    if (!this.#owner.alive || !this.conn) return false;
    const broker = this.#owner.broker();
    const { topic, payload, qos, retain } = outgoing;
    const message = broker.message(topic, objectOf(payload)!, this.name, qos, retain);
    broker.send(this.conn, message);
    this.#owner.afterSend(message);
    return true;
  }

  flushed(): Promise<void> {
    const up = this.state === 'up';
    if (up) this.#owner.leaving(false);
    return new Promise((resolve) => {
      this.#world.in(this.#owner.flushMs(), () =>
        this.#owner.enter(() => {
          if (up) this.#owner.leaving(true);
          resolve();
          this.#world.yieldWanted = true;
        }),
      );
    });
  }

  reset(why: string): void {
    if (!this.conn) return;
    this.#owner.broker().leave(this.conn, 'reset');
    this.conn = null;
    this.#down(why);
  }

  async close(last?: Outgoing): Promise<void> {
    if (this.#left) return;
    if (last) this.send(last);
    this.#left = true;
    this.state = 'away';
    if (this.conn) {
      const { conn } = this;
      this.#world.in(5, () => this.#owner.broker().leave(conn, 'in order'));
    }
    this.conn = null;
  }

  /** The process is gone without a word. */
  dropDead(how: 'reset' | 'vanished'): void {
    this.#left = true;
    this.state = 'away';
    if (this.conn) this.#owner.broker().leave(this.conn, how);
    this.conn = null;
  }
}

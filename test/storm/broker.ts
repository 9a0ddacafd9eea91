import type { Chance } from './chance.ts';
import { type Data, type Message, objectOf, placeOf } from './message.ts';
import type { World } from './world.ts';

/** Whoever holds a connection. */
export interface Client {
  readonly name: string;
  /** Whether it has subscribed to where this message goes. */
  wants(message: Message): boolean;
  receive(message: Message, retained: boolean): void;
  /** A beat by the short way, where nothing is in its way. */
  beat?(controller: string, session: string): void;
  /** Its side of this connection has found out that it is over; it may have dialed anew since. */
  lost(conn: Conn): void;
}

/** One direction of a connection. Order is kept, as TCP keeps it; what weather does to it is set here. */
export interface Pipe {
  latencyMs: number;
  /** What it takes once the weather is over, whatever other weather there was meanwhile. */
  readonly calmMs: number;
  /** Nothing arrives before this; then all of it at once. */
  heldUntil: number;
  /** What is sent vanishes, and neither side knows. */
  deaf: boolean;
  /** Share of messages of QoS 0 that vanish. */
  loss: number;
  /** Share of messages that arrive twice. */
  twice: number;
  /** Kinds thrown away by a full queue, whatever their QoS. */
  dropped: ReadonlySet<string> | null;
  last: number;
}

const newPipe = (latencyMs: number): Pipe => ({
  latencyMs,
  calmMs: latencyMs,
  heldUntil: 0,
  deaf: false,
  loss: 0,
  twice: 0,
  dropped: null,
  last: 0,
});

const isPlain = (p: Pipe): boolean => !p.deaf && p.loss === 0 && p.twice === 0 && p.dropped === null;

export interface Conn {
  readonly client: Client;
  readonly clientId: string;
  readonly keepAliveMs: number;
  will: Message | null;
  readonly up: Pipe;
  readonly down: Pipe;
  /** The client's side and the broker's side, which need not know of each other. */
  clientOpen: boolean;
  brokerOpen: boolean;
}

const NORMAL_MS = 2;

/**
 * A broker of MQTT 3.1.1 as the yard meets it: clean sessions, retained messages, wills, takeovers of a client id, dead
 * connections that either side takes for living ones. A message said live bears no retain flag to who is subscribed.
 */
export class Broker {
  readonly #world: World;
  readonly #chance: Chance;
  readonly root: string;
  conns: Conn[] = [];
  retained = new Map<string, Message>();
  up = true;
  /** The process stands still: what comes waits. */
  #frozen = false;
  #inbox: (() => void)[] = [];
  readonly #routes = new Map<string, Conn[]>();
  /** Wills that are not published, or late by this much, or twice. */
  willWeather: { missing: boolean; lateMs: number; twice: boolean } = {
    missing: false,
    lateMs: 0,
    twice: false,
  };
  /** The latency of a new connection: 2 ms unless the weather says otherwise. */
  latency: (name: string) => number = () => NORMAL_MS;
  /** Told of what a queue threw away though its connection stands: nobody will ever say it again. */
  onLost: ((message: Message) => void) | null = null;

  constructor(world: World, chance: Chance, root: string) {
    this.#world = world;
    this.#chance = chance;
    this.root = root;
  }

  message(
    topic: string,
    data: Data | string | Uint8Array,
    from: string,
    qos: 0 | 1 = 0,
    retain = false,
  ): Message {
    const { kind, id, sensor } = placeOf(this.root, topic);
    const sentAt = this.#world.now;
    const bytes =
      data instanceof Uint8Array ? data : typeof data === 'string' ? new TextEncoder().encode(data) : null;
    const object = typeof data === 'string' ? objectOf(data) : data instanceof Uint8Array ? null : data;
    return { topic, kind, id, sensor, data: object, bytes, qos, retain, sentAt, from };
  }

  /** Null where nobody answers. A client id that is in use is taken over, and the will of who had it is said. */
  connect(client: Client, clientId: string, will: Message | null, keepAliveMs: number): Conn | null {
    if (!this.up || this.#frozen) return null;
    for (const other of this.conns.filter((c) => c.clientId === clientId)) this.cut(other, true);
    const ms = this.latency(client.name);
    const conn: Conn = {
      client,
      clientId,
      keepAliveMs,
      will,
      up: newPipe(ms),
      down: newPipe(ms),
      clientOpen: true,
      brokerOpen: true,
    };
    this.conns.push(conn);
    this.#routes.clear();
    for (const message of this.retained.values()) if (client.wants(message)) this.#down(conn, message, true);
    return conn;
  }

  /** From a client to the broker. */
  send(conn: Conn, message: Message): void {
    if (!conn.clientOpen) return;
    const routine = message.kind === 'beat' || message.kind === 'heartbeat';
    this.#through(conn.up, message, routine, () => {
      if (conn.brokerOpen) this.publish(message);
    });
  }

  /**
   * A beat, of which a night has a million: in calm weather it goes straight to the one who hears it, at the time at
   * which the message would have come. False where it must go as a message.
   */
  beat(conn: Conn, topic: string, controller: string, session: string): boolean {
    const to = this.#routes.get(topic);
    if (!this.up || this.#frozen || !conn.brokerOpen || to?.length !== 1 || !isPlain(conn.up)) return false;
    const hearer = to[0]!;
    if (!hearer.client.beat || !isPlain(hearer.down)) return false;
    const { now } = this.#world;
    if (conn.up.heldUntil > now || hearer.down.heldUntil > now) return false;
    const at = Math.max(conn.up.last, now + conn.up.latencyMs);
    conn.up.last = at;
    this.#world.routine(Math.max(at + hearer.down.latencyMs, hearer.down.last), () => {
      if (hearer.clientOpen && conn.brokerOpen) hearer.client.beat!(controller, session);
    });
    return true;
  }

  publish(message: Message): void {
    if (!this.up) return;
    if (this.#frozen) {
      this.#inbox.push(() => this.publish(message));
      return;
    }
    if (message.retain) {
      if (message.data === null && (message.bytes?.length ?? 0) === 0) this.retained.delete(message.topic);
      else this.retained.set(message.topic, message);
    }
    const to = this.#route(message);
    if (message.kind === 'heartbeat') return this.#toMany(to, message);
    for (const conn of to) this.#down(conn, message, false);
  }

  /** To those clients alone whose name begins so, as a publisher might who knows whom it is after. */
  whisper(name: string, message: Message, retained: boolean): void {
    for (const conn of this.conns)
      if (conn.client.name.startsWith(name) && conn.client.wants(message))
        this.#down(conn, message, retained);
  }

  /** The broker ends a connection: the client learns of it, and its will is said where it did not leave in order. */
  cut(conn: Conn, sayWill: boolean): void {
    if (!conn.brokerOpen) return;
    conn.brokerOpen = false;
    this.#forget(conn);
    if (conn.clientOpen) {
      conn.clientOpen = false;
      this.#world.in(conn.down.latencyMs, () => conn.client.lost(conn));
    }
    if (sayWill) this.#sayWill(conn);
  }

  /** The client ends it. In order: no will. Else the broker sees a reset, or nothing at all for a time and a half of the keep-alive. */
  leave(conn: Conn, how: 'in order' | 'reset' | 'vanished'): void {
    conn.clientOpen = false;
    if (how === 'in order') {
      conn.will = null;
      conn.brokerOpen = false;
      this.#forget(conn);
    } else {
      const ms = how === 'reset' ? conn.up.latencyMs : 1.5 * conn.keepAliveMs;
      this.#world.in(ms, () => this.cut(conn, true));
    }
  }

  /** Nothing more passes one way. Whoever hears nothing for long enough gives the connection up. */
  deafen(conn: Conn, way: 'up' | 'down'): void {
    const pipe = conn[way];
    pipe.deaf = true;
    if (way === 'up') {
      this.#world.in(1.5 * conn.keepAliveMs, () => pipe.deaf && this.cut(conn, true));
    } else {
      this.#world.in(2 * conn.keepAliveMs, () => {
        if (!pipe.deaf || !conn.clientOpen) return;
        this.leave(conn, 'vanished');
        conn.client.lost(conn);
      });
    }
  }

  /** The broker's side of a connection is gone without a word; the client finds out by its keep-alive. */
  halfOpen(conn: Conn): void {
    conn.brokerOpen = false;
    this.#forget(conn);
    this.#world.in(2 * conn.keepAliveMs, () => {
      if (!conn.clientOpen) return;
      conn.clientOpen = false;
      conn.client.lost(conn);
    });
  }

  /** The process ends. Wills die with it; so does what it retained, where it has no store. */
  die(keepStore: boolean): void {
    this.up = false;
    this.#frozen = false;
    this.#inbox = [];
    for (const conn of [...this.conns]) this.cut(conn, false);
    if (!keepStore) this.retained.clear();
  }

  live(): void {
    this.up = true;
  }

  freeze(): void {
    this.#frozen = true;
  }

  thaw(): void {
    this.#frozen = false;
    const waiting = this.#inbox;
    this.#inbox = [];
    for (const run of waiting) run();
  }

  connOf(name: string): Conn | undefined {
    return this.conns.find((c) => c.client.name === name && c.brokerOpen);
  }

  #sayWill(conn: Conn): void {
    const will = conn.will;
    if (!will || !this.up) return;
    conn.will = null;
    const { missing, lateMs, twice } = this.willWeather;
    if (missing) return;
    const say = (): void => this.publish({ ...will, sentAt: this.#world.now });
    if (lateMs > 0) this.#world.in(lateMs, say);
    else say();
    if (twice) this.#world.in(lateMs + 700, say);
  }

  #forget(conn: Conn): void {
    this.conns = this.conns.filter((c) => c !== conn);
    this.#routes.clear();
  }

  #route(message: Message): Conn[] {
    const known = this.#routes.get(message.topic);
    if (known) return known;
    const found = this.conns.filter((c) => c.client.wants(message));
    if (this.#routes.size > 2000) this.#routes.clear();
    this.#routes.set(message.topic, found);
    return found;
  }

  #down(conn: Conn, message: Message, retained: boolean): void {
    const routine = message.kind === 'beat' || message.kind === 'heartbeat';
    this.#through(conn.down, message, routine, () => {
      if (conn.clientOpen) conn.client.receive(message, retained);
    });
  }

  /** A heartbeat goes to everyone four times a second: those whom it reaches at the same time are served together. */
  #toMany(conns: readonly Conn[], message: Message): void {
    let at = Number.NaN;
    let group: Conn[] = [];
    const flush = (): void => {
      const these = group;
      if (these.length === 0) return;
      this.#world.routine(at, () => {
        for (const c of these) if (c.clientOpen) c.client.receive(message, false);
      });
      group = [];
    };
    for (const conn of conns) {
      const pipe = conn.down;
      if (pipe.deaf || pipe.loss > 0 || pipe.twice > 0 || pipe.dropped || pipe.heldUntil > this.#world.now) {
        this.#down(conn, message, false);
        continue;
      }
      const arrives = Math.max(pipe.last, this.#world.now + pipe.latencyMs);
      pipe.last = arrives;
      if (arrives !== at) flush();
      at = arrives;
      group.push(conn);
    }
    flush();
  }

  #through(pipe: Pipe, message: Message, routine: boolean, arrive: () => void): void {
    if (pipe.deaf) return;
    if (pipe.dropped?.has(message.kind)) return void this.onLost?.(message);
    if (pipe.loss > 0 && message.qos === 0 && this.#chance.hit(pipe.loss)) return;
    const at = Math.max(pipe.last, this.#world.now + pipe.latencyMs, pipe.heldUntil);
    pipe.last = at;
    // what waits behind a clog is no routine: its arriving is news
    if (routine && pipe.heldUntil <= this.#world.now) this.#world.routine(at, arrive);
    else this.#world.at(at, arrive);
    if (pipe.twice > 0 && this.#chance.hit(pipe.twice)) this.#world.at(at, arrive);
  }
}

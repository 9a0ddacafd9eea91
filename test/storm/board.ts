import type { Body } from './body.ts';
import type { Broker, Client, Conn } from './broker.ts';
import type { Chance } from './chance.ts';
import { type Data, type Message, topicsOf } from './message.ts';
import type { Timer, World } from './world.ts';

/** A move that this board has accepted and not ended. */
interface Active {
  readonly run: string;
  readonly step: number;
  readonly move: string;
  readonly since: number;
  readonly timers: Timer[];
}

interface Order {
  readonly prop: string;
  readonly run: string;
  readonly step: number;
  readonly move: string;
  readonly session: string;
  readonly limitMs: number;
  readonly lastsMs?: number;
}

/** Told of what boards really do, with nothing between. */
export interface Witness {
  energised(board: Board, prop: string, move: string, order: Message): void;
  released(board: Board, prop: string): void;
  newSession(board: Board): void;
}

/** What may be wrong with a board; all off in a good one. */
export interface BoardTrouble {
  /** It does what it is told and never answers. */
  mute: boolean;
  /** `halt` never reaches its program. */
  haltDeaf: boolean;
  /** Moves that its program does not have. */
  readonly unknown: Set<string>;
  /** It says that it is busy when it is not. */
  busy: boolean;
  /** Its next moves end with a word of its own. */
  fails: boolean;
  /** It could not make sure that its outputs are off, and says so. */
  unsafe: boolean;
  /** Says another version of the contract. */
  contract: number;
  /** `do` does not reach its program. */
  orderDeaf: boolean;
  /** It forgets to watch how long a move takes. */
  limitless: boolean;
}

const goodBoard = (): BoardTrouble => ({
  mute: false,
  haltDeaf: false,
  unknown: new Set(),
  busy: false,
  fails: false,
  unsafe: false,
  contract: 1,
  orderDeaf: false,
  limitless: false,
});

const LOOP_MS = 20;

/**
 * A controller that does what the contract asks of one, written from the contract alone. Its clock is a millisecond
 * counter of 32 bits, as small boards have, which may wrap in mid-night.
 */
export class Board implements Client {
  readonly id: string;
  readonly name: string;
  readonly bodies: ReadonlyMap<string, Body>;
  readonly #world: World;
  readonly #broker: () => Broker;
  readonly #chance: Chance;
  readonly #witness: Witness;
  readonly #topics: ReturnType<typeof topicsOf>;
  readonly #beatTopic: string;
  clientId: string;
  trouble = goodBoard();
  powered = false;
  conn: Conn | null = null;
  session = '';
  #first = '';
  #stopObeyed = 0;
  #latched = 0;
  #cleared = -1;
  follows: { desk: string; epoch: number } | null = null;
  /** Its counter at the last heartbeat of the desk it follows; null before the first and after a silence. */
  #heardAt: number | null = null;
  /** World's time at which that heartbeat was sent, for those who judge. */
  heardSentAt = Number.NEGATIVE_INFINITY;
  #silenceMs = 1000;
  #counterOffset: number;
  readonly #active = new Map<string, Active>();
  readonly #memory = new Map<string, { run: string; step: number; did: Data }>();
  readonly #counts = new Map<string, number>();
  #beatN = 0;
  #boot = 0;
  #beatTimer: Timer | null = null;
  #silenceTimer: Timer | null = null;
  /** It tries to connect; false while someone has pulled its plug from the network. */
  seeksBroker = true;

  constructor(
    world: World,
    broker: () => Broker,
    id: string,
    bodies: ReadonlyMap<string, Body>,
    chance: Chance,
    witness: Witness,
    name = `board ${id}`,
  ) {
    this.#world = world;
    this.#broker = broker;
    this.id = id;
    this.name = name;
    this.clientId = id;
    this.bodies = bodies;
    this.#chance = chance;
    this.#witness = witness;
    this.#topics = topicsOf(broker().root);
    this.#beatTopic = this.#topics.beat(id);
    // so that some wrap within the night: 2^32 ms are 49.7 days
    const untilWrapMs = chance.between(0, 12 * 3_600_000);
    this.#counterOffset = 2 ** 32 - (world.now % 2 ** 32) - untilWrapMs;
  }

  get #now(): number {
    return Math.floor(this.#world.now + this.#counterOffset) >>> 0;
  }

  /** Its counter runs over so soon. What it has noted of earlier moments moves along, as if it had booted then. */
  wrapIn(ms: number): void {
    const before = this.#now;
    this.#counterOffset = 2 ** 32 - (this.#world.now % 2 ** 32) - Math.floor(ms);
    const by = this.#now - before;
    if (this.#heardAt !== null) this.#heardAt = (this.#heardAt + by) >>> 0;
    for (const [prop, a] of this.#active)
      this.#active.set(prop, Object.assign(a, { since: (a.since + by) >>> 0 }));
  }

  get latched(): boolean {
    return this.#latched > 0;
  }

  get active(): ReadonlyMap<string, { run: string; step: number; move: string; since: number }> {
    return this.#active;
  }

  repair(): void {
    const old = this.trouble.contract !== 1;
    this.trouble = goodBoard();
    if (!old) return;
    this.powerOff();
    this.powerOn();
  }

  countOf(prop: string, sensor: string): number {
    return this.#counts.get(`${prop}/${sensor}`) ?? 0;
  }

  // power and connection

  powerOn(): void {
    if (this.powered) return;
    this.powered = true;
    this.#boot += 1;
    this.#stopObeyed = 0;
    this.#latched = 0;
    this.#cleared = -1;
    this.follows = null;
    this.#heardAt = null;
    this.#counts.clear();
    this.#newSession();
    const boot = this.#boot;
    this.#world.in(this.#chance.between(300, 1500), () => boot === this.#boot && this.#connect());
  }

  powerOff(): void {
    if (!this.powered) return;
    this.powered = false;
    this.#boot += 1;
    this.#allOff();
    this.#stopTimers();
    if (this.conn) this.#broker().leave(this.conn, this.#chance.hit(0.5) ? 'reset' : 'vanished');
    this.conn = null;
  }

  /** The board's own program drops the connection and dials anew. */
  reconnect(): void {
    if (this.conn) this.#broker().leave(this.conn, 'reset');
    this.#gone();
  }

  lost(conn: Conn): void {
    if (conn === this.conn) this.#gone();
  }

  #gone(): void {
    this.conn = null;
    this.#cancel(this.#beatTimer);
    const boot = this.#boot;
    this.#world.in(this.#chance.between(200, 2000), () => boot === this.#boot && this.#connect());
  }

  #connect(): void {
    if (!this.powered || this.conn) return;
    const broker = this.#broker();
    const first = this.#chance.word();
    const will = broker.message(
      this.#topics.link(this.id),
      { up: false, session: first },
      this.name,
      1,
      true,
    );
    const conn = this.seeksBroker ? broker.connect(this, this.clientId, will, 5000) : null;
    if (!conn) {
      const boot = this.#boot;
      this.#world.in(this.#chance.between(500, 2500), () => boot === this.#boot && this.#connect());
      return;
    }
    this.conn = conn;
    this.#newSession(first);
    this.#first = first;
    this.#sayLink();
    this.#beat();
  }

  // what it says

  say(topic: string, data: Data, qos: 0 | 1, retain = false): void {
    if (!this.conn) return;
    const broker = this.#broker();
    broker.send(this.conn, broker.message(topic, data, this.name, qos, retain));
  }

  /** `link`, and every sensor's present reading. */
  #sayLink(): void {
    const { contract } = this.trouble;
    this.say(
      this.#topics.link(this.id),
      {
        up: true,
        session: this.session,
        first: this.#first,
        contract,
        props: [...this.bodies.keys()],
        stop: this.#stopObeyed,
        epoch: this.follows?.epoch ?? 0,
        firmware: contract === 1 ? '2.1' : '0.9',
      },
      1,
      true,
    );
    for (const [prop, body] of this.bodies) for (const s of body.seen.keys()) this.#saySense(prop, s);
  }

  #saySense(prop: string, sensor: string): void {
    const n = this.#counts.get(`${prop}/${sensor}`) ?? 0;
    const made = this.bodies.get(prop)!.seen.get(sensor)!;
    this.say(this.#topics.sense(prop, sensor), { prop, made, session: this.session, n }, 1, true);
  }

  #sayDid(prop: string, data: Data): void {
    if (!this.trouble.mute) this.say(this.#topics.did(prop), { prop, ...data, session: this.session }, 1);
  }

  #beat(): void {
    this.#cancel(this.#beatTimer);
    if (!this.conn || !this.powered) return;
    this.#beatN += 1;
    if (!this.#broker().beat(this.conn, this.#beatTopic, this.id, this.session))
      this.say(this.#beatTopic, { session: this.session, n: this.#beatN }, 0);
    this.#beatTimer = this.#world.routine(this.#world.now + this.#silenceMs / 3 - LOOP_MS, () =>
      this.#beat(),
    );
  }

  // what it hears

  wants(m: Message): boolean {
    if (m.kind === 'stop' || m.kind === 'heartbeat' || m.kind === 'announce' || m.kind === 'desk')
      return true;
    if (m.kind === 'link') return m.id === this.id;
    return (m.kind === 'do' || m.kind === 'halt') && this.bodies.has(m.id);
  }

  receive(m: Message, retained: boolean): void {
    if (!this.powered || !m.data) return;
    switch (m.kind) {
      case 'heartbeat':
        return this.#heartbeat(m);
      case 'stop':
        return this.#stop(m.data);
      case 'desk':
        if (typeof m.data.desk === 'string' && typeof m.data.epoch === 'number')
          this.#heardOf(m.data.desk, m.data.epoch);
        return;
      case 'announce':
        return this.#sayLink();
      case 'link':
        if (m.data.up === false) this.#sayLink();
        return;
      case 'do':
        if (!retained && !this.trouble.orderDeaf) this.#order(m);
        return;
      case 'halt':
        if (m.data.prop === m.id && !this.trouble.haltDeaf) this.#halt(m.id);
        return;
    }
  }

  #heartbeat(m: Message): void {
    const { desk, epoch, silenceMs, stop } = m.data!;
    if (typeof desk !== 'string' || typeof epoch !== 'number' || typeof stop !== 'number') return;
    this.#heardOf(desk, epoch);
    if (this.follows?.desk !== desk || this.follows.epoch !== epoch) return;
    if (typeof silenceMs === 'number') this.#silenceMs = silenceMs;
    const back = this.#heardAt === null;
    this.#heardAt = this.#now;
    this.heardSentAt = m.sentAt;
    if (stop > 0 && stop > this.#cleared) this.#obey(stop);
    else if (back) this.#sayLink();
    if (!this.#silenceTimer) this.watchSilence();
  }

  /** A desk above the one it follows: what the former one began is let go. */
  #heardOf(desk: string, epoch: number): void {
    const f = this.follows;
    if (f && (epoch < f.epoch || (epoch === f.epoch && desk <= f.desk))) return;
    this.follows = { desk, epoch };
    this.#heardAt = null;
    if (!f) return;
    this.#newSession();
    this.#sayLink();
  }

  watchSilence(): void {
    this.#cancel(this.#silenceTimer);
    this.#silenceTimer = this.#world.routine(this.#world.now + this.#silenceLeft() + 1, () => {
      this.#silenceTimer = null;
      if (!this.powered || this.#heardAt === null) return;
      if (this.#silenceLeft() >= 0) return this.watchSilence();
      this.#heardAt = null;
      this.#world.tell('board silent', this.id);
      this.#newSession();
    });
  }

  #silenceLeft(): number {
    if (this.#heardAt === null) return 0;
    return this.#silenceMs - ((this.#now - this.#heardAt) >>> 0);
  }

  #stop(data: Data): void {
    const { latched, n, desk, epoch } = data;
    if (typeof n !== 'number' || typeof desk !== 'string' || typeof epoch !== 'number') return;
    this.#heardOf(desk, epoch);
    if (latched === true) {
      if (n !== this.#cleared) this.#obey(n);
    } else if (this.follows?.desk === desk && this.follows.epoch === epoch) {
      this.#cleared = n;
      if (n >= this.#latched) this.#latched = 0;
    }
  }

  #obey(n: number): void {
    this.#latched = Math.max(this.#latched, n);
    this.#allOff();
    if (this.#stopObeyed === n) return;
    this.#stopObeyed = n;
    this.#newSession();
    const safe = !this.trouble.unsafe;
    this.say(this.#topics.stopped(this.id), { n, session: this.session, safe }, 1);
    this.#sayLink();
  }

  // moves

  #order(m: Message): void {
    const o = m.data!;
    const { prop, run, step, move, session, limitMs, lastsMs } = o as unknown as Order;
    if (prop !== m.id) return;
    const mine = this.#memory.get(prop);
    if (session === this.session && mine && mine.run === run && mine.step === step)
      return this.#sayDid(prop, mine.did);
    const why = this.#refusal(o, prop, move, session);
    if (why) return this.#sayDid(prop, { run, step, move, is: 'refused', why });
    const timers: Timer[] = [];
    const active: Active = { run, step, move, since: this.#now, timers };
    this.#active.set(prop, active);
    this.#answer(prop, active, { is: 'started' });
    const body = this.bodies.get(prop)!;
    const until = body.prop.moves.get(move)?.until ?? null;
    // where it is to go it is already: nothing is driven
    if (until !== null && body.seen.get(until)) return this.#end(prop, 'done');
    this.#witness.energised(this, prop, move, m);
    body.energise(move);
    if (this.#active.get(prop) !== active) return;
    const later = (ms: number, end: () => void): void => {
      timers.push(this.#world.in(ms, () => this.#active.get(prop) === active && end()));
    };
    if (typeof lastsMs === 'number') later(lastsMs, () => this.#end(prop, 'done'));
    if (this.trouble.fails) later(this.#chance.between(50, 3000), () => this.#end(prop, 'failed', 'driver'));
    later(limitMs, () => !this.trouble.limitless && this.#end(prop, 'failed', 'limit'));
  }

  #refusal(o: Data, prop: string, move: string, session: string): string | null {
    if (session !== this.session) return 'session';
    if (this.follows?.desk !== o.desk || this.follows?.epoch !== o.epoch) return 'epoch';
    if (this.#latched > 0) return 'stopped';
    if (this.#heardAt === null || this.#silenceLeft() < 0) return 'heartbeat';
    if (this.#active.has(prop) || this.trouble.busy) return 'busy';
    if (!this.bodies.get(prop)!.prop.moves.has(move) || this.trouble.unknown.has(move)) return 'unknown';
    return null;
  }

  #answer(prop: string, a: Active, data: Data): void {
    const did = { run: a.run, step: a.step, move: a.move, ...data };
    this.#memory.set(prop, { run: a.run, step: a.step, did });
    this.#sayDid(prop, did);
  }

  #end(prop: string, is: 'done' | 'failed' | 'halted', why?: string): void {
    const a = this.#active.get(prop);
    if (!a) return;
    this.#off(prop);
    const ms = (this.#now - a.since) >>> 0;
    this.#answer(prop, a, { is, ...(is === 'done' ? { ms } : {}), ...(why === undefined ? {} : { why }) });
  }

  #halt(prop: string): void {
    if (this.#active.has(prop)) return this.#end(prop, 'halted');
    const mine = this.#memory.get(prop);
    const about = mine ? { run: mine.run, step: mine.step, move: mine.did.move } : {};
    this.#sayDid(prop, { ...about, is: 'halted' });
  }

  #off(prop: string): void {
    const a = this.#active.get(prop);
    if (!a) return;
    this.#active.delete(prop);
    for (const t of a.timers) t.run = null;
    this.bodies.get(prop)!.release();
    this.#witness.released(this, prop);
  }

  #allOff(): void {
    for (const prop of [...this.#active.keys()]) this.#off(prop);
  }

  #newSession(word = this.#chance.word()): void {
    this.#allOff();
    this.session = word;
    this.#memory.clear();
    this.#witness.newSession(this);
  }

  /** Called by its bodies at each edge that the board reads. */
  edge(prop: string, sensor: string): void {
    if (!this.powered) return;
    const key = `${prop}/${sensor}`;
    this.#counts.set(key, (this.#counts.get(key) ?? 0) + 1);
    this.#saySense(prop, sensor);
    const a = this.#active.get(prop);
    const body = this.bodies.get(prop)!;
    if (a && body.prop.moves.get(a.move)?.until === sensor && body.seen.get(sensor)) this.#end(prop, 'done');
  }

  // for strides over quiet stretches

  /** Whether nothing about it would change if time were passed over, as long as this desk's heartbeats go on. */
  isCalm(desk: string, epoch: number): boolean {
    const { conn, follows } = this;
    return (
      conn?.clientOpen === true &&
      conn.brokerOpen &&
      this.#latched === 0 &&
      follows?.desk === desk &&
      follows.epoch === epoch &&
      this.#heardAt !== null
    );
  }

  /** At the far end of a stretch in which every heartbeat came and every beat went. */
  afterStride(): void {
    this.#heardAt = this.#now;
    this.heardSentAt = this.#world.now;
    this.#stopTimers();
  }

  /** No other stretch was passed over at once: it beats and listens by itself again. */
  goOn(phaseMs: number): void {
    if (this.#heardAt !== null && !this.#silenceTimer) this.watchSilence();
    if (this.conn && !this.#beatTimer)
      this.#beatTimer = this.#world.routine(this.#world.now + phaseMs, () => this.#beat());
  }

  #stopTimers(): void {
    this.#cancel(this.#beatTimer);
    this.#cancel(this.#silenceTimer);
    this.#beatTimer = null;
    this.#silenceTimer = null;
  }

  #cancel(timer: Timer | null): void {
    if (timer) timer.run = null;
  }
}

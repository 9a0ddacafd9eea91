import { MESSAGES, type MessageKind } from '../../server/bus/contract.ts';
import { Host, type Said } from './host.ts';

export interface Message {
  topic: string;
  retained: boolean;
  qos: number;
  payload: Record<string, unknown>;
}

const KINDS: readonly [RegExp, MessageKind][] = [
  [/^yard\/controller\/ferry\/link$/, 'link'],
  [/^yard\/controller\/ferry\/beat$/, 'beat'],
  [/^yard\/controller\/ferry\/stopped$/, 'stopped'],
  [/^yard\/prop\/ferry\/did$/, 'did'],
  [/^yard\/prop\/ferry\/sense\/(near|far)$/, 'sense'],
];

const WRAP = 2 ** 32;

/**
 * The ferry's board on a table: a carriage between two sensors, a bus that hears it, and a clock of 32 bits that a
 * test sets as it likes. Everything the board says is held to the daemon's own schema of the contract.
 */
export class Board {
  readonly host: Host;
  /** What was said since `take`, without beats. */
  messages: Message[] = [];
  beats: Record<string, unknown>[] = [];
  motor: 'off' | 'out' | 'back' = 'off';
  /** Each change of the motor. */
  drives: string[] = [];
  /** Every thing said, in order, as text: two runs of the same script must agree. */
  trace: string[] = [];
  far = false;
  near = true;
  /** ms since the script began; the board's own clock starts at `zero`. */
  now = 0;
  readonly #zero: number;
  #n = 0;
  desk = { desk: 'q4x1', epoch: 12 };
  /** The stop that heartbeats tell of. */
  stop = 0;

  constructor(program: string, zero = 0) {
    this.host = new Host(program);
    this.#zero = zero;
  }

  get clock(): number {
    return (this.#zero + this.now) % WRAP;
  }

  get session(): string {
    const link = this.messages.findLast((m) => m.topic.endsWith('/link'));
    return (link ?? this.#lastLink)!.payload.session as string;
  }

  #lastLink: Message | undefined;

  async #ask(command: string): Promise<void> {
    for (const said of await this.host.ask(command)) this.#hear(said);
  }

  #hear(said: Said): void {
    this.trace.push(JSON.stringify([this.now, said]));
    if (said.kind === 'motor') {
      this.motor = said.way;
      this.drives.push(said.way);
    } else if (said.kind === 'pub') {
      const kind = KINDS.find(([topic]) => topic.test(said.topic))?.[1];
      if (!kind) throw new Error(`no topic of this board: ${said.topic}`);
      const payload = JSON.parse(said.payload) as Record<string, unknown>;
      MESSAGES[kind].payload.parse(payload);
      if (MESSAGES[kind].retain !== said.retained || MESSAGES[kind].qos !== said.qos)
        throw new Error(`${said.topic} went out with retain ${said.retained}, QoS ${said.qos}`);
      const message = { topic: said.topic, retained: said.retained, qos: said.qos, payload };
      if (kind === 'beat') this.beats.push(payload);
      else this.messages.push(message);
      if (kind === 'link') this.#lastLink = message;
    } else throw new Error(`not understood: ${JSON.stringify(said)}`);
  }

  /** What was said since the last call, beats left out. */
  take(): Message[] {
    const out = this.messages;
    this.messages = [];
    this.beats = [];
    return out;
  }

  /** The `did`s since the last take, as `is` or `is:why`. */
  dids(): string[] {
    return this.take()
      .filter((m) => m.topic.endsWith('/did'))
      .map(({ payload: p }) => (p.why === undefined ? `${p.is}` : `${p.is}:${p.why}`));
  }

  async connect(word: string): Promise<void> {
    await this.#ask(`connected ${this.clock} ${word}`);
  }

  async disconnect(): Promise<void> {
    await this.#ask(`disconnected ${this.clock}`);
  }

  async stumble(): Promise<void> {
    await this.#ask(`stumbled ${this.clock}`);
  }

  /** Lets time pass in passes of `stepMs`, with a heartbeat every 250 ms unless `silent`. */
  async pass(ms: number, how: { silent?: boolean; stepMs?: number } = {}): Promise<void> {
    const step = how.stepMs ?? 10;
    for (const until = this.now + ms; this.now < until; ) {
      const before = this.now;
      this.now = Math.min(until, this.now + step);
      await this.tick();
      if (!how.silent && Math.floor(this.now / 250) > Math.floor(before / 250)) await this.heartbeat();
    }
  }

  async tick(): Promise<void> {
    await this.#ask(`tick ${this.clock} ${this.far ? 1 : 0} ${this.near ? 1 : 0}`);
  }

  async hears(path: string, payload: unknown, ageMs = 0): Promise<void> {
    const bytes = payload instanceof Uint8Array ? Buffer.from(payload) : Buffer.from(JSON.stringify(payload));
    await this.#ask(`hears ${this.clock} ${ageMs} yard/${path} ${bytes.toString('hex')}`);
  }

  async heartbeat(more: Record<string, unknown> = {}, ageMs = 0): Promise<void> {
    this.#n += 1;
    await this.hears(
      'heartbeat',
      { ...this.desk, n: this.#n, silenceMs: 1000, stop: this.stop, ...more },
      ageMs,
    );
  }

  order(more: Record<string, unknown> = {}): Record<string, unknown> {
    const run = '2026-10-31.crossing.17';
    return {
      prop: 'ferry',
      run,
      step: 0,
      move: 'out',
      session: this.session,
      ...this.desk,
      limitMs: 12_000,
      ...more,
    };
  }

  async do(more: Record<string, unknown> = {}): Promise<void> {
    await this.hears('prop/ferry/do', this.order(more));
  }

  /** Linked, past the moment of listening, and following a desk whose heartbeat it hears. */
  async ready(): Promise<void> {
    await this.tick();
    await this.connect('k3f9');
    await this.pass(600);
    this.take();
  }
}

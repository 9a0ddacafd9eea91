import type { Board } from '../../server/standin/board.ts';
import { Machine } from '../../server/standin/physics.ts';
import type { Out } from '../../server/standin/topics.ts';
import type { BoardLike } from './virtual-bus.ts';

type Payload = Record<string, unknown>;

/** A message on its way in; of kind `renew` it makes the board begin a new session by itself. */
export interface In {
  readonly kind: string;
  readonly topic: string;
  readonly payload: Payload;
  readonly retained: boolean;
}

/**
 * One thing that a board does wrong. `during` is what the board is at: the kind of the message that it hears, `back` for
 * the first heartbeat after none for a second, `silence` and `time` for time passing without and with heartbeats,
 * `dial`, `connect`, `reboot`, `renew`.
 */
export interface Bend {
  /** What the board hears instead of a message. */
  in?(m: In, bent: Bent): In[];
  /** What goes out instead of a message. */
  out?(o: Out, kind: string, during: string, bent: Bent): Out[];
  /** The outputs stay on through this. */
  runsOn?(during: string, m: In | null): boolean;
  /** No new session through this. */
  keepsSession?(during: string): boolean;
  onPower?(bent: Bent, atMs: number): void;
}

/** A machine whose outputs can be kept on although its board takes them off. */
export class Runaway extends Machine {
  runsOn = false;

  override cut(atMs: number): void {
    if (!this.runsOn) super.cut(atMs);
  }
}

/** A board that keeps the contract but for one thing: a sound one with a bend in what it hears, says or drives. */
export class Bent implements BoardLike {
  readonly board: Board;
  /** The highest desk whose heartbeat it has heard, its latched stop, the run that it moves by. */
  followed: { desk: string; epoch: number } = { desk: '', epoch: 0 };
  latched = 0;
  moving: unknown = null;
  readonly #bend: Bend;
  /** Real session → the one it shows. */
  readonly #shown = new Map<string, string>();
  #heardBeatMs = 0;
  #renewals = 0;
  #atMs = 0;

  constructor(board: Board, bend: Bend) {
    this.board = board;
    this.#bend = bend;
  }

  get controller(): string {
    return this.board.controller;
  }

  get subscriptions() {
    return this.board.subscriptions;
  }

  /** No heartbeat of anyone for a second. */
  get hushed(): boolean {
    return this.#atMs - this.#heardBeatMs >= 1000;
  }

  /** The session that it shows. */
  get session(): string {
    return this.#shown.get(this.board.session) ?? this.board.session;
  }

  dial(atMs: number): Out {
    const will = this.board.dial(atMs);
    const kept = this.#bend.keepsSession?.('connect');
    const payload = kept ? { ...will.payload, session: this.session } : will.payload;
    return this.#bent([{ ...will, payload }], 'dial')[0]!;
  }

  connect(atMs: number): Out[] {
    return this.#through('connect', null, () => this.board.connect(atMs));
  }

  reboot(atMs: number): Out[] {
    const outs = this.#through('reboot', null, () => this.board.reboot(atMs));
    this.#bend.onPower?.(this, atMs);
    return outs;
  }

  advanceTo(atMs: number): Out[] {
    this.#atMs = atMs;
    return this.#through(this.hushed ? 'silence' : 'time', null, () => this.board.advanceTo(atMs));
  }

  nextDue(): number | null {
    return this.board.nextDue();
  }

  receive(atMs: number, topic: string, payload: unknown, retained: boolean): Out[] {
    const outs = this.advanceTo(atMs);
    const kind = topic.split('/').at(-1)!;
    const during = kind === 'heartbeat' && this.hushed ? 'back' : kind;
    const m: In = { kind, topic, payload: { ...(payload as Payload) }, retained };
    const heard = this.#bend.in?.(m, this) ?? [m];
    this.#note(m, atMs);
    for (const each of heard) {
      const p = each.payload;
      const real = p.session === this.session ? { ...p, session: this.board.session } : p;
      const act = () => this.board.receive(atMs, each.topic, real, each.retained);
      if (each.kind === 'renew') {
        this.#shown.set(this.board.session, `renewed-${this.#renewals++}`);
        const announce = this.board.topics.announce;
        outs.push(...this.#through('renew', each, () => this.board.receive(atMs, announce, {}, false)));
      } else outs.push(...this.#through(during, each, act));
    }
    return outs;
  }

  #note({ kind, payload: p }: In, atMs: number): void {
    if (kind === 'heartbeat') this.#heardBeatMs = atMs;
    if (kind === 'heartbeat' && Number(p.epoch) >= this.followed.epoch) {
      this.followed = { desk: String(p.desk), epoch: Number(p.epoch) };
    }
    if (kind === 'stop' && p.latched === true) this.latched = Number(p.n);
  }

  #through(during: string, m: In | null, act: () => Out[]): Out[] {
    const runaways = this.board.machines.filter((each): each is Runaway => each instanceof Runaway);
    for (const each of runaways) each.runsOn = this.#bend.runsOn?.(during, m) ?? false;
    const shown = this.session;
    const outs = act();
    for (const each of runaways) each.runsOn = false;
    if (this.#bend.keepsSession?.(during)) this.#shown.set(this.board.session, shown);
    return this.#bent(outs, during);
  }

  #bent(outs: readonly Out[], during: string): Out[] {
    return outs.flatMap((o) => {
      const session = this.#shown.get(String(o.payload.session));
      const first = this.#shown.get(String(o.payload.first));
      const payload: Payload = {
        ...o.payload,
        ...(session === undefined ? {} : { session }),
        ...(first === undefined ? {} : { first }),
      };
      const kind = o.topic.includes('/sense/') ? 'sense' : o.topic.split('/').at(-1)!;
      const said = this.#bend.out?.({ ...o, payload }, kind, during, this) ?? [{ ...o, payload }];
      if (kind === 'did' && payload.is === 'started') this.moving = payload.run;
      else if (kind === 'did' && payload.is !== 'refused') this.moving = null;
      return said;
    });
  }
}

import { Board } from '../../server/standin/board.ts';
import { seeded } from '../../server/standin/chance.ts';
import { Machine, type MachineOptions } from '../../server/standin/physics.ts';
import { supplyOf } from '../../server/standin/supply.ts';
import type { Out } from '../../server/standin/topics.ts';
import type { Prop } from '../../server/yard/types.ts';
import { FERRY, FERRYMAN, SHED } from './saltmarsh.ts';

export type Sent = Out & { readonly at: number };

export interface RigOptions {
  readonly props?: readonly Prop[];
  readonly seed?: number;
  readonly machine?: Partial<MachineOptions>;
}

/** One board in virtual time with a desk beside it that beats every 250 ms while `beating`. */
export class Rig {
  readonly board: Board;
  readonly machines = new Map<string, Machine>();
  readonly sent: Sent[] = [];
  at = 0;
  desk = 'q4x1';
  epoch = 12;
  silenceMs = 1000;
  stop = 0;
  beating = false;
  #nextBeat = 0;
  #beats = 0;
  #runs = 0;

  constructor(options: RigOptions = {}) {
    const supply = supplyOf(new Map([['shed', SHED]]), 0);
    for (const p of options.props ?? [FERRY, FERRYMAN]) {
      const machine = new Machine(p, { atMs: 0, chance: seeded(3), supply, spread: 0, ...options.machine });
      this.machines.set(p.id, machine);
    }
    this.board = new Board({
      controller: 'ferry-board',
      root: 'yard',
      machines: [...this.machines.values()],
      chance: seeded(options.seed ?? 11),
      atMs: 0,
      firmware: '1.2',
    });
  }

  /** A rig that is linked and follows the desk, its messages so far forgotten. */
  static linked(options: RigOptions = {}): Rig {
    const rig = new Rig(options);
    rig.connect();
    rig.beat();
    rig.run(100);
    rig.sent.length = 0;
    return rig;
  }

  connect(): Out {
    const will = this.board.dial(this.at);
    this.keep(this.board.connect(this.at));
    return will;
  }

  keep(outs: readonly Out[]): void {
    for (const out of outs) this.sent.push({ ...out, at: this.at });
  }

  hear(topic: string, payload: unknown, retained = false): void {
    this.keep(this.board.receive(this.at, `yard/${topic}`, payload, retained));
  }

  /** Begins the heartbeat. */
  beat(): void {
    this.beating = true;
    this.#nextBeat = this.at;
  }

  heartbeat(over: Record<string, unknown> = {}): void {
    this.#beats += 1;
    this.hear('heartbeat', {
      desk: this.desk,
      epoch: this.epoch,
      n: this.#beats,
      silenceMs: this.silenceMs,
      stop: this.stop,
      ...over,
    });
  }

  /** Lets time pass, step by step, each message stamped with its own time. */
  run(ms: number): void {
    const end = this.at + ms;
    for (;;) {
      const due = Math.min(this.board.nextDue() ?? Infinity, this.beating ? this.#nextBeat : Infinity);
      if (due > end) break;
      this.at = Math.max(this.at, due);
      if (this.beating && this.at >= this.#nextBeat) {
        this.#nextBeat = this.at + 250;
        this.heartbeat();
      }
      this.keep(this.board.advanceTo(this.at));
    }
    this.at = end;
    this.keep(this.board.advanceTo(end));
  }

  /** A `do` that is right in every way but for what `over` changes. Returns its run. */
  order(prop: string, move: string, over: Record<string, unknown> = {}): string {
    this.#runs += 1;
    const run = `2026-10-31.crossing.${this.#runs}`;
    const { session } = this.board;
    const payload = {
      prop,
      run,
      step: 0,
      move,
      session,
      desk: this.desk,
      epoch: this.epoch,
      limitMs: 12_000,
      ...over,
    };
    this.hear(`prop/${prop}/do`, payload);
    return run;
  }

  stopLatched(n: number, over: Record<string, unknown> = {}): void {
    this.hear('stop', { latched: true, n, desk: this.desk, epoch: this.epoch, ...over });
  }

  stopCleared(n: number, over: Record<string, unknown> = {}): void {
    this.hear('stop', { latched: false, n, desk: this.desk, epoch: this.epoch, ...over });
  }

  /** Payloads sent on a topic since the last `forget`. */
  on(topic: string): Record<string, unknown>[] {
    return this.sent.filter((m) => m.topic === `yard/${topic}`).map((m) => m.payload);
  }

  dids(prop: string): Record<string, unknown>[] {
    return this.on(`prop/${prop}/did`);
  }

  forget(): void {
    this.sent.length = 0;
  }

  truth(prop: string) {
    return this.machines.get(prop)!.truth();
  }
}

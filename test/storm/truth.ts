import type { Need } from '../../server/yard/types.ts';
import type { Board } from './board.ts';
import { Draws } from './draws.ts';
import type { Message } from './message.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

const WAY_MS = 60;

/** What really happens in the yard, whatever anyone believes of it: 1, 3, 7, 9, 18 and 22 as physics has them. */
export class Truth {
  readonly #r: Referee;
  readonly loads: Draws;
  /** Every act that was ever carried out, by desk, run and step. */
  readonly #acts = new Set<string>();
  readonly #orders = new WeakSet<object>();
  readonly #moving = new Set<string>();
  /** When the bus was last in any weather: what was under way then may be late. */
  busRoughAt = Number.NEGATIVE_INFINITY;
  busRough = 0;

  constructor(referee: Referee) {
    this.#r = referee;
    this.loads = new Draws(referee);
  }

  quietSince(at: number): boolean {
    return this.busRough === 0 && this.busRoughAt < at - 1000;
  }

  roughBegins(): void {
    this.busRough += 1;
    this.busRoughAt = this.#r.world.now;
  }

  roughEnds(): void {
    this.busRough -= 1;
    this.busRoughAt = this.#r.world.now;
  }

  sent(p: Process, m: Message): void {
    if (m.kind === 'do') this.#orders.add(m.data!);
    if (m.kind === 'stop' && m.data!.latched === true) this.#watchStop(p, m.data!.n as number);
  }

  energised(board: Board, prop: string, moveId: string, order: Message): void {
    const move = board.bodies.get(prop)!.prop.moves.get(moveId)!;
    const { desk, run, step } = order.data as { desk: string; run: string; step: number };
    this.#r.ask(22);
    if (!this.#orders.has(order.data!))
      this.#r.breach(22, `${prop}.${moveId} moved by an order that no desk sent`);
    this.#r.ask(7);
    const act = `${desk} ${run} ${step} ${prop}`;
    if (this.#acts.has(act)) this.#r.breach(7, `${prop}.${moveId} of ${run}/${step} acts a second time`);
    this.#acts.add(act);
    this.#moving.add(prop);
    if (this.quietSince(order.sentAt)) this.#needs(prop, move.needs, `${prop}.${moveId}`, order.sentAt);
    this.#leaves(board, prop, moveId, order.sentAt);
    this.loads.energised(board, prop, move, desk, this.#moving);
  }

  released(board: Board, prop: string): void {
    for (const other of this.#r.yardful.boards.values())
      if (other !== board && other.active.has(prop)) return;
    this.#moving.delete(prop);
    this.loads.released(prop);
  }

  /** 1: what it needs is so, or has only just ceased to be. */
  #needs(prop: string, needs: readonly Need[], what: string, sentAt: number): void {
    const { world, yardful } = this.#r;
    const since = world.now - sentAt + WAY_MS;
    for (const need of needs) {
      const body = yardful.bodies.get(need.prop)!;
      this.#r.ask(1);
      if (need.kind === 'at-rest' || need.kind === 'at-home') {
        const moving = need.prop !== prop && this.#moving.has(need.prop);
        if (moving && world.now - yardful.energisedAt(need.prop) > since)
          this.#r.breach(1, `${what} moves while ${need.prop}, which must be at rest, really moves`);
        continue;
      }
      if (yardful.unheard.has(`${need.prop}/${need.sensor}`)) continue;
      const wrong = body.reads(need.sensor) !== (need.kind === 'made');
      if (wrong && world.now - yardful.edgeAt(need.prop, need.sensor) > since)
        this.#r.breach(
          1,
          `${what} moves though ${need.prop}.${need.sensor} really is ${body.reads(need.sensor) ? '' : 'not '}made`,
        );
    }
  }

  /** 3: nothing that moves needs this one where it is. */
  #leaves(board: Board, prop: string, moveId: string, sentAt: number): void {
    if (!this.quietSince(sentAt)) return;
    const { yardful, world } = this.#r;
    const until = board.bodies.get(prop)!.prop.moves.get(moveId)!.until;
    for (const other of this.#moving) {
      if (other === prop || world.now - yardful.energisedAt(other) < world.now - sentAt + WAY_MS) continue;
      const active = [...yardful.boards.values()].flatMap((b) => b.active.get(other) ?? [])[0];
      const needs = active && yardful.bodies.get(other)!.prop.moves.get(active.move)?.needs;
      if (needs?.some((n) => n.kind === 'made' && n.prop === prop && n.sensor !== until)) {
        this.#r.ask(3);
        this.#r.breach(3, `${prop}.${moveId} leaves while ${other} really moves and needs it there`);
      }
    }
  }

  /**
   * 9: after a stop every prop is at rest within the silence and what its own stopping takes. Boards that hear the
   * desk hear the stop in each heartbeat; those that do not fall silent by themselves.
   */
  #watchStop(p: Process, n: number): void {
    const { world, yardful } = this.#r;
    const sentAt = world.now;
    const quiet = this.quietSince(sentAt);
    const silence = p.machine.yard.bus.silenceMs;
    world.at(sentAt + silence + 300, () => {
      this.#r.ask(9);
      for (const board of yardful.boards.values())
        for (const [prop, a] of board.active) {
          const after = board.heardSentAt > sentAt && board.follows?.desk === p.word;
          const late = quiet && this.quietSince(sentAt);
          const order = world.now - yardful.energisedAt(prop);
          if (order < world.now - sentAt || !p.alive || p.desk.show.stop.n !== n || !p.desk.show.stop.latched)
            continue;
          if (after)
            this.#r.breach(
              9,
              `${prop}.${a.move} still moves ${silence + 300} ms after stop ${n}, on heartbeats sent since`,
            );
          else if (late)
            this.#r.breach(9, `${prop}.${a.move} still moves ${silence + 300} ms after stop ${n}`);
        }
    });
  }

  /** 9: the desk is gone, or stands still: nothing that follows it moves beyond its silence. */
  watchSilence(word: string, silenceMs: number): void {
    const { world, yardful } = this.#r;
    const from = world.now;
    world.at(from + silenceMs + 300, () => {
      this.#r.ask(9);
      for (const board of yardful.boards.values()) {
        if (board.follows?.desk !== word || board.active.size === 0 || board.heardSentAt > from) continue;
        if (this.quietSince(from))
          this.#r.breach(
            9,
            `${[...board.active.keys()].join(', ')} still moves ${silenceMs + 300} ms after its desk fell silent`,
          );
      }
    });
  }
}

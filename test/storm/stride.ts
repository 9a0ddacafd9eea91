import { nextDue } from '../../server/show/due.ts';
import type { Link, Show } from '../../server/show/show.ts';
import type { Board } from './board.ts';
import type { Machine } from './machine.ts';
import type { Process } from './process.ts';
import type { World } from './world.ts';
import type { Yardful } from './yardful.ts';

const LEAST_MS = 400;
const MOST_MS = 30_000;
/** A stride is mostly followed by a few messages and the next one: so long nobody need beat. */
const PAUSE_MS = 20;

/**
 * Passes over stretches in which nothing happens but beats and heartbeats: at the far end every board has heard the
 * desk and the desk every board, as if all of them had been delivered. Only where all is well on the bus; any weather
 * there has every heartbeat delivered.
 */
export class Stride {
  readonly #world: World;
  readonly #machine: Machine;
  readonly #others: readonly Machine[];
  readonly #yardful: Yardful;
  /** Weather on the bus; none may be there. */
  readonly #rough: () => boolean;
  /** Beats of a stretch count as heard for whoever keeps books. */
  readonly #heard: (p: Process, board: Board) => void;
  taken = 0;
  passedMs = 0;
  #last: Show['controllers'] | null = null;
  #calm: Record<string, Link> = {};

  constructor(
    world: World,
    machine: Machine,
    others: readonly Machine[],
    yardful: Yardful,
    rough: () => boolean,
    heard: (p: Process, board: Board) => void,
  ) {
    this.#world = world;
    this.#machine = machine;
    this.#others = others;
    this.#yardful = yardful;
    this.#rough = rough;
    this.#heard = heard;
  }

  /** True where it went on. */
  take(limit: number): boolean {
    const { now } = this.#world;
    if (limit - now < LEAST_MS || this.#rough() || !this.#deskCalm() || !this.#boardsCalm()) return false;
    const p = this.#machine.process!;
    const due = nextDue(this.#withoutBeats(p.desk.show)) - p.clock.now() + now;
    const to = Math.floor(Math.min(limit - 1, due, now + MOST_MS));
    if (to - now < LEAST_MS) return false;
    this.#world.dropRoutine();
    this.#world.now = to;
    this.taken += 1;
    this.passedMs += to - now;
    for (const board of this.#yardful.boards.values()) {
      if (!board.powered) continue;
      p.desk.beat(board.id, board.session);
      this.#heard(p, board);
      board.afterStride();
    }
    this.#world.routine(to + PAUSE_MS, () => this.#goOn());
    p.enter(() => p.clock.stride());
    return true;
  }

  /** No other stride followed at once: every board beats and listens again by itself. */
  #goOn(): void {
    let phase = 0;
    for (const board of this.#yardful.boards.values()) {
      phase += 7;
      if (board.powered) board.goOn(phase % 250);
    }
  }

  #deskCalm(): boolean {
    const p = this.#machine.process;
    if (!p?.alive || !p.driving || p.asks > 0 || this.#machine.frozen || p.line?.state !== 'up') return false;
    if (this.#others.some((m) => m.process?.alive)) return false;
    const { show } = p.desk;
    return show.desk.connected && !show.desk.standsDown && !show.stop.latched && show.recordFailing === null;
  }

  #boardsCalm(): boolean {
    const p = this.#machine.process!;
    const { show } = p.desk;
    const { word, epoch } = show.desk;
    for (const board of this.#yardful.boards.values())
      if (board.powered && !(board.isCalm(word, epoch) && this.#held(show, board))) return false;
    return true;
  }

  #held(show: Show, board: Board): boolean {
    const link = show.controllers[board.id];
    return link?.live === true && link.session === board.session;
  }

  /** The show as if every live link were heard of for ever: what is due then is due whatever beats come. */
  #withoutBeats(show: Show): Show {
    if (this.#last === show.controllers) return { ...show, controllers: this.#calm };
    this.#last = show.controllers;
    let same = true;
    const calm: Record<string, Link> = {};
    for (const [id, link] of Object.entries(show.controllers)) {
      const before = this.#calm[id];
      calm[id] = before && isSame(before, link) ? before : { ...link, ...FOR_EVER };
      if (!this.#yardful.boards.get(id)?.powered) calm[id] = link;
      if (calm[id] !== before) same = false;
    }
    if (!same) this.#calm = calm;
    return { ...show, controllers: this.#calm };
  }
}

const FOR_EVER = { heardAt: Number.POSITIVE_INFINITY, live: false };

/** Whether they differ in nothing but when it was heard. */
const isSame = (calm: Link, link: Link): boolean =>
  calm.heardAt === FOR_EVER.heardAt &&
  calm.session === link.session &&
  calm.first === link.first &&
  calm.up === link.up &&
  calm.linkedAt === link.linkedAt &&
  calm.past === link.past &&
  calm.returnedAt === link.returnedAt;

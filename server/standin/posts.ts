import type { Board } from './board.ts';
import { seeded, seedOf } from './chance.ts';
import { answerLine } from './control.ts';
import type { Crew } from './crew.ts';
import type { Truth } from './physics.ts';
import type { Out } from './topics.ts';

/** A board's way to the bus, as its post uses it. What comes back comes as `up`, `down` and `heard`. */
export interface Wire {
  dial(will: Out, atMs: number): void;
  send(out: Out, atMs: number): void;
  /** Breaks the connection without a goodbye, so that the broker gives out the will. */
  drop(atMs: number): void;
}

/** ms a board takes to boot; to try again, at least; and until a broker gives up on one that hangs (1.5 × 10 s). */
const BOOT_MS = 800;
const RETRY_MS = 1000;
const GIVEN_UP_MS = 15_000;

interface Post {
  readonly board: Board;
  readonly wire: Wire;
  /** `booting` hears nothing; `cut` and `hung` stay so until mended. */
  state: 'down' | 'dialling' | 'up' | 'booting' | 'cut' | 'hung';
  dialAtMs: number | null;
  /** When the broker gives up on a board that hangs. */
  dropAtMs: number | null;
  due: number;
}

/** Boards, each with a wire of its own, in the time that it is given: the same for real and for virtual time. */
export class Posts {
  readonly crew: Crew;
  readonly #posts = new Map<string, Post>();
  readonly #byTopic = new Map<string, Post[]>();
  readonly #chance;
  #atMs: number;

  constructor(crew: Crew, seed: number, atMs: number, wireOf: (board: Board) => Wire) {
    this.crew = crew;
    this.#atMs = atMs;
    this.#chance = seeded(seedOf(seed, 'retries'));
    for (const [id, board] of crew.boards) {
      const post: Post = {
        board,
        wire: wireOf(board),
        state: 'down',
        dialAtMs: atMs,
        dropAtMs: null,
        due: atMs,
      };
      this.#posts.set(id, post);
      for (const { topic } of board.subscriptions) {
        const heard = this.#byTopic.get(topic);
        if (heard) heard.push(post);
        else this.#byTopic.set(topic, [post]);
      }
    }
  }

  /** The wire's connection stands and its subscriptions too. */
  up(controller: string, atMs: number): void {
    const post = this.#posts.get(controller)!;
    if (post.state !== 'dialling') return;
    post.state = 'up';
    this.#sends(post, atMs, post.board.connect(atMs));
  }

  /** The wire's connection is gone, or could not be made. */
  down(controller: string, atMs: number): void {
    const post = this.#posts.get(controller)!;
    if (post.state !== 'up' && post.state !== 'dialling') return;
    post.board.disconnect(atMs);
    post.state = 'down';
    post.dialAtMs = atMs + Math.round(RETRY_MS * (1 + this.#chance()));
    this.#settle(post);
  }

  /** A message for one board. */
  heard(controller: string, atMs: number, topic: string, payload: unknown, retained: boolean): void {
    const post = this.#posts.get(controller)!;
    if (post.state === 'up' || post.state === 'dialling') {
      this.#sends(post, atMs, post.board.receive(atMs, topic, payload, retained));
    }
  }

  /** A message for every board that subscribes to its topic. */
  heardByAll(atMs: number, topic: string, payload: unknown, retained: boolean): void {
    for (const post of this.#byTopic.get(topic) ?? []) {
      this.heard(post.board.controller, atMs, topic, payload, retained);
    }
  }

  /** When `advanceTo` is wanted next; null: nothing will happen by itself. */
  nextDue(): number | null {
    let due = Infinity;
    for (const post of this.#posts.values()) if (post.due < due) due = post.due;
    return due === Infinity ? null : due;
  }

  /** Runs everything that is due by then, in order of time. */
  advanceTo(atMs: number): void {
    for (;;) {
      let next: Post | null = null;
      for (const post of this.#posts.values()) {
        if (post.due <= atMs && (next === null || post.due < next.due)) next = post;
      }
      if (!next) break;
      this.#atMs = Math.max(this.#atMs, next.due);
      this.#run(next, this.#atMs);
    }
    this.#atMs = Math.max(this.#atMs, atMs);
  }

  /** A line of the control language; answers one line. */
  say(atMs: number, line: string): string {
    this.advanceTo(atMs);
    for (const post of this.#posts.values()) this.#sends(post, atMs, post.board.advanceTo(atMs));
    const answer = answerLine(this, atMs, line);
    for (const post of this.#posts.values()) this.#sends(post, atMs, post.board.advanceTo(atMs));
    return answer;
  }

  truth(atMs: number, prop: string): Truth {
    this.advanceTo(atMs);
    const machine = this.crew.machines.get(prop);
    if (!machine) throw new Error(`no prop ${prop} among the stand-ins`);
    machine.advanceTo(atMs);
    return machine.truth();
  }

  stateOf(controller: string): Post['state'] {
    return this.#posts.get(controller)!.state;
  }

  hang(controller: string, atMs: number): void {
    const post = this.#posts.get(controller)!;
    post.board.hang(atMs);
    if (post.state === 'cut') return;
    post.state = 'hung';
    post.dialAtMs = null;
    post.dropAtMs = atMs + GIVEN_UP_MS;
    this.#settle(post);
  }

  cut(controller: string, atMs: number): void {
    const post = this.#posts.get(controller)!;
    post.board.disconnect(atMs);
    post.state = 'cut';
    post.dialAtMs = null;
    post.dropAtMs = null;
    post.wire.drop(atMs);
    this.#settle(post);
  }

  reboot(controller: string, atMs: number): void {
    const post = this.#posts.get(controller)!;
    post.board.reboot(atMs);
    post.dropAtMs = null;
    if (post.state !== 'cut') {
      post.state = 'booting';
      post.dialAtMs = atMs + BOOT_MS;
    }
    this.#settle(post);
  }

  /** Ends a hang (by power off and on) or a cut. False where there was neither. */
  mend(controller: string, atMs: number): boolean {
    const post = this.#posts.get(controller)!;
    const { hung } = post.board;
    const cut = post.state === 'cut';
    if (cut) {
      post.state = 'down';
      post.dialAtMs = atMs;
    }
    if (hung) this.reboot(controller, atMs);
    this.#settle(post);
    return hung || cut;
  }

  /** Breaks every connection, as a power cut would. */
  close(atMs: number): void {
    for (const post of this.#posts.values()) {
      post.state = 'cut';
      post.wire.drop(atMs);
    }
  }

  #run(post: Post, atMs: number): void {
    if (post.dropAtMs !== null && post.dropAtMs <= atMs) {
      post.dropAtMs = null;
      post.wire.drop(atMs);
    }
    if (post.dialAtMs !== null && post.dialAtMs <= atMs) {
      post.dialAtMs = null;
      // What is left of the connection before a reboot: the broker finds it dead when the board is back.
      if (post.state === 'booting') post.wire.drop(atMs);
      post.state = 'dialling';
      const will = post.board.dial(atMs);
      post.wire.dial(will, atMs);
    }
    this.#sends(post, atMs, post.board.advanceTo(atMs));
  }

  #sends(post: Post, atMs: number, outs: readonly Out[]): void {
    this.#settle(post);
    if (post.state === 'up') for (const out of outs) post.wire.send(out, atMs);
  }

  #settle(post: Post): void {
    post.due = Math.min(
      post.board.nextDue() ?? Infinity,
      post.dialAtMs ?? Infinity,
      post.dropAtMs ?? Infinity,
    );
  }
}

import { Story } from './story.ts';

/** Something that is to happen. Called off by putting `run` to null. */
export interface Timer {
  readonly at: number;
  readonly order: number;
  run: (() => void) | null;
}

/**
 * Virtual time. Things happen in the order of their time, and of equal times in the order in which they were set.
 * What goes on all the time and means nothing, such as beats and heartbeats, is kept apart as `routine`, so that
 * quiet stretches can be passed over in one stride.
 */
export class World {
  now: number;
  readonly story = new Story();
  readonly #main = new Heap();
  readonly #routine = new Heap();
  #order = 0;
  /** Somebody waits for a promise: give it its turn before the next thing happens. */
  yieldWanted = false;
  /** Passes over a quiet stretch up to this time; false where it can't. */
  stride: ((limit: number) => boolean) | null = null;
  /** Ends the run at once. */
  over = false;
  happened = 0;

  constructor(start: number) {
    this.now = start;
  }

  at(time: number, run: () => void): Timer {
    const timer = { at: Math.max(Math.ceil(time), this.now), order: this.#order++, run };
    this.#main.push(timer);
    return timer;
  }

  in(ms: number, run: () => void): Timer {
    return this.at(this.now + ms, run);
  }

  routine(time: number, run: () => void): Timer {
    const timer = { at: Math.max(Math.ceil(time), this.now), order: this.#order++, run };
    this.#routine.push(timer);
    return timer;
  }

  /** Forgets all that is routine: whoever passes over a stretch sets it anew at the other end. */
  dropRoutine(): void {
    this.#routine.clear();
  }

  /** When the next thing that is not routine happens. */
  get nextMain(): number {
    return this.#main.top?.at ?? Number.POSITIVE_INFINITY;
  }

  tell(what: string, ...parts: readonly unknown[]): void {
    this.story.tell(this.now, what, ...parts);
  }

  async runTo(until: number): Promise<void> {
    while (!this.over) {
      if (this.yieldWanted) await this.#giveWay();
      if (this.stride?.(Math.min(this.nextMain, until))) continue;
      const timer = this.#takeNext(until);
      if (!timer) break;
      this.now = timer.at;
      this.happened += 1;
      timer.run?.();
    }
    if (!this.over && until > this.now) this.now = until;
  }

  async #giveWay(): Promise<void> {
    this.yieldWanted = false;
    // a promise's own turn, that of who waits for it, and one more
    for (let i = 0; i < 4; i++) await null;
  }

  #takeNext(until: number): Timer | null {
    const a = this.#main.top;
    const b = this.#routine.top;
    const first = !b || (a && (a.at < b.at || (a.at === b.at && a.order < b.order))) ? a : b;
    if (!first || first.at > until) return null;
    (first === a ? this.#main : this.#routine).pop();
    return first;
  }
}

class Heap {
  readonly #items: Timer[] = [];

  get top(): Timer | undefined {
    while (this.#items.length > 0 && this.#items[0]!.run === null) this.pop();
    return this.#items[0];
  }

  clear(): void {
    this.#items.length = 0;
  }

  push(timer: Timer): void {
    const items = this.#items;
    let i = items.length;
    items.push(timer);
    while (i > 0) {
      const parent = (i - 1) >> 1;
      const above = items[parent]!;
      if (!before(timer, above)) break;
      items[i] = above;
      i = parent;
    }
    items[i] = timer;
  }

  pop(): void {
    const items = this.#items;
    const last = items.pop()!;
    const size = items.length;
    if (size === 0) return;
    let i = 0;
    for (;;) {
      let child = 2 * i + 1;
      if (child >= size) break;
      if (child + 1 < size && before(items[child + 1]!, items[child]!)) child += 1;
      const below = items[child]!;
      if (!before(below, last)) break;
      items[i] = below;
      i = child;
    }
    items[i] = last;
  }
}

const before = (a: Timer, b: Timer): boolean => a.at < b.at || (a.at === b.at && a.order < b.order);

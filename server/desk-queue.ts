import type { Waiting } from './desk-steps.ts';
import type { BusFact } from './show/events.ts';
import type { Show } from './show/show.ts';

/** In one durable transaction. A write costs milliseconds, on a memory card tens of them, so a flood pays for few. */
const BATCH_MOST = 2048;
const QUEUE_MOST = 20_000;

type Beat = readonly [controller: string, session: string, at: number];

/**
 * What waits for the desk's turn, in order of arrival and bounded. Past the bound the newest is dropped, and once the
 * flood is over every board is asked anew, since nobody knows what was missed. Of stops and their answers the highest stay.
 */
export class DeskQueue {
  #waiting: Waiting[] = [];
  readonly #stops = new Map<string, BusFact>();
  readonly #beats = new Map<string, Beat>();
  #lost = 0;
  /** So many were dropped so far. */
  overflowed = 0;

  get size(): number {
    return this.#waiting.length;
  }

  /** What waits fills a turn. */
  get full(): boolean {
    return this.#waiting.length >= BATCH_MOST;
  }

  /** From the bus. */
  hear(fact: BusFact): void {
    if (this.#waiting.length < QUEUE_MOST) this.#waiting.push({ fact });
    else if (fact.kind === 'stopHeard' || fact.kind === 'stoppedHeard') this.#foldStop(fact);
    else {
      this.overflowed += 1;
      this.#lost += 1;
    }
  }

  /** Of the desk's own, or of a person: never dropped. */
  add(waiting: Waiting): void {
    this.#waiting.push(waiting);
  }

  /** Ahead of all that waits. */
  addFirst(waiting: Waiting): void {
    this.#waiting.unshift(waiting);
  }

  /** What a turn had no time for, ahead of all that waits. */
  putBack(rest: readonly Waiting[]): void {
    if (rest.length > 0) this.#waiting = [...rest, ...this.#waiting];
  }

  /** What waits, up to the bound of one turn; behind a flood, what was folded of it and that something was missed. */
  take(): Waiting[] {
    const out = this.#waiting.splice(0, BATCH_MOST);
    if (this.#waiting.length > 0 || (this.#lost === 0 && this.#stops.size === 0)) return out;
    for (const fact of this.#stops.values()) out.push({ fact });
    this.#stops.clear();
    if (this.#lost > 0) out.push({ fact: { kind: 'readingsLost', dropped: this.#lost } });
    this.#lost = 0;
    return out;
  }

  #foldStop(fact: Extract<BusFact, { kind: 'stopHeard' | 'stoppedHeard' }>): void {
    const of = fact.kind === 'stopHeard' ? `stop ${fact.latched}` : `stopped ${fact.controller} ${fact.safe}`;
    const kept = this.#stops.get(of);
    if (!kept || ('stop' in kept && fact.stop >= (kept.stop ?? 0))) this.#stops.set(of, fact);
  }

  beat(controller: string, session: string, at: number): void {
    this.#beats.set(controller, [controller, session, at]);
  }

  /** The beats that tell the show something; a link heard a moment ago gains nothing by another, which waits until it does. */
  takeBeats(show: Show, at: number): Beat[] {
    if (this.#beats.size === 0) return [];
    const half = show.yard.bus.silenceMs / 2;
    const out: Beat[] = [];
    for (const [id, beat] of this.#beats) {
      const link = show.controllers[id];
      if (!link) {
        // its board is in the yard file no more
        this.#beats.delete(id);
        continue;
      }
      if (link.live && link.session === beat[1] && at - link.heardAt < half) continue;
      out.push(beat);
      this.#beats.delete(id);
    }
    return out;
  }
}

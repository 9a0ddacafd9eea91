import type { JournalPort } from '../journal/port.ts';
import type { Event } from '../show/events.ts';
import { loadShow } from '../show/save.ts';
import type { Show } from '../show/show.ts';
import { step } from '../show/step.ts';
import type { Yard } from '../yard/types.ts';

export interface Folded {
  readonly show: Show;
  /** Events before it are missing, as where a disk refused them: what is shown need not have been so. */
  readonly gap: boolean;
}

/** It takes longer than was allowed; what was folded by then is kept, and whoever asks again goes on from there. */
export class FoldSlow extends Error {}

/** Between two batches others are served; a batch takes some tens of ms. */
const BATCH = 500;
/** States kept at the ends of batches. They share what did not change, so each costs little more than what did. */
const KEPT_MOST = 120;

/**
 * Folds the record to any event of it through the same core that ran the yard. From the snapshot before it that is at
 * most some 20,000 events; states on the way are kept, so that one who goes to and fro waits once.
 */
export class Folds {
  readonly #journal: Pick<JournalPort, 'events' | 'latestSnapshot'>;
  readonly #yardOf: (hash: string) => Yard;
  readonly #pause: () => Promise<void>;
  readonly #kept = new Map<number, Folded>();

  /** `pause` is awaited between batches. */
  constructor(
    journal: Pick<JournalPort, 'events' | 'latestSnapshot'>,
    yardOf: (hash: string) => Yard,
    pause: () => Promise<void>,
  ) {
    this.#journal = journal;
    this.#yardOf = yardOf;
    this.#pause = pause;
  }

  /**
   * The show as event `n` left it; null where no snapshot from before it is kept. Throws `FoldSlow` once `late` says so,
   * asked between batches.
   */
  async at(n: number, late: () => boolean = () => false): Promise<Folded | null> {
    const begun = this.#begin(n);
    return begun && this.#on(begun, n, () => {}, late);
  }

  /** Every show from event `from` to event `to`, told one by one. Where a yard file changed meanwhile, the new one holds on. */
  async each(from: number, to: number, tell: (show: Show) => void): Promise<void> {
    let now = await this.at(from);
    while (now && now.show.n < to) {
      tell(now.show);
      const end = Math.min(to, now.show.n + BATCH);
      const carried = this.#journal.latestSnapshot(end);
      const stop = carried && carried.n > now.show.n ? carried.n : end;
      const before = now.show.n;
      now = await this.#on(now, stop, tell);
      if (now.show.n === before) break;
      if (carried?.n === now.show.n) now = { show: this.#load(carried), gap: now.gap };
    }
    if (now) tell(now.show);
  }

  /** The nearest state that is kept, here or in the record. A snapshot goes before a state of its event: a new file may hold from it on. */
  #begin(n: number): Folded | null {
    const snapshot = this.#journal.latestSnapshot(n);
    if (!snapshot) return null;
    let best: number | null = null;
    for (const at of this.#kept.keys()) if (at <= n && at > snapshot.n && at > (best ?? 0)) best = at;
    return best === null ? { show: this.#load(snapshot), gap: false } : this.#kept.get(best)!;
  }

  #load({ state, yardHash }: { state: string; yardHash: string }): Show {
    return loadShow(state, this.#yardOf(yardHash));
  }

  async #on(
    from: Folded,
    to: number,
    tell: (show: Show) => void,
    late: () => boolean = () => false,
  ): Promise<Folded> {
    let now = from;
    while (now.show.n < to) {
      if (now !== from && late()) throw new FoldSlow(`event ${now.show.n} of ${to}`);
      const events = this.#journal.events(now.show.n, Math.min(BATCH, to - now.show.n));
      for (const event of events) {
        if (event.n > to) break;
        now = taken(now, event);
        tell(now.show);
      }
      const last = events.at(-1);
      if (!last || last.n > to) break;
      this.#keep(now);
      await this.#pause();
    }
    return now;
  }

  #keep(folded: Folded): void {
    this.#kept.delete(folded.show.n);
    this.#kept.set(folded.show.n, folded);
    if (this.#kept.size > KEPT_MOST) this.#kept.delete(this.#kept.keys().next().value!);
  }
}

/** One event on. What a gap makes impossible is left out, as everything after a gap is in doubt anyway. */
function taken({ show, gap }: Folded, event: Event): Folded {
  const missing = gap || event.n !== show.n + 1;
  try {
    return { show: step(show, event).show, gap: missing };
  } catch (error) {
    if (!missing) throw error;
    return { show: { ...show, n: event.n, at: event.at }, gap: true };
  }
}

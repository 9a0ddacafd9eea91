import type { Drop, DropCode } from './bus/drop.ts';

/** So many different ones are told apart: whoever makes up names costs us no memory. */
const APART_MAX = 200;
const WHAT_CHARS_MAX = 80;

/** One cause of dropped messages, and how often it was met. */
export interface DropCount {
  readonly code: DropCode;
  /** A name or a topic, of whoever sent it: printable ASCII, cut short. */
  readonly what: string;
  count: number;
}

/** What was dropped on the bus since this start, by cause. */
export class Drops {
  readonly #by = new Map<string, DropCount>();

  add(topic: string, { code, what = topic }: Drop): void {
    const shown = what.slice(0, WHAT_CHARS_MAX).replace(/[^ -~]|`/g, '?');
    const key = `${code} ${shown}`;
    const known = this.#by.get(key);
    if (known) known.count += 1;
    else if (this.#by.size < APART_MAX) this.#by.set(key, { code, what: shown, count: 1 });
  }

  /** The cause met most often, of equals the first; null where nothing was dropped. */
  get most(): DropCount | null {
    let most: DropCount | null = null;
    for (const one of this.#by.values()) if (one.count > (most?.count ?? 0)) most = one;
    return most;
  }
}

import { hashText } from './chance.ts';
import type { Message } from './message.ts';

/** One thing that happened. Put into words only where somebody reads it. */
type Line = readonly [at: number, tell: string, parts: readonly unknown[]];

const KEPT = 400;
/** Keys of a payload that tell two stories apart. */
const MIXED = ['n', 'is', 'made', 'session', 'run', 'step', 'latched', 'why'] as const;
const hashes = new Map<string, number>();

/** Hashes of words that come again and again. */
function known(text: string): number {
  let hash = hashes.get(text);
  if (hash === undefined) {
    hash = hashText(text);
    if (hashes.size < 5000) hashes.set(text, hash);
  }
  return hash;
}

const isMessage = (part: unknown): part is Message =>
  typeof part === 'object' && part !== null && 'topic' in part;

function textOf(part: unknown): string {
  if (typeof part === 'string') return part;
  if (!isMessage(part)) return JSON.stringify(part);
  if (!part.data) return `${part.topic} (${part.bytes?.length ?? 0} bytes)`;
  const { props: _, firmware: __, contract: ___, ...rest } = part.data;
  const text = JSON.stringify(rest);
  return `${part.topic} ${text.length > 220 ? `${text.slice(0, 220)}…` : text}`;
}

/**
 * What happened, in order: the last of it for people, all of it as a hash. Two runs of one seed must have the same
 * hash, else the seed proves nothing.
 */
export class Story {
  readonly #lines: Line[] = [];
  #next = 0;
  #hash = 0x811c9dc5 | 0;
  count = 0;
  /** Where everything is to be read as it happens. */
  onLine: ((text: string) => void) | null = null;
  clock: (at: number) => string = (at) => String(at);

  tell(at: number, what: string, ...parts: readonly unknown[]): void {
    this.count += 1;
    this.mix(at);
    this.mix(known(what));
    for (const part of parts) {
      if (typeof part === 'number') this.mix(part);
      else if (typeof part === 'string') this.mix(hashText(part));
      else if (isMessage(part)) this.#mixMessage(part);
    }
    const line: Line = [at, what, parts];
    this.#lines[this.#next] = line;
    this.#next = (this.#next + 1) % KEPT;
    if (this.onLine) this.onLine(this.#text(line));
  }

  #mixMessage({ topic, data }: Message): void {
    this.mix(known(topic));
    if (!data) return;
    for (const key of MIXED) {
      const value = data[key];
      if (typeof value === 'number') this.mix(value);
      else if (typeof value === 'string') this.mix(hashText(value));
      else if (value === true) this.mix(1);
    }
  }

  mix(value: number): void {
    this.#hash = Math.imul(this.#hash ^ (value | 0), 0x01000193);
    this.#hash ^= this.#hash >>> 15;
  }

  get hash(): string {
    return (this.#hash >>> 0).toString(16).padStart(8, '0');
  }

  last(count: number): string[] {
    const inOrder = [...this.#lines.slice(this.#next), ...this.#lines.slice(0, this.#next)];
    return inOrder.slice(-count).map((l) => this.#text(l));
  }

  #text([at, what, parts]: Line): string {
    const said = parts.map(textOf).join(' ');
    return `${this.clock(at)}  ${what} ${said}`;
  }
}

import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { sumOf } from './backup/manifest.ts';
import type { FileChange } from './file/difference.ts';
import { type Checked, checkFile, type Reading } from './file-check.ts';
import type { LiveYard, WaitingFile } from './live-yard.ts';

/** The yard file as the page shows it. */
export interface FileTold {
  name: string;
  text: string;
  /** Of the text, so that a save can say what it began from. */
  hash: string;
  /** False for the demonstration's own file. */
  editable: boolean;
  /** Whether this text is the one that runs now. */
  runs: boolean;
  /** What the file saved last waits for before it runs; null where nothing holds it back. */
  waits: WaitingFile | null;
  /** Under which name the file that runs now is kept once another is saved. */
  lastGood: string;
}

/** What was found in a text, and in what it differs from the file that runs. */
export type CheckedFile = Checked & { readonly changes: readonly FileChange[] };

export type Saved =
  | { kind: 'saved'; hash: string; lastGood: string; runs: boolean; waits: WaitingFile | null }
  | { kind: 'errors'; checked: Checked }
  | { kind: 'too-long' | 'busy' | 'changed' | 'not-editable' };

/** What the page may do with the yard file. */
export interface YardFileDoor {
  /** Throws what the disk says. */
  read(): Promise<FileTold>;
  /** Null where it takes too long; `busy` while another is being checked. */
  check(text: string): Promise<CheckedFile | 'busy' | null>;
  /** Saves what has no errors, whole or not at all. `base`: the hash of the text that was changed. It runs as soon as it can. */
  save(text: string, base: string, by: string): Promise<Saved>;
}

export class YardFile implements YardFileDoor {
  readonly #path: string;
  readonly #live: LiveYard;
  readonly #editable: boolean;
  #busy = false;

  readonly #check: (text: string, running: string) => Promise<Reading | null>;

  constructor(
    path: string,
    live: LiveYard,
    editable: boolean,
    check = (text: string, running: string) => checkFile(text, running),
  ) {
    this.#check = check;
    this.#path = path;
    this.#live = live;
    this.#editable = editable;
  }

  async read(): Promise<FileTold> {
    const text = await readFile(this.#path, 'utf8');
    return {
      name: basename(this.#path),
      text,
      hash: sumOf(text),
      editable: this.#editable,
      runs: text === this.#live.held.text,
      waits: this.#live.waits(),
      lastGood: basename(this.#lastGood),
    };
  }

  async check(text: string): Promise<CheckedFile | 'busy' | null> {
    const found = await this.#read(text);
    if (found === 'busy' || found === null) return found;
    const { checked, changes, yard } = found;
    return { ...checked, changes: yard ? this.#live.judged(changes, yard) : [] };
  }

  async #read(text: string): Promise<Reading | 'busy' | null> {
    // One at a time: each has a thread and memory of its own.
    if (this.#busy) return 'busy';
    this.#busy = true;
    try {
      return await this.#check(text, this.#live.held.text);
    } finally {
      this.#busy = false;
    }
  }

  async save(text: string, base: string, by: string): Promise<Saved> {
    if (!this.#editable) return { kind: 'not-editable' };
    const found = await this.#read(text);
    if (found === 'busy') return { kind: 'busy' };
    if (found === null) return { kind: 'too-long' };
    const { checked, changes, yard } = found;
    if (!checked.ok || !yard) return { kind: 'errors', checked };
    const there = await readFile(this.#path, 'utf8');
    if (sumOf(there) !== base) return { kind: 'changed' };
    await writeFileAtomic(this.#lastGood, this.#live.held.text);
    await writeFileAtomic(this.#path, text);
    const hash = sumOf(text);
    this.#live.want({ text, hash, yard }, changes, by);
    const runs = this.#live.held.hash === hash;
    return { kind: 'saved', hash, lastGood: basename(this.#lastGood), runs, waits: this.#live.waits() };
  }

  get #lastGood(): string {
    return `${this.#path}.last-good`;
  }
}

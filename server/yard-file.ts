import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { type Checked, checkFile } from './file-check.ts';

/** The yard file as the page shows it. */
export interface FileTold {
  name: string;
  text: string;
  /** Of the text, so that a save can say what it began from. */
  hash: string;
  /** False for the demonstration's own file. */
  editable: boolean;
  /** Whether this text is the one that runs now; another takes effect at the next start. */
  runs: boolean;
  /** Under which name the file that runs now is kept once another is saved. */
  lastGood: string;
}

export type Saved =
  | { kind: 'saved'; hash: string; lastGood: string }
  | { kind: 'errors'; checked: Checked }
  | { kind: 'too-long' | 'busy' | 'changed' | 'not-editable' };

/** What the page may do with the yard file. Nothing here touches what runs: a saved file holds from the next start. */
export interface YardFileDoor {
  /** Throws what the disk says. */
  read(): Promise<FileTold>;
  /** Null where it takes too long; `busy` while another is being checked. */
  check(text: string): Promise<Checked | 'busy' | null>;
  /** Saves what has no errors, whole or not at all. `base`: the hash of the text that was changed. */
  save(text: string, base: string): Promise<Saved>;
}

export class YardFile implements YardFileDoor {
  readonly #path: string;
  readonly #running: string;
  readonly #editable: boolean;
  #busy = false;

  readonly #check: (text: string) => Promise<Checked | null>;

  /** `running`: the text that this start began with. */
  constructor(path: string, running: string, editable: boolean, check = (text: string) => checkFile(text)) {
    this.#check = check;
    this.#path = path;
    this.#running = running;
    this.#editable = editable;
  }

  async read(): Promise<FileTold> {
    const text = await readFile(this.#path, 'utf8');
    return {
      name: basename(this.#path),
      text,
      hash: hashOf(text),
      editable: this.#editable,
      runs: text === this.#running,
      lastGood: basename(this.#lastGood),
    };
  }

  async check(text: string): Promise<Checked | 'busy' | null> {
    // One at a time: each has a thread and memory of its own.
    if (this.#busy) return 'busy';
    this.#busy = true;
    try {
      return await this.#check(text);
    } finally {
      this.#busy = false;
    }
  }

  async save(text: string, base: string): Promise<Saved> {
    if (!this.#editable) return { kind: 'not-editable' };
    const checked = await this.check(text);
    if (checked === 'busy') return { kind: 'busy' };
    if (checked === null) return { kind: 'too-long' };
    if (!checked.ok) return { kind: 'errors', checked };
    const there = await readFile(this.#path, 'utf8');
    if (hashOf(there) !== base) return { kind: 'changed' };
    await writeFileAtomic(this.#lastGood, this.#running);
    await writeFileAtomic(this.#path, text);
    return { kind: 'saved', hash: hashOf(text), lastGood: basename(this.#lastGood) };
  }

  get #lastGood(): string {
    return `${this.#path}.last-good`;
  }
}

function hashOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

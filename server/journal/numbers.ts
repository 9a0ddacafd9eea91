import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fdatasyncSync,
  openSync,
  readFileSync,
  renameSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import { syncFolder } from './folder.ts';
import { asJournalError, JournalError } from './trouble.ts';

export interface StopNumbers {
  /** The highest stop number ever latched. */
  readonly stop: number;
  /** The highest stop number ever cleared. */
  readonly cleared: number;
  /** The highest epoch taken. */
  readonly epoch: number;
}

/** The numbers as they are on the disk. */
export interface Numbers extends StopNumbers {
  /**
   * Raises what is given and higher than it was; nothing is ever lowered. On return it survives a power cut.
   * Throws `JournalError`, and then the numbers are as before.
   */
  write(raised: Partial<StopNumbers>): void;
  /** The same for a stop, which nothing may hold up: false where the disk refused, never a throw. */
  tryWrite(raised: Partial<StopNumbers>): boolean;
  close(): void;
}

/**
 * The small file of stop, cleared and epoch numbers. It is allotted whole when it is made and from then on only
 * written in place, so that a full disk can't refuse a stop (a disk that copies on write, such as btrfs or ZFS, still
 * may). It holds the numbers twice, in different blocks of the disk: a write goes to the older of the two, and
 * counts once its own checksum is right, so a write torn anywhere leaves the other.
 *
 * Makes the file where there is none. Throws `JournalError` where it can't be opened or neither copy can be read:
 * numbers are never guessed, since a stop could be lost that way.
 */
export function openNumbers(dir: string): Numbers {
  const path = numbersPath(dir);
  try {
    if (!existsSync(path)) make(dir, path);
    return new NumbersFile(path);
  } catch (error) {
    throw asJournalError(error, path);
  }
}

/** The numbers as they lie in a folder, which another process may own; zeros where there are none. */
export function numbersIn(dir: string): StopNumbers {
  if (!existsSync(numbersPath(dir))) return { stop: 0, cleared: 0, epoch: 0 };
  const newest = newestOf(readFileSync(numbersPath(dir)));
  if (!newest) throw new JournalError('corrupt', numbersPath(dir), { detail: 'neither copy can be read' });
  const { stop, cleared, epoch } = newest.slot;
  return { stop, cleared, epoch };
}

/** The present copy, and which of the two it is; null where neither can be read. */
function newestOf(bytes: Buffer): { slot: Slot; at: number } | null {
  const slots = SLOTS.map((i) => decode(bytes.subarray(i * SLOT_BYTES, (i + 1) * SLOT_BYTES)));
  const [a, b] = slots;
  const at = (a?.generation ?? -1) > (b?.generation ?? -1) ? 0 : 1;
  const slot = slots[at];
  return slot ? { slot, at } : null;
}

export function numbersPath(dir: string): string {
  return join(dir, 'numbers');
}

/** Apart by the largest block that a disk is likely to write as one. */
const SLOT_BYTES = 4096;
const SLOTS = [0, 1] as const;

interface Slot extends StopNumbers {
  /** Counts the writes; the higher of two good copies is the present one. */
  readonly generation: number;
}

/** One copy as a line that a person can read, filled with spaces: what is all zeros may not be allotted. */
function encode(slot: Slot): Buffer {
  const { generation, stop, cleared, epoch } = slot;
  const text = `dusklatch numbers 1: write ${generation}, stop ${stop}, cleared ${cleared}, epoch ${epoch}`;
  return Buffer.from(`${`${text}; check ${check(text)}`.padEnd(SLOT_BYTES - 1)}\n`, 'latin1');
}

function decode(bytes: Buffer): Slot | null {
  const text = bytes.toString('latin1').trimEnd();
  const parts =
    /^(dusklatch numbers 1: write (\d{1,16}), stop (\d{1,16}), cleared (\d{1,16}), epoch (\d{1,16})); check ([0-9a-f]{16})$/.exec(
      text,
    );
  if (!parts || check(parts[1]!) !== parts[6]) return null;
  const [generation, stop, cleared, epoch] = parts.slice(2, 6).map(Number);
  return { generation: generation!, stop: stop!, cleared: cleared!, epoch: epoch! };
}

function check(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, 16);
}

/** Written whole beside and renamed, so that the file is there with all its blocks or not at all. */
function make(dir: string, path: string): void {
  const first: Slot = { generation: 1, stop: 0, cleared: 0, epoch: 0 };
  const fresh = `${path}.new`;
  writeFileSync(fresh, Buffer.concat([encode(first), encode({ ...first, generation: 0 })]), {
    mode: 0o600,
    flush: true,
  });
  renameSync(fresh, path);
  syncFolder(dir);
}

class NumbersFile implements Numbers {
  readonly #path: string;
  readonly #fd: number;
  #now: Slot;
  /** Which copy holds `#now`. */
  #at: number;

  constructor(path: string) {
    this.#path = path;
    const newest = newestOf(readFileSync(path));
    if (!newest)
      throw new JournalError('corrupt', path, { detail: 'neither copy of the stop numbers can be read' });
    this.#now = newest.slot;
    this.#at = newest.at;
    this.#fd = openSync(path, 'r+');
  }

  get stop(): number {
    return this.#now.stop;
  }

  get cleared(): number {
    return this.#now.cleared;
  }

  get epoch(): number {
    return this.#now.epoch;
  }

  write(raised: Partial<StopNumbers>): void {
    const now = this.#now;
    const next: Slot = {
      generation: now.generation + 1,
      stop: higher(now.stop, raised.stop),
      cleared: higher(now.cleared, raised.cleared),
      epoch: higher(now.epoch, raised.epoch),
    };
    if (next.stop === now.stop && next.cleared === now.cleared && next.epoch === now.epoch) return;
    const other = 1 - this.#at;
    try {
      this.#put(other, next);
    } catch (error) {
      // What failed may be on the disk all the same. A clear that was refused must not come true after a restart.
      if (next.cleared !== now.cleared) this.#unput(other, now);
      throw asJournalError(error, this.#path);
    }
    this.#now = next;
    this.#at = other;
  }

  tryWrite(raised: Partial<StopNumbers>): boolean {
    try {
      this.write(raised);
      return true;
    } catch {
      return false;
    }
  }

  close(): void {
    closeSync(this.#fd);
  }

  #put(slot: number, value: Slot): void {
    const bytes = encode(value);
    const written = writeSync(this.#fd, bytes, 0, SLOT_BYTES, slot * SLOT_BYTES);
    if (written !== SLOT_BYTES) throw new JournalError('io', this.#path, { detail: 'written in part' });
    fdatasyncSync(this.#fd);
  }

  #unput(slot: number, value: Slot): void {
    try {
      this.#put(slot, value);
    } catch {
      // The disk takes nothing more; what failed first is what is told.
    }
  }
}

function higher(now: number, raised: number | undefined): number {
  if (raised === undefined) return now;
  if (!Number.isSafeInteger(raised) || raised < 0)
    throw new RangeError(`no number for the stop file: ${raised}`);
  return Math.max(now, raised);
}

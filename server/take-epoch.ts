import { setTimeout as sleep } from 'node:timers/promises';
import type { Bus } from './bus/client.ts';
import type { Numbers } from './journal/numbers.ts';
import type { NoteWords } from './words/tongue.ts';

/** A disk that refuses the epoch is asked again so often. */
const EPOCH_RETRY_MS = 2000;

export interface EpochParts {
  readonly bus: Pick<Bus, 'scout'>;
  readonly numbers: Pick<Numbers, 'epoch' | 'write'>;
  /** The epoch that the record knows. */
  readonly known: number;
  readonly silenceMs: number;
  readonly notes: NoteWords;
  /** What it waits for, for people. */
  readonly waitsFor: (said: string, how: 'warn' | 'error') => void;
  readonly closing: () => boolean;
}

/** The epoch stands on disk before anything moves; a disk that refuses it is asked again, and the page says so. */
export async function takeEpoch(parts: EpochParts): Promise<number> {
  for (;;) {
    const epoch = await nextEpoch(parts);
    if (parts.closing()) return epoch;
    try {
      parts.numbers.write({ epoch });
      return epoch;
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error);
      parts.waitsFor(parts.notes.numberNotKept(why), 'error');
      await sleep(EPOCH_RETRY_MS);
    }
  }
}

/** On a broker that others use: begin only once no other desk's heartbeat has been heard for twice the silence. */
async function nextEpoch({ bus, numbers, known, silenceMs, notes, waitsFor }: EpochParts): Promise<number> {
  for (;;) {
    const { highestEpoch, other } = await bus.scout(2 * silenceMs);
    if (!other) return Math.max(numbers.epoch, known, highestEpoch) + 1;
    waitsFor(notes.anotherDrives(other.desk), 'warn');
  }
}

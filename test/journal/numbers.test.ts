import { readFileSync, statSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Numbers, numbersPath, openNumbers, type StopNumbers } from '../../server/journal/numbers.ts';
import { scratch, thrown } from './sample.ts';

const plain = ({ stop, cleared, epoch }: Numbers): StopNumbers => ({ stop, cleared, epoch });

function read(dir: string): StopNumbers {
  const numbers = openNumbers(dir);
  const found = plain(numbers);
  numbers.close();
  return found;
}

describe('the small file of numbers', () => {
  it('begins at nothing, allotted whole', () => {
    const dir = scratch();
    expect(read(dir)).toEqual({ stop: 0, cleared: 0, epoch: 0 });
    expect(statSync(numbersPath(dir)).size).toBe(8192);
    expect(statSync(numbersPath(dir)).blocks * 512).toBeGreaterThanOrEqual(8192);
  });

  it('keeps what is raised and lowers nothing', () => {
    const dir = scratch();
    const numbers = openNumbers(dir);
    numbers.write({ stop: 8, epoch: 12 });
    numbers.write({ cleared: 7 });
    numbers.write({ stop: 3, cleared: 8, epoch: 11 });
    numbers.write({});
    expect(plain(numbers)).toEqual({ stop: 8, cleared: 8, epoch: 12 });
    expect(read(dir)).toEqual({ stop: 8, cleared: 8, epoch: 12 });
    numbers.close();
    expect(statSync(numbersPath(dir)).size).toBe(8192);
  });

  it('takes only numbers', () => {
    const numbers = openNumbers(scratch());
    for (const wrong of [-1, 1.5, Number.NaN, Number.POSITIVE_INFINITY, 2 ** 53]) {
      expect(thrown(() => numbers.write({ stop: wrong }))).toBeInstanceOf(RangeError);
    }
    numbers.write({ stop: Number.MAX_SAFE_INTEGER });
    expect(numbers.stop).toBe(Number.MAX_SAFE_INTEGER);
    numbers.close();
  });

  it('never throws out of a stop', () => {
    const dir = scratch();
    const numbers = openNumbers(dir);
    expect(numbers.tryWrite({ stop: 1 })).toBe(true);
    // A closed file stands in for a disk that is gone.
    numbers.close();
    expect(numbers.tryWrite({ stop: 2 })).toBe(false);
    expect(numbers.stop).toBe(1);
    expect(thrown(() => numbers.write({ stop: 2 }))).toMatchObject({ name: 'JournalError' });
    expect(read(dir).stop).toBe(1);
  });

  const before: StopNumbers = { stop: 41, cleared: 40, epoch: 12 };
  const after: StopNumbers = { stop: 42, cleared: 40, epoch: 12 };

  /** The file before and after a write, so that a test can mix the two. */
  function twoStates(): { dir: string; old: Buffer; fresh: Buffer; from: number; to: number } {
    const dir = scratch();
    const numbers = openNumbers(dir);
    numbers.write({ stop: 40, cleared: 40, epoch: 12 });
    numbers.write({ stop: 41 });
    const old = readFileSync(numbersPath(dir));
    numbers.write({ stop: 42 });
    numbers.close();
    const fresh = readFileSync(numbersPath(dir));
    const changed = [...old.keys()].filter((i) => old[i] !== fresh[i]);
    return { dir, old, fresh, from: changed[0]!, to: changed.at(-1)! };
  }

  it('loses neither copy to a write torn at any byte, from either end', () => {
    const { dir, old, fresh, from, to } = twoStates();
    // Only one of the two copies was written to.
    expect(Math.floor(from / 4096)).toBe(Math.floor(to / 4096));
    const slot = Math.floor(from / 4096) * 4096;
    const outcomes = { before: 0, after: 0 };
    // Behind the last byte that differs the two states are the same.
    for (let cut = 0; cut <= to - slot + 2; cut += 1) {
      for (const headIsNew of [true, false]) {
        const [head, tail] = headIsNew ? [fresh, old] : [old, fresh];
        const mixed = Buffer.from(old);
        head.copy(mixed, slot, slot, slot + cut);
        tail.copy(mixed, slot + cut, slot + cut, slot + 4096);
        writeFileSync(numbersPath(dir), mixed);
        const found = read(dir);
        if (found.stop === 42) {
          expect(found).toEqual(after);
          expect(mixed.equals(fresh)).toBe(true);
          outcomes.after += 1;
        } else {
          expect(found).toEqual(before);
          outcomes.before += 1;
        }
      }
    }
    expect(outcomes.before).toBeGreaterThan(100);
    expect(outcomes.after).toBeGreaterThanOrEqual(2);
  });

  it('loses neither copy to a block full of rubbish', () => {
    const { dir, old, from } = twoStates();
    const slot = Math.floor(from / 4096) * 4096;
    for (const rubbish of [0x00, 0x20, 0x39, 0xff]) {
      const bytes = Buffer.from(old).fill(rubbish, slot, slot + 4096);
      writeFileSync(numbersPath(dir), bytes);
      expect(read(dir)).toEqual(before);
      const numbers = openNumbers(dir);
      numbers.write({ stop: 43 });
      numbers.close();
      expect(read(dir).stop).toBe(43);
    }
  });

  it('sees every flipped bit', () => {
    const { dir, fresh, from, to } = twoStates();
    for (let byte = Math.floor(from / 4096) * 4096; byte <= to; byte += 1) {
      for (let bit = 0; bit < 8; bit += 1) {
        const bytes = Buffer.from(fresh);
        bytes[byte]! ^= 1 << bit;
        writeFileSync(numbersPath(dir), bytes);
        expect(read(dir)).toEqual(before);
      }
    }
  });

  it('is never guessed: with both copies gone it refuses, and leaves the file', () => {
    const dir = scratch();
    for (const bytes of [Buffer.alloc(8192), Buffer.alloc(0), Buffer.from('stop 8')]) {
      writeFileSync(numbersPath(dir), bytes);
      expect(thrown(() => openNumbers(dir))).toMatchObject({ name: 'JournalError', code: 'corrupt' });
      expect(readFileSync(numbersPath(dir)).equals(bytes)).toBe(true);
    }
  });

  it('says why it can’t be opened', () => {
    expect(thrown(() => openNumbers('/dev/null/nowhere'))).toMatchObject({
      name: 'JournalError',
      code: 'unusable',
    });
  });
});

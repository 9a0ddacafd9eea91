import type * as Fs from 'node:fs';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { openNumbers } from '../../server/journal/numbers.ts';
import { scratch, thrown } from './sample.ts';

/** A disk whose writes reach it but whose flush fails as many times as `failing` says. */
const disk = vi.hoisted(() => ({ failing: 0 }));

vi.mock('node:fs', async (original) => {
  const fs = await original<typeof Fs>();
  return {
    ...fs,
    fdatasyncSync(fd: number): void {
      if (disk.failing > 0) {
        disk.failing -= 1;
        throw Object.assign(new Error('EIO: i/o error, fdatasync'), { code: 'EIO', syscall: 'fdatasync' });
      }
      fs.fdatasyncSync(fd);
    },
  };
});

beforeEach(() => {
  disk.failing = 0;
});

describe('the numbers on a failing disk', () => {
  it('say so, and do not count what may not last', () => {
    const numbers = openNumbers(scratch());
    numbers.write({ stop: 7, epoch: 3 });
    disk.failing = 1;
    expect(thrown(() => numbers.write({ epoch: 4 }))).toMatchObject({
      name: 'JournalError',
      code: 'io',
      message: expect.stringContaining('Look at the disk'),
    });
    expect(numbers.epoch).toBe(3);
    numbers.write({ epoch: 4 });
    expect(numbers.epoch).toBe(4);
    numbers.close();
  });

  it('do not let a clear come true that was refused', () => {
    const dir = scratch();
    const numbers = openNumbers(dir);
    numbers.write({ stop: 7 });
    disk.failing = 1;
    expect(thrown(() => numbers.write({ cleared: 7 }))).toMatchObject({ code: 'io' });
    expect(numbers.cleared).toBe(0);
    // The bytes were written, only the flush failed: a restart reads them.
    const again = openNumbers(dir);
    expect([again.stop, again.cleared]).toEqual([7, 0]);
    again.close();
    numbers.close();
  });

  it('keep a stop that may have got there', () => {
    const dir = scratch();
    const numbers = openNumbers(dir);
    disk.failing = 1;
    expect(numbers.tryWrite({ stop: 7 })).toBe(false);
    const again = openNumbers(dir);
    expect(again.stop).toBe(7);
    again.close();
    expect(numbers.tryWrite({ stop: 8 })).toBe(true);
    numbers.close();
  });

  it('lose nothing to a write torn after one that failed', () => {
    const dir = scratch();
    const numbers = openNumbers(dir);
    numbers.write({ stop: 7, cleared: 6 });
    disk.failing = 2;
    expect(thrown(() => numbers.write({ cleared: 7 }))).toMatchObject({ code: 'io' });
    expect(numbers.tryWrite({ stop: 9 })).toBe(true);
    const again = openNumbers(dir);
    expect([again.stop, again.cleared]).toEqual([9, 6]);
    again.close();
    numbers.close();
  });
});

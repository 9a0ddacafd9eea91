import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type Disk, diskImage, OUTLIVES_THE_LIMIT, refuseWrites, smallDisk } from './disks.ts';
import { inFolder, moving, obeyed, onShore, type Shore, still } from './shore.ts';
import { clearedAndReplayed, nothingMovesAfter, numbersIn, reasons } from './stopped.ts';
import { sleep, until } from './yard-rig.ts';

/** A stop while the disk under the daemon refuses: full, read-only, or every write of it. */

describe.concurrent('a stop', { timeout: 60_000 }, () => {
  it('with the disk full: it goes out, its number is kept, and nothing moves without a record', (ctx) =>
    inFolder('full', (dir) =>
      withDisk(ctx, smallDisk(dir, 8 * 1024), (disk) =>
        onShore({ dataDir: join(disk.at, 'data') }, async (shore) => {
          const filler = join(disk.at, 'filler');
          await refusedAndStopped(shore, /disk is full/, () => {
            expect(() => writeFileSync(filler, Buffer.alloc(9 * 1024 * 1024))).toThrow(/ENOSPC/);
          });
          // the power goes while the disk is still full: what it held before is enough to come back by, stopped
          const { yard } = shore;
          expect(numbersIn(yard)).toMatch(/stop 1, cleared 0/);
          await yard.kill('SIGKILL');
          rmSync(filler);
          await yard.start();
          expect(await yard.picture()).toMatchObject({ mode: 'stopped', stop: { latched: true, n: 1 } });
          await clearedAndReplayed(shore);
        }),
      ),
    ));

  it('with the disk turned read-only: it goes out, and after a restart the boards tell of it', (ctx) =>
    inFolder('worn', (dir) =>
      withDisk(ctx, diskImage(dir), (disk) =>
        onShore({ dataDir: join(disk.at, 'data') }, async (shore) => {
          await refusedAndStopped(shore, /The disk fails|read-only/, () => disk.wearOut());
          const { yard } = shore;
          await yard.kill('SIGKILL');
          disk.mend();
          expect(numbersIn(yard)).toMatch(/stop 0, cleared 0/);
          await yard.start();
          await until(
            'the boards to tell of the stop',
            async () => (await yard.picture()).mode === 'stopped',
          );
          expect((await yard.picture()).stop).toMatchObject({ latched: true, n: 1 });
          await clearedAndReplayed(shore);
        }),
      ),
    ));

  it('with every write refused: it goes out, and once writes are taken again nothing of it is missing', (ctx) =>
    onShore({ nodeArgs: OUTLIVES_THE_LIMIT }, async (shore) => {
      const { yard } = shore;
      if (!refuseWrites(yard.pid(), false)) return void ctx.skip('prlimit is not here');
      await refusedAndStopped(shore, /The disk fails/, () => {
        expect(refuseWrites(yard.pid(), true)).toBe(true);
      });
      expect(refuseWrites(yard.pid(), false)).toBe(true);
      await until(
        'the record to be written again',
        async () => (await yard.picture()).stop.bars.length === 0,
      );
      const replayed = await clearedAndReplayed(shore);
      expect(replayed.gaps).toEqual([]);
      expect(replayed.compared).toBeGreaterThan(0);
    }));
});

async function withDisk<D extends Disk>(
  ctx: { skip(why: string): void },
  disk: D | null,
  act: (disk: D) => Promise<void>,
): Promise<void> {
  if (disk === null) return ctx.skip('nobody may mount a disk here');
  try {
    await act(disk);
  } finally {
    disk.unmount();
  }
}

/** The disk begins to refuse in mid-show: that is said, nothing more is told to move, and a stop works as ever. */
async function refusedAndStopped(shore: Shore, why: RegExp, fail: () => void): Promise<void> {
  const { yard, ear } = shore;
  await moving(shore);
  fail();
  const said = await until('the disk to be said', async () => {
    const { modeWhy } = await yard.picture();
    return modeWhy && why.test(modeWhy) ? modeWhy : null;
  });
  expect(said).toMatch(/record/i);
  const from = ear.mark();
  const run = await yard.command('/api/scenes/bell-tolls/run');
  expect([run.status, await reasons(run)]).toEqual([
    409,
    [expect.objectContaining({ code: 'record-failing' })],
  ]);
  // longer than the bell's `every`
  await sleep(3500);
  expect(ear.orders(from)).toEqual([]);
  const pressed = performance.now();
  const answer = await yard.post('/api/stop', {});
  expect([answer.status, await answer.json()]).toEqual([200, { n: 1, bus: true }]);
  expect(performance.now() - pressed).toBeLessThan(1000);
  await obeyed(shore, 1);
  await still(shore);
  nothingMovesAfter(shore, 1);
  const clear = await yard.command('/api/stop/clear');
  expect([clear.status, await reasons(clear)]).toEqual([
    409,
    [expect.objectContaining({ code: 'record-failing' })],
  ]);
}

import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openJournal } from '../../server/journal/sqlite.ts';
import type { Past as PastClass } from '../../server/past/past.ts';
import { Script } from '../nights/script.ts';
import { LANDING, landing, NIGHT, OPEN_MS } from '../show/landing.ts';

const BUILT = fileURLToPath(new URL('../../dist/server/past/past.js', import.meta.url));
const built = existsSync(BUILT);
if (!built && process.env.CI === 'true') throw new Error('the daemon is not built: npm run build');

/** The past read in its own process, from a record on disk that another connection has open for writing. */
describe.skipIf(!built)('the past in its own process', () => {
  const folder = mkdtempSync(join(tmpdir(), 'dusklatch-past-'));
  const journal = openJournal(folder);
  const closeMs = OPEN_MS + 90 * 60_000;
  let past: PastClass;
  let from = 0;
  let to = 0;

  beforeAll(async () => {
    // an hour and a half with a run every two minutes, all of it after one snapshot: the longest way there is
    const runs = Array.from({ length: 44 }, (_, n) => ({
      id: `2026-10-31.crossing.${n + 1}`,
      scene: 'crossing',
      startMs: OPEN_MS + 10_000 + n * 120_000,
    }));
    const s = new Script(landing(), { night: { closeMs, quietMs: closeMs }, runs });
    s.until(closeMs);
    s.lines();
    const first = s.r.journal.latestSnapshot(0)!;
    journal.keepYard('rehearsal', LANDING);
    journal.snapshot(first.n, 'rehearsal', first.state);
    for (let after = 0; ; ) {
      const events = s.r.journal.events(after, 5000);
      if (events.length === 0) break;
      const last = events.at(-1)!.n;
      const lines = s.r.journal.lines(0, 1e6).filter(({ n }) => n > after && n <= last);
      journal.append(events, lines);
      after = last;
    }
    from = OPEN_MS;
    to = closeMs - 1000;
    const { Past } = (await import(BUILT)) as { Past: typeof PastClass };
    past = new Past({ dataDir: folder, demonstration: false }, () => null);
  });
  afterAll(() => {
    past?.close();
    journal.close();
    rmSync(folder, { recursive: true });
  });

  it('folds the longest way without the desk’s loop standing still, and nearby again at once', async () => {
    await past.nights();
    const delay = monitorEventLoopDelay({ resolution: 5 });
    delay.enable();
    const began = performance.now();
    const then = JSON.parse((await past.moment(to))!);
    const first = performance.now() - began;
    delay.disable();
    expect(then).toMatchObject({ at: to, off: false, gap: false, picture: { at: to, mode: 'open' } });
    expect(then.picture.seq).toBeGreaterThan(10_000);
    // a heartbeat goes every 250 ms; what the loop does for an answer is to pass a text on
    expect(delay.max / 1e6).toBeLessThan(120);
    const again = performance.now();
    await past.moment(to - 5000);
    expect(performance.now() - again).toBeLessThan(Math.max(500, first / 3));
  });

  it('goes on in a new process where the old one was killed', async () => {
    const { pid } = past;
    const waiting = past.moment(from + 60_000);
    process.kill(pid!, 'SIGKILL');
    await expect(waiting).rejects.toThrow('the process ended');
    expect(JSON.parse((await past.moment(from + 60_000))!).picture.at).toBe(from + 60_000);
  });

  it('takes so many questions at once and no more', async () => {
    const asked = await Promise.allSettled(
      Array.from({ length: 40 }, (_, n) => past.moment(from + n * 1000)),
    );
    const answered = asked.filter(({ status }) => status === 'fulfilled').length;
    expect(answered).toBeGreaterThanOrEqual(10);
    expect(answered).toBeLessThan(20);
    expect(await past.moment(from)).not.toBe(null);
  });

  it('tells the curves of a night, and nothing of one that it does not know', async () => {
    const told = await past.soFar('2026-10-31', OPEN_MS - NIGHT.noticeMs, journal.lastEvent());
    expect(told.amps.dock!.at.length).toBeGreaterThan(100);
    expect((await past.soFar('2026-11-01', OPEN_MS, journal.lastEvent())).night).toBe(null);
    expect(await past.course('2026-11-01')).toBe(null);
    expect(await past.moment(1000)).toBe(null);
  });
});

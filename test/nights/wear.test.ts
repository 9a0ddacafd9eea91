import { describe, expect, it } from 'vitest';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { nightReport } from '../../server/report/night-report.ts';
import { landing, NIGHT, OPEN_MS } from '../show/landing.ts';
import { Script } from './script.ts';

/*
 * A belt that wears: the ferry's stand-in goes a little slower each night, until the desk warns; then it is mended. The
 * nights are short and close behind one another, so that a season takes a second.
 */

const MINUTE_MS = 60_000;
const NIGHT_MS = 8 * MINUTE_MS;
const EVERY_MS = 15 * MINUTE_MS;

function night(index: number): NightTimes {
  const openMs = OPEN_MS + index * EVERY_MS;
  const date = `2026-10-${String(index + 1).padStart(2, '0')}`;
  return { ...NIGHT, date, openMs, closeMs: openMs + NIGHT_MS, prepareMs: openMs - MINUTE_MS, quietMs: null };
}

/** A night of four crossings; the ferry takes this long for its way, by its physics. */
function show(s: Script, index: number, travelMs: number): void {
  const tonight = night(index);
  s.standin('mend ferry').standin(`slow ferry ${(600_000 / travelMs).toFixed(1)} %`);
  s.until(tonight.openMs - MINUTE_MS);
  const runs = [0, 1, 2, 3].map((i) => ({
    id: `${tonight.date}.crossing.${i + 1}`,
    scene: 'crossing',
    startMs: tonight.openMs + 5000 + i * 100_000,
  }));
  s.r.desk.tell({ kind: 'nightDrawn', night: tonight, runs });
  s.until(tonight.closeMs + 2 * MINUTE_MS).expectMode('closed');
}

describe('a belt that wears by 400 ms a night', () => {
  // a night of its own before the season, so that the script has one to begin with
  const s = new Script(landing(), { night: { ...night(0), opensByItself: false } });
  const drifts = (): unknown => s.prop('ferry').drift;
  const nightly: unknown[] = [];
  for (let i = 1; i <= 8; i++) {
    show(s, i, 6000 + 400 * (i - 1));
    nightly.push(drifts());
  }

  it('is warned of once it can be told, with fewer nights each time, and the ferry stays in service', () => {
    const told = nightly.map((d) => (d as { nightsLeft: number } | null)?.nightsLeft ?? null);
    // not before the sixth night. Then the way takes 8.0 s, and at 400 ms a night 10 s are five nights off.
    expect(told.slice(0, 5)).toEqual([null, null, null, null, null]);
    for (const [i, left] of told.slice(5).entries()) {
      expect(left).not.toBeNull();
      expect(Math.abs(left! - (5 - i))).toBeLessThanOrEqual(1);
    }
    expect(s.prop('ferry').lockout).toBeNull();
    expect(s.lines('run-failed')).toEqual([]);
  });

  it('stands in each night’s report, with the line for the record', () => {
    const date = night(8).date;
    const about = { tonight: night(8), nowMs: night(8).closeMs };
    const report = nightReport(s.r.journal, s.yard, date, about)!;
    const out = report.travels.find((t) => t.move === 'out')!;
    expect(out.count).toBe(4);
    expect(Math.abs(out.medianMs - 8800)).toBeLessThan(300);
    const drift = report.travels.find((t) => t.drift !== null)!.drift!;
    expect(drift.nightsLeft).toBe((drifts() as { nightsLeft: number }).nightsLeft);
    expect(report.faults.map((f) => [f.code, f.lockedOut])).toEqual([['drift', false]]);
    expect(report.faults[0]!.text).toMatch(
      /^Ferry is slowing down\. .*At this rate it reaches the limit in \d nights?\./,
    );
  });

  it('ends with the first night after it is mended, and the record replays', () => {
    show(s, 9, 6000);
    expect(drifts()).toBeNull();
    s.expectLine('drift-over', /^Ferry's move '(out|back)' takes no longer from night to night any more\.$/);
    s.expectReplays();
  });
});

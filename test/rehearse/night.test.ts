import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { rehearseNight } from '../../server/rehearse/night.ts';
import { landing, NIGHT } from '../show/landing.ts';

const ONE_HOUR: NightTimes = { ...NIGHT, closeMs: NIGHT.openMs + 3_600_000 };
const LANDING = landing();
const plan = planTonight(LANDING, ONE_HOUR);

test('an undisturbed night is run as it was planned: as often, at the times, with the gaps', () => {
  const r = rehearseNight(LANDING, ONE_HOUR, plan, null);
  expect(r.breach).toBeNull();
  expect(r.late!.mostMs).toBeLessThan(2000);
  let planned = 0;
  for (const [id, s] of Object.entries(plan.scenes)) {
    const run = r.scenes[id]!;
    expect([run.planned, run.made, run.failed, run.skipped], id).toEqual([s.planned, s.planned, 0, 0]);
    expect(Math.abs(run.gapMadeMs - run.gapPlannedMs), id).toBeLessThan(2000);
    planned += s.planned;
  }
  expect(planned).toBeGreaterThan(10);
});

test('a stormy one tells what it cost: runs lacking, mends, longer gaps', () => {
  const r = rehearseNight(LANDING, ONE_HOUR, plan, 3);
  expect(r.breach).toBeNull();
  expect(r.injected.length).toBeGreaterThan(5);
  const sum = (of: (s: (typeof r.scenes)[string]) => number) =>
    Object.values(r.scenes).reduce((all, s) => all + of(s), 0);
  expect(sum((s) => s.failed + s.abandoned + s.skipped)).toBeGreaterThan(0);
  expect(r.mends).toBeGreaterThan(0);
  expect(sum((s) => s.gapMadeMs)).toBeGreaterThan(sum((s) => s.gapPlannedMs));
});

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { nightNamed } from '../../server/calendar/find.ts';
import { rfc3339 } from '../../server/calendar/local-time.ts';
import { curvesOf, SoFar } from '../../server/curves.ts';
import { readYard } from '../../server/file/read.ts';
import type { Picture } from '../../server/picture.ts';
import { planTonight } from '../../server/plan/plan.ts';

const read = readYard(readFileSync(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8'));
if (!read.ok) throw new Error('the demonstration yard has errors');
const { yard } = read;
const night = nightNamed(yard, '2026-10-30')!;
const plan = planTonight(yard, night, { steps: 20_000, stamp: (ms) => rfc3339(yard, ms) });

describe('the planned curves', () => {
  const curves = curvesOf(yard, plan, new SoFar());

  it('peak where the plan itself says, which reckons it by another way', () => {
    for (const [id, { peakAmps, limitAmps, breakerAmps }] of Object.entries(plan.circuits)) {
      const { planned, ...limits } = curves.circuits[id]!;
      expect(Math.max(...planned.amps), id).toBeCloseTo(peakAmps, 2);
      expect(limits).toMatchObject({ limitAmps, breakerAmps });
    }
    expect(Object.keys(curves.circuits)).toHaveLength(3);
  });

  it('fall as low as the plan says, never above full, and fill again', () => {
    for (const [id, { lowestPsi, workingPsi }] of Object.entries(plan.tanks)) {
      const tank = curves.tanks[id]!;
      expect(Math.min(...tank.planned.psi), id).toBeCloseTo(lowestPsi, 1);
      expect(Math.max(...tank.planned.psi), id).toBeLessThanOrEqual(tank.cutOutPsi + 0.01);
      expect(tank.workingPsi).toBeCloseTo(workingPsi, 2);
      expect(tank.planned.psi.filter((psi) => psi === tank.cutOutPsi).length).toBeGreaterThan(2);
    }
  });

  it('go from open to close in order of time', () => {
    for (const { planned } of [...Object.values(curves.circuits), ...Object.values(curves.tanks)]) {
      expect(planned.at[0]).toBe(night.openMs);
      expect(planned.at.at(-1)).toBe(night.closeMs);
      expect([...planned.at].sort((a, b) => a - b)).toEqual(planned.at);
    }
  });

  it('leave out what is skipped', () => {
    const skipped = { ...plan, runs: plan.runs.map((run) => ({ ...run, state: 'skipped' })) };
    const { planned } = curvesOf(yard, skipped, new SoFar()).circuits.dock!;
    expect(new Set(planned.amps)).toEqual(new Set([4.2]));
  });

  it('are empty without a plan', () => {
    const none = curvesOf(yard, null, new SoFar());
    expect(none.night).toBe(null);
    expect(none.circuits.dock!.planned).toEqual({ at: [], amps: [] });
  });
});

describe('what was so far', () => {
  const picture = (at: number, amps: number, psi: number, date: string | null = '2026-10-31') =>
    ({
      at,
      night: date === null ? null : { date, open: 0, close: 1, quiet: null, notice: 0 },
      circuits: { dock: { title: 'Dock', amps, limitAmps: 16, breakerAmps: 20 } },
      tanks: { shed: { title: 'Shed', psi, workingPsi: 80, cutOutPsi: 125, pumping: true } },
    }) satisfies Partial<Picture>;

  it('keeps changes, and steps of pressure that can be seen', () => {
    const soFar = new SoFar();
    for (const [at, amps, psi] of [
      [1, 4.2, 125],
      [2, 4.2, 124.8],
      [3, 6.4, 124.6],
      [4, 6.4, 124.5],
    ] as const)
      soFar.note(picture(at, amps, psi));
    expect(soFar.amps('dock')).toEqual({ at: [1, 3], amps: [4.2, 6.4] });
    expect(soFar.psi('shed')).toEqual({ at: [1, 4], psi: [125, 124.5] });
  });

  it('begins anew with each night, and where the clock was set back', () => {
    const soFar = new SoFar();
    soFar.note(picture(5, 4, 100));
    soFar.note(picture(6, 5, 100, '2026-11-01'));
    expect(soFar.amps('dock')).toEqual({ at: [6], amps: [5] });
    soFar.note(picture(2, 6, 100, '2026-11-01'));
    expect(soFar.amps('dock')).toEqual({ at: [2], amps: [6] });
    soFar.note(picture(7, 6, 100, null));
    expect(soFar.amps('dock').at).toEqual([]);
  });

  it('is bounded, and drops the oldest', () => {
    const soFar = new SoFar();
    for (let at = 0; at < 50_000; at += 1) soFar.note(picture(at, at, 100));
    const { at } = soFar.amps('dock');
    expect(at.length).toBeLessThanOrEqual(20_000);
    expect(at.at(-1)).toBe(49_999);
  });
});

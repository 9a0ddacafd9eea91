import { describe, expect, it } from 'vitest';
import { seeded } from '../../server/standin/chance.ts';
import { Machine, type MachineOptions } from '../../server/standin/physics.ts';
import { airShare, type Supply, supplyOf } from '../../server/standin/supply.ts';
import { beltSpeed, trackOf } from '../../server/standin/track.ts';
import type { Prop } from '../../server/yard/types.ts';
import { BELL, BUTTON, FERRY, GULL, HATCH, MAT, move, prop, SHED } from './saltmarsh.ts';

function machineOf(p: Prop, over: Partial<MachineOptions> = {}): Machine {
  const supply = over.supply ?? supplyOf(new Map([['shed', SHED]]), 0);
  return new Machine(p, { atMs: 0, chance: seeded(5), supply, spread: 0, ...over });
}

/** Steps the machine to `untilMs` and tells each change of a sensor: [ms, sensor, made]. */
function watch(m: Machine, untilMs: number, fromMs = 0): [number, string, boolean][] {
  const sensors = [...m.prop.sensors.keys()];
  m.advanceTo(fromMs);
  const last = new Map(sensors.map((s) => [s, m.reads(s)]));
  const seen: [number, string, boolean][] = [];
  for (let due = m.nextDue(); due !== null && due <= untilMs; due = m.nextDue()) {
    m.advanceTo(due);
    for (const s of sensors) {
      if (m.reads(s) === last.get(s)) continue;
      last.set(s, m.reads(s));
      seen.push([due, s, m.reads(s)]);
    }
  }
  m.advanceTo(untilMs);
  return seen;
}

const moveOf = (p: Prop, id: string) => p.moves.get(id)!;

describe('the belt', () => {
  // Pitches: XL 5.080 mm, L 9.525 mm, MXL 2.032 mm, as ISO 5296 names them (0.200, 0.375, 0.080 in).
  // v = n/60 · z · p at 152 rpm; figures worked by hand from the formula, XL 16T also as 8.10667 in/s.
  it.each([
    ['MXL', 16, 2.032, 82.3637],
    ['MXL', 20, 2.032, 102.9547],
    ['XL', 16, 5.08, 205.9093],
    ['XL', 20, 5.08, 257.3867],
    ['L', 16, 9.525, 386.08],
    ['L', 20, 9.525, 482.6],
  ])('%s with %i teeth of %f mm runs at %f mm/s', (_, teeth, pitchMm, mmPerS) => {
    expect(beltSpeed(152, teeth, pitchMm)).toBeCloseTo(mmPerS, 3);
  });

  it('crosses 1.4 m on XL 16T in travel over speed, from leaving one end to making the other', () => {
    const drive = { rpm: 152, teeth: 16, pitchMm: 5.08, travelMm: 1400 };
    const m = machineOf({ ...FERRY, drive });
    m.start(0, moveOf(FERRY, 'out'), null);
    const [left, made] = watch(m, 20_000);
    expect(left).toEqual([expect.any(Number), 'near', false]);
    expect(made).toEqual([expect.any(Number), 'far', true]);
    // 1400 mm / 205.9093 mm/s = 6.799 s
    expect((made![0] - left![0]) / 1000).toBeCloseTo(1400 / 205.9093, 2);
  });

  it('takes the usual time of the move where the file names no drive', () => {
    const m = machineOf(FERRY);
    m.start(0, moveOf(FERRY, 'out'), null);
    const [left, made] = watch(m, 20_000);
    expect(made![0] - left![0]).toBe(7000);
  });

  it('differs a few per cent from move to move, by the seed alone', () => {
    const times = (seed: number) => {
      const m = machineOf(FERRY, { spread: 0.03, chance: seeded(seed) });
      const took: number[] = [];
      let at = 0;
      for (let i = 0; i < 40; i += 1) {
        m.start(at, moveOf(FERRY, i % 2 === 0 ? 'out' : 'back'), null);
        const seen = watch(m, at + 7500, at);
        m.cut(seen[1]![0]);
        took.push(seen[1]![0] - seen[0]![0]);
        at += 20_000;
        m.put(at, i % 2 === 0 ? 'far' : 'near');
      }
      return took;
    };
    const took = times(1);
    expect(took).toEqual(times(1));
    expect(took).not.toEqual(times(2));
    expect(new Set(took).size).toBeGreaterThan(20);
    expect(Math.min(...took)).toBeGreaterThanOrEqual(7000 / 1.03 - 2);
    expect(Math.max(...took)).toBeLessThanOrEqual(7000 / 0.97 + 2);
  });
});

describe('stopping', () => {
  it('rolls its stopping distance at even deceleration: twice the time of going on', () => {
    const m = machineOf(FERRY, { shape: { stoppingMm: 12 } });
    m.start(0, moveOf(FERRY, 'out'), null);
    m.advanceTo(3000);
    const mm = m.truth().placeMm!;
    m.cut(3000);
    expect(m.truth()).toMatchObject({ energised: false, moving: true });
    // s = 12 mm from v = 1000/7 mm/s: t = 2·s/v = 168 ms (v² = 2·a·s)
    m.advanceTo(3167);
    expect(m.truth().moving).toBe(true);
    m.advanceTo(3169);
    expect(m.truth()).toMatchObject({ moving: false, mmPerS: 0 });
    expect(m.truth().placeMm! - mm).toBeCloseTo(12, 6);
  });

  it('stops in its end when cut there, and stands against the hard stop when not', () => {
    const cut = machineOf(FERRY);
    cut.start(0, moveOf(FERRY, 'out'), null);
    const made = watch(cut, 20_000).find((e) => e[1] === 'far')!;
    const again = machineOf(FERRY);
    again.start(0, moveOf(FERRY, 'out'), null);
    again.advanceTo(made[0]);
    again.cut(made[0]);
    expect(watch(again, 20_000, made[0])).toEqual([]);
    expect(again.reads('far')).toBe(true);
    // never cut: it runs out of the sensor into the stop, still driven
    expect(cut.reads('far')).toBe(false);
    expect(cut.truth()).toMatchObject({ energised: true, moving: false, placeMm: cut.track!.highMm });
  });
});

describe('what the file tells of a prop', () => {
  it('gives no track to what no sensor follows', () => {
    expect(trackOf(BELL)).toBeNull();
    expect(trackOf(MAT)).toBeNull();
    expect(trackOf(BUTTON)).toBeNull();
  });

  it('stands a prop at its home, or where told', () => {
    const farHome = { ...FERRY, home: 'far' };
    expect(machineOf(FERRY).reads('near')).toBe(true);
    expect(machineOf(farHome).reads('far')).toBe(true);
    expect(machineOf(FERRY, { stands: 'far' }).reads('far')).toBe(true);
    const between = machineOf(FERRY, { stands: 0.4 });
    expect(between.reads('near') || between.reads('far')).toBe(false);
  });

  it('slams a hatch out of its one end, where it stays until closed', () => {
    const m = machineOf(HATCH);
    m.start(0, moveOf(HATCH, 'slam'), 3000);
    expect(watch(m, 3000)).toEqual([[expect.any(Number), 'shut', false]]);
    expect(m.routineDone).toBe(true);
    m.cut(3000);
    expect(watch(m, 10_000, 3000)).toEqual([]);
    expect(m.truth().placeMm).toBe(m.track!.highMm);
    m.start(10_000, moveOf(HATCH, 'close'), null);
    expect(watch(m, 11_001, 10_000)).toEqual([[11_001, 'shut', true]]);
  });

  it('swings a figure out of its one end and home within its routine', () => {
    const m = machineOf(GULL);
    m.start(0, moveOf(GULL, 'swoop'), 8000);
    const seen = watch(m, 8000);
    expect(seen.map((e) => e.slice(1))).toEqual([
      ['perch', false],
      ['perch', true],
    ]);
    expect(m.routineDone).toBe(true);
  });

  it('throws a timed arm to the end that no other move leads to', () => {
    const arm = prop('arm', {
      sensors: { down: 'end', up: 'end' },
      home: 'down',
      moves: [move('raise', { lasts: 2000 }), move('lower', { until: 'down', usual: 2000, limit: 6000 })],
    });
    const m = machineOf(arm);
    m.start(0, arm.moves.get('raise')!, 2000);
    expect(watch(m, 2000).map((e) => e.slice(1))).toEqual([
      ['down', false],
      ['up', true],
    ]);
    expect(m.reads('up')).toBe(true);
  });

  it('takes the usual time between any two of three ends', () => {
    const diver = prop('diver', {
      sensors: { deep: 'end', middle: 'end', top: 'end' },
      home: 'deep',
      moves: ['deep', 'middle', 'top'].map((s) => move(`to-${s}`, { until: s, usual: 4000, limit: 9000 })),
    });
    for (const [from, to] of [
      ['deep', 'top'],
      ['deep', 'middle'],
      ['middle', 'top'],
      ['top', 'middle'],
      ['top', 'deep'],
    ]) {
      const m = machineOf(diver, { stands: from! });
      m.start(0, diver.moves.get(`to-${to}`)!, null);
      const seen = watch(m, 6000);
      const left = seen.find((e) => e[1] === from)![0];
      const made = seen.find((e) => e[1] === to && e[2])![0];
      expect([from, to, Math.abs(made - left - 4000) <= 1]).toEqual([from, to, true]);
      // never two at once
      expect(seen.filter((e) => e[2]).length).toBeLessThanOrEqual(2);
    }
  });

  it('is driven the same way whatever the order of its ends in the file', () => {
    const turned = prop('ferry', {
      sensors: { far: 'end', near: 'end' },
      home: 'near',
      moves: [...FERRY.moves.values()],
    });
    const m = machineOf(turned);
    m.start(0, moveOf(FERRY, 'out'), null);
    expect(watch(m, 7200).map((e) => e.slice(1))).toEqual([
      ['near', false],
      ['far', true],
    ]);
  });

  it('presses a mat for as long as told', () => {
    const m = machineOf(MAT);
    m.advanceTo(1000);
    m.press(1000, 'step', 500);
    expect(m.reads('step')).toBe(true);
    expect(watch(m, 5000, 1000)).toEqual([[1500, 'step', false]]);
    m.press(5000, 'step', null);
    m.advanceTo(500_000);
    expect(m.reads('step')).toBe(true);
    m.release(500_000, 'step');
    expect(m.reads('step')).toBe(false);
  });
});

describe('air', () => {
  // ORNL AMO-Tools-Suite, CompressedAir tests: 660 gal from 110 to 100 psi give 60.024 scf with its constants 7.48 gal/cf
  // and 14.7 psi. With the yard's constants (7.48052 gal/cf, 14.6959 psi) the same tank gives 60.037.
  it('gives the free air between two pressures, as a receiver does', () => {
    const gal = 3.785411784;
    const tank = { ...SHED, volumeLitres: 660 * gal, cutOutKpa: 110 * 6.894757, cutInKpa: 0, workingKpa: 0 };
    const supply = supplyOf(new Map([['shed', tank]]), 0);
    const litres = 60.0240096 * 28.316846592;
    expect(supply.draw(0, 'shed', litres) / 6.894757).toBeCloseTo(100, 1);
  });

  it('is one tank for all that draw from it, filled by its compressor from cut-in to cut-out', () => {
    const supply = supplyOf(new Map([['shed', SHED]]), 0);
    const hatch = machineOf(HATCH, { supply });
    const other = machineOf({ ...HATCH, id: 'coffin' }, { supply });
    const full = supply.kpa(0, 'shed');
    expect(full).toBeCloseTo(SHED.cutOutKpa, 6);
    hatch.start(0, moveOf(HATCH, 'slam'), 3000);
    other.start(0, moveOf(HATCH, 'slam'), 3000);
    // Boyle, isothermal: 2 × 2.4 l of free air out of 22.712 l: 4.8 × 101.325 / 22.712 = 21.41 kPa
    expect(full - supply.kpa(0, 'shed')).toBeCloseTo(21.41, 2);
    for (let i = 0; i < 20; i += 1) supply.draw(0, 'shed', 2.4);
    const low = supply.kpa(0, 'shed');
    expect(low).toBeLessThan(SHED.cutInKpa);
    expect(supply.kpa(60_000, 'shed')).toBeGreaterThan(low);
    expect(supply.kpa(3_600_000, 'shed')).toBeCloseTo(SHED.cutOutKpa, 6);
  });

  it('slows a pneumatic move below the working pressure and stops it where there is next to none', () => {
    expect(airShare(120, 70)).toBe(1);
    expect(airShare(70, 70)).toBe(1);
    expect(airShare(35, 70)).toBe(0.5);
    expect(airShare(10, 70)).toBe(0);
    const supply: Supply = supplyOf(new Map([['shed', { ...SHED, deliveryLpm: 0 }]]), 0);
    supply.drain(0, 'shed');
    const m = machineOf(HATCH, { supply });
    m.start(0, moveOf(HATCH, 'slam'), 3000);
    expect(watch(m, 60_000)).toEqual([]);
    expect(m.routineDone).toBe(false);
    expect(supply.kpa(60_000, 'shed')).toBe(0);
    // closing uses no air and goes all the same
    m.cut(60_000);
    m.put(60_000, 1);
    m.start(60_000, moveOf(HATCH, 'close'), null);
    expect(watch(m, 70_000, 60_000)[0]).toEqual([61_001, 'shut', true]);
  });
});

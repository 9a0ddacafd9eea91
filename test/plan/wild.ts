import fc from 'fast-check';
import type { Need, Prop, Scene } from '../../server/yard/types.ts';
import {
  type Case,
  circuitOf,
  load,
  moveOf,
  nightOf,
  propOf,
  sceneOf,
  tankOf,
  yardOf,
  zoneOf,
} from './yards.ts';

/**
 * Small yards of every kind, sensible or not: shared props, needs across scenes, tanks of any size, duties, surges,
 * rests, gaps, loud moves after quiet, scenes that can never run.
 */
export const wildCase: fc.Arbitrary<Case> = fc
  .record({
    minutes: fc.integer({ min: 5, max: 40 }),
    quiet: fc.option(fc.integer({ min: 0, max: 45 })),
    breaker: fc.integer({ min: 2, max: 20 }),
    standing: fc.integer({ min: 0, max: 3 }),
    tank: fc.record({
      volumeLitres: fc.integer({ min: 3, max: 30 }),
      workingKpa: fc.integer({ min: 300, max: 600 }),
      cutInKpa: fc.integer({ min: 600, max: 700 }),
      cutOutKpa: fc.integer({ min: 710, max: 900 }),
      deliveryLpm: fc.integer({ min: 1, max: 60 }),
    }),
    zones: fc.array(fc.record({ atMost: fc.integer({ min: 1, max: 3 }), gap: seconds(0, 30) }), {
      minLength: 1,
      maxLength: 2,
    }),
    props: fc.array(
      fc.record({
        rest: seconds(0, 40),
        duty: fc.option(fc.record({ on: fc.integer({ min: 10, max: 100 }), over: seconds(60, 600) })),
        home: fc.boolean(),
        away: seconds(1, 40),
        back: seconds(1, 40),
        nod: seconds(1, 60),
        run: fc.integer({ min: 0, max: 60 }),
        surge: fc.integer({ min: 0, max: 60 }),
        surgeMs: fc.integer({ min: 0, max: 3000 }),
        litres: fc.integer({ min: 0, max: 60 }),
        loud: fc.boolean(),
        needs: fc.array(
          fc.record({
            move: fc.constantFrom('away', 'back', 'nod'),
            of: fc.nat(),
            kind: fc.integer({ min: 0, max: 5 }),
          }),
          { maxLength: 1 },
        ),
      }),
      { minLength: 2, maxLength: 5 },
    ),
    scenes: fc.array(
      fc.record({
        zone: fc.option(fc.nat()),
        every: seconds(40, 600),
        vary: fc.integer({ min: 0, max: 40 }),
        weight: fc.constantFrom(1, 1, 2, 3, 0.5, 0),
        rest: seconds(0, 60),
        tidy: fc.option(fc.nat(), { freq: 4 }),
        steps: fc.array(
          fc.record({
            kind: fc.integer({ min: 0, max: 5 }),
            prop: fc.nat(),
            other: fc.nat(),
            move: fc.constantFrom('away', 'back', 'nod'),
            wait: fc.integer({ min: 1, max: 20_000 }),
          }),
          { minLength: 1, maxLength: 4 },
        ),
      }),
      { minLength: 1, maxLength: 5 },
    ),
    seed: fc.nat(1000),
  })
  .map((w) => {
    const id = (n: number) => `p${n % w.props.length}`;
    const props = w.props.map((p, i): Prop => {
      const loads = [load('c', p.run / 10, (p.run + p.surge) / 10, p.surgeMs)];
      const needsOf = (move: string) =>
        p.needs.filter((n) => n.move === move).map((n): Need => needOf(n.kind, id(n.of)));
      return propOf(
        `p${i}`,
        [
          moveOf('away', p.away, { until: 'far', loads, loud: p.loud, needs: needsOf('away') }),
          moveOf('back', p.back, { until: 'near', loads, needs: needsOf('back') }),
          moveOf('nod', p.nod, {
            air: p.litres > 0 ? [{ tank: 't', litres: p.litres / 10 }] : [],
            needs: needsOf('nod'),
          }),
        ],
        {
          restMs: p.rest,
          duty: p.duty ? { on: p.duty.on / 100, overMs: p.duty.over } : null,
          sensors: new Map([
            ['near', { id: 'near', kind: 'end' }],
            ['far', { id: 'far', kind: 'end' }],
            ['step', { id: 'step', kind: 'plain' }],
          ]),
          home: p.home ? 'near' : null,
        },
      );
    });
    const scenes = w.scenes.map((s, i): Scene => {
      const steps = s.steps.map((x) => {
        if (x.kind === 0) return x.wait;
        const one = `${id(x.prop)}.${x.move}`;
        // Never the same prop twice at once: that is no scene at all.
        return x.kind === 1 && id(x.other) !== id(x.prop) ? [one, `${id(x.other)}.nod`] : one;
      });
      return sceneOf(`s${i}`, steps, {
        zone: s.zone === null ? null : `z${s.zone % w.zones.length}`,
        everyMs: s.every,
        vary: s.vary / 100,
        weight: s.weight,
        restMs: s.rest,
        ifItFails: s.tidy === null ? [] : [{ prop: id(s.tidy), move: 'back' }],
      });
    });
    const yard = yardOf({
      seed: w.seed,
      circuits: [circuitOf('c', w.breaker, { standingAmps: w.standing }), circuitOf('air', 50)],
      tanks: [
        tankOf('t', w.seed % 2 === 0 ? 'c' : 'air', {
          ...w.tank,
          compressor: { circuit: w.seed % 2 === 0 ? 'c' : 'air', amps: 1 },
        }),
      ],
      zones: w.zones.map((z, i) => zoneOf(`z${i}`, z.atMost, z.gap)),
      props,
      scenes,
    });
    return { name: 'wild', yard, night: nightOf(w.minutes, w.quiet) };
  });

function seconds(min: number, max: number): fc.Arbitrary<number> {
  // Mostly whole seconds, so that ends and starts meet exactly.
  return fc.oneof(
    { weight: 3, arbitrary: fc.integer({ min, max }).map((s) => s * 1000) },
    { weight: 1, arbitrary: fc.integer({ min: min * 1000, max: max * 1000 }) },
  );
}

function needOf(kind: number, prop: string): Need {
  if (kind === 0) return { kind: 'at-rest', prop };
  if (kind === 1) return { kind: 'at-home', prop };
  if (kind === 2) return { kind: 'made', prop, sensor: 'far' };
  if (kind === 3) return { kind: 'made', prop, sensor: 'near' };
  if (kind === 4) return { kind: 'not-made', prop, sensor: 'far' };
  return { kind: 'made', prop, sensor: 'step' };
}

import { expect, test } from 'vitest';
import { planTonight } from '../../server/plan/plan.ts';
import { whatIf } from '../../server/plan/what-if.ts';
import { circuitOf, load, moveOf, nightOf, propOf, sceneOf, tankOf, yardOf, zoneOf } from './yards.ts';

const go = (amps: number) => moveOf('go', 60_000, { loads: [load('dock', amps)] });
const minutely = (id: string, zone: string | null = null) =>
  sceneOf(id, [`${id}.go`], { everyMs: 60_000, zone });

test('moving the compressor makes room where two scenes a minute long want every minute and one fits beside it', () => {
  // 80 % of 15 A is 12 A: a scene of 5 A beside a compressor of 6 A, or two without it.
  const yard = yardOf({
    circuits: [circuitOf('dock', 15)],
    tanks: [tankOf('shed', 'dock')],
    props: [propOf('a', [go(5)]), propOf('b', [go(5)])],
    scenes: [minutely('a'), minutely('b')],
  });
  const night = nightOf(10);
  const plan = planTonight(yard, night);
  expect(Object.values(plan.scenes).reduce((sum, s) => sum + s.planned, 0)).toBe(10);
  expect(whatIf(yard, night, plan)).toEqual([
    'With the compressor of shed on another circuit all 20 runs fit.',
    'If props of dock were on other circuits (dock alone would have to bear 16 A at once, not 12 A), all 20 runs fit.',
  ]);
});

test('of a full circuit the prop that wants most is tried where there is room for it, and nowhere else', () => {
  // 12 A for hours on the dock: a of 8 A and b of 6 A a minute long want every minute, and take turns. The porch has
  // 12 A free and bears a; the shed has 4 A and bears neither.
  const yard = yardOf({
    circuits: [circuitOf('dock', 15), circuitOf('shed', 5), circuitOf('porch', 15)],
    props: [propOf('b', [go(6)]), propOf('a', [go(8)])],
    scenes: [minutely('a'), minutely('b')],
  });
  const night = nightOf(10);
  const plan = planTonight(yard, night);
  expect(Object.values(plan.scenes).reduce((sum, s) => sum + s.planned, 0)).toBe(10);
  expect(whatIf(yard, night, plan)).toEqual([
    'With a on porch all 20 runs fit.',
    'If props of dock were on other circuits (dock alone would have to bear 14 A at once, not 12 A), all 20 runs fit.',
  ]);
});

test('of a zone that is full, one more at once and no gap are tried', () => {
  const yard = yardOf({
    zones: [zoneOf('quay', 1, 60_000)],
    props: [propOf('a', [moveOf('go', 60_000)]), propOf('b', [moveOf('go', 60_000)])],
    scenes: [minutely('a', 'quay'), minutely('b', 'quay')],
  });
  const night = nightOf(11);
  const plan = planTonight(yard, night);
  // A run and its gap take 2 minutes of 11, the last gap reaching past close: 6 runs of 22; without the gap 11. With
  // two at once each scene can still start only every other minute, for the gap of the run before fills one of two places.
  expect(Object.values(plan.scenes).reduce((sum, s) => sum + s.planned, 0)).toBe(6);
  expect(whatIf(yard, night, plan)).toEqual([
    'With two at once in quay 12 of 22 runs fit.',
    'Without the 1 min between in quay 11 of 22 runs fit.',
  ]);
});

test('the night is planned anew by the durations of the plan: those measured where it was made with them', () => {
  // By the file a move takes 5 s, and six scenes of one carriage a minute fit; measured, it takes 20 s.
  const cart = propOf('cart', [moveOf('out', 5000, { until: 'far' })], {
    sensors: new Map([['far', { id: 'far', kind: 'end' }]]),
    restMs: 2000,
  });
  const yard = yardOf({
    props: [cart],
    scenes: ['a', 'b', 'c', 'd', 'e', 'f'].map((id) => sceneOf(id, ['cart.out'], { everyMs: 60_000 })),
  });
  const night = nightOf(10);
  const plan = planTonight(yard, night, { expects: { 'cart.out': 20_000 } });
  // 22 s from start to start in 10 minutes: 27 runs; with half the rest 28 of the 60 (21 s each: 28 starts by 580 s).
  expect(Object.values(plan.scenes).reduce((sum, s) => sum + s.planned, 0)).toBe(27);
  expect(whatIf(yard, night, plan)).toEqual([
    'If cart rested 1 s (only if it bears that) 28 of 60 runs fit.',
  ]);
});

test('nothing would help where nothing is lacking', () => {
  const yard = yardOf({
    props: [propOf('a', [moveOf('go', 10_000)])],
    scenes: [minutely('a')],
  });
  expect(whatIf(yard, nightOf(10), planTonight(yard, nightOf(10)))).toEqual([]);
});

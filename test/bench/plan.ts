import { mendTonight } from '../../server/plan/mend.ts';
import { planTonight } from '../../server/plan/plan.ts';
import { problemOf } from '../../server/plan/problem.ts';
import type { TonightPlan } from '../../server/plan/tonight.ts';
import { exactBest } from '../plan/exact.ts';
import { stateOf } from '../plan/night-state.ts';
import { type Case, caseOf, type Recipe, SMALL } from '../plan/yards.ts';
import { growthRows, median, type Row, row } from './row.ts';

const MINUTE = 60_000;
const TIMES = 7;

/** A yard whose circuits are a tenth too small for what is wanted and whose zones are nearly full. */
function crowded(scenes: number, hours: number): Case {
  const recipe: Recipe = {
    seed: 5,
    scenes,
    hours,
    everyMs: [3 * MINUTE, 8 * MINUTE],
    lengthMs: [MINUTE, 2.5 * MINUTE],
    gridMs: 1000,
    vary: 0.1,
    circuit: 1.1,
    zone: 0.9,
    perCircuit: 12,
    perZone: 6,
  };
  return caseOf(`${scenes}`, recipe);
}

/** Small yards tight on one rule each. */
const PROVED: readonly Case[] = [
  { circuit: 1.1 },
  { circuit: 2, weights: [1, 2, 0.5] },
  { zone: 1 },
  { duty: 1.4 },
  { surge: 1.5, circuit: 0.9 },
  { prop: 1, everyMs: [3 * MINUTE, 5 * MINUTE] as const },
].flatMap((more) =>
  [8, 9].map((seed) =>
    caseOf(`${seed}`, {
      ...SMALL,
      ...more,
      seed,
    }),
  ),
);

/**
 * Tonight's plan: how long it takes, how much of the bound it reaches, what a general solver makes of small yards
 * (HiGHS, highs.dev), and how long the mending of one late end takes beside making the plan anew.
 */
export async function benchPlan(): Promise<Row[]> {
  const rows: Row[] = [];
  for (const [scenes, hours, aim] of [
    [12, 5, '—'],
    [60, 6, '<= 300 ms'],
    [500, 6, '<= 3000 ms'],
  ] as const) {
    const { yard, night } = crowded(scenes, hours);
    const { ms, value: plan } = timed(() => planTonight(yard, night), scenes > 100 ? 3 : TIMES);
    const name = `plan, ${scenes} scenes × ${hours} h`;
    const seconds = ms / 1000;
    rows.push({
      work: name,
      ours: ms,
      floor: plan.runs.length,
      unit: 'ms (runs)',
      ratio: ms / plan.runs.length,
      aim,
      note: `${Math.round(plan.runs.length / seconds)} runs a second`,
    });
    rows.push(row(`${name}: level of bound`, plan.level, plan.bound.level, '', '>= 0.95'));
    const gaps = Object.entries(plan.scenes).map(
      ([id, s]) => (s.longestGap * 1000) / yard.scenes.get(id)!.everyMs!,
    );
    rows.push(
      row(
        `${name}: worth of bound`,
        plan.worth,
        plan.bound.worth,
        '',
        '>= 0.97',
        `median gap ${median(gaps).toFixed(2)} × every`,
      ),
    );
    if (scenes === 60) rows.push(mendRow({ yard, night, name: '' }, plan, ms));
  }
  return [...rows, ...(await small())];
}

async function small(): Promise<Row[]> {
  let [level, best, worth, most, ours, solver] = [0, 0, 0, 0, 0, 0];
  let proved = 0;
  for (const { yard, night } of PROVED) {
    const { ms, value: plan } = timed(() => planTonight(yard, night), 1);
    const before = performance.now();
    const exact = await exactBest(problemOf(yard, night), MINUTE);
    solver += performance.now() - before;
    ours += ms;
    if (!exact) continue;
    proved += 1;
    level += plan.level;
    best += exact.level;
    worth += plan.worth;
    most += exact.worth;
  }
  const note = `${proved} of ${PROVED.length} yards proved by HiGHS`;
  return [
    row('plan, small yards: level', level / proved, best / proved, '', '= 1', note),
    row('plan, small yards: worth', worth / proved, most / proved, '', '= 1', note),
    row('plan, small yards: time', ours / PROVED.length, solver / PROVED.length, 'ms', '—', 'beside HiGHS'),
  ];
}

/** One run ends 45 s late: the rest is mended. */
function mendRow({ yard, night }: Case, plan: TonightPlan, planMs: number): Row {
  const late = plan.runs[100]!;
  const end = late.end + 45;
  const begun = plan.runs
    .filter((r) => r.start < late.end)
    .map((r) =>
      r === late ? { ...r, end, steps: r.steps.map((s) => (s.end === late.end ? { ...s, end } : s)) } : r,
    );
  const state = stateOf(yard, night, begun, late.end, plan);
  const { ms } = timed(() => mendTonight(yard, night, state), 21);
  return row('mend one late end, 60 × 6 h', ms, planMs, 'ms', '<= 20 ms', 'beside making it anew');
}

/** Plan and mend at 10, 100 and 1,000 props, and how fast they grow: 1 is in proportion. */
export async function benchPlanGrowth(): Promise<Row[]> {
  const sizes = [10, 100, 1000];
  const plans: number[] = [];
  const mends: number[] = [];
  for (const scenes of sizes) {
    const { yard, night } = crowded(scenes, 3);
    const { ms, value: plan } = timed(() => planTonight(yard, night), scenes > 500 ? 2 : 5);
    plans.push(ms);
    mends.push(mendRow({ yard, night, name: '' }, plan, ms).ours);
  }
  return [...growthRows('plan', sizes, plans), ...growthRows('mend', sizes, mends)];
}

function timed<T>(work: () => T, times: number): { ms: number; value: T } {
  const taken: number[] = [];
  let value = work();
  for (let k = 0; k < times; k++) {
    const before = performance.now();
    value = work();
    taken.push(performance.now() - before);
  }
  return { ms: median(taken), value };
}

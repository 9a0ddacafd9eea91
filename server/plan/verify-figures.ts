import type { Scene, Yard } from '../yard/types.ts';
import type { NightTimes, TonightPlan } from './tonight.ts';
import { type Breach, moveIn, ms } from './verify-runs.ts';

/** Whether what the plan says of itself is so: counts, gaps, peaks, level, worth, bound. */
export function figureBreaches(yard: Yard, night: NightTimes, plan: TonightPlan): Breach[] {
  const found: Breach[] = [];
  const say = (id: string, what: string, said: unknown, is: unknown) =>
    found.push({ rule: 'figure', id, at: 0, runs: [], text: `${what} is said to be ${said}, it is ${is}` });
  const aimed = [...yard.scenes.values()].filter((s) => s.everyMs !== null);
  if (Object.keys(plan.scenes).join() !== aimed.map((s) => s.id).join())
    say('scenes', 'the list of scenes', Object.keys(plan.scenes), 'that of scenes with every');
  let level = 1;
  let had = 0;
  let aim = 0;
  for (const scene of aimed) {
    const said = plan.scenes[scene.id];
    if (!said) continue;
    const starts = plan.runs.filter((r) => r.scene === scene.id).map((r) => ms(r.start));
    const last = lastStartMs(yard, night, plan, scene);
    const wanted = last < 0 ? 0 : Math.floor(last / scene.everyMs!) + 1;
    if (said.wanted !== wanted) say(scene.id, 'wanted', said.wanted, wanted);
    if (said.planned !== starts.length) say(scene.id, 'planned', said.planned, starts.length);
    const gap = longestGapMs(starts, last);
    if (Math.abs(said.longestGap * 1000 - gap) > 1) say(scene.id, 'longestGap', said.longestGap, gap / 1000);
    const counted = Math.min(starts.length, wanted);
    had += scene.weight * counted;
    aim += scene.weight * wanted;
    if (counted < wanted && scene.weight > 0) level = Math.min(level, counted / wanted / scene.weight);
    const short = counted < wanted || (wanted > 0 && gap > scene.everyMs! * (1 + scene.vary) + 1);
    if (!short && said.boundBy !== null) say(scene.id, 'boundBy', said.boundBy.rule, null);
    if (short && said.boundBy === null) say(scene.id, 'boundBy', null, 'some rule');
  }
  const worth = aim > 0 ? had / aim : 1;
  if (Math.abs(plan.level - level) > 1e-9) say('plan', 'level', plan.level, level);
  if (Math.abs(plan.worth - worth) > 1e-9) say('plan', 'worth', plan.worth, worth);
  if (plan.bound.level < level - 1e-6) say('plan', 'the bound of level', plan.bound.level, 'exceeded');
  if (plan.bound.worth < worth - 1e-6) say('plan', 'the bound of worth', plan.bound.worth, 'exceeded');
  peaks(yard, plan, say);
  return found;
}

type Say = (id: string, what: string, said: unknown, is: unknown) => void;

function peaks(yard: Yard, plan: TonightPlan, say: Say): void {
  const near = (a: number | undefined, b: number) => a !== undefined && Math.abs(a - b) <= 0.0051;
  for (const circuit of yard.circuits.values()) {
    const standing = [...yard.tanks.values()].reduce(
      (sum, t) => (t.compressor.circuit === circuit.id ? sum + t.compressor.amps : sum),
      circuit.standingAmps,
    );
    const running: Rise[] = [];
    const surging: Rise[] = [];
    for (const run of plan.runs)
      for (const s of run.steps)
        for (const load of moveIn(yard, s).loads) {
          if (load.circuit !== circuit.id) continue;
          const [from, to] = [ms(s.start), ms(s.end)];
          const surged = Math.min(to, from + load.surgeMs);
          running.push({ at: from, amps: load.runAmps }, { at: to, amps: -load.runAmps });
          surging.push(
            { at: from, amps: load.surgeAmps },
            { at: surged, amps: load.runAmps - load.surgeAmps },
          );
          surging.push({ at: to, amps: -load.runAmps });
        }
    const said = plan.circuits[circuit.id];
    const [peak, peakSurge] = [standing + highest(running), standing + highest(surging)];
    if (!near(said?.peakAmps, peak)) say(circuit.id, 'peakAmps', said?.peakAmps, peak);
    if (!near(said?.peakSurgeAmps, peakSurge))
      say(circuit.id, 'peakSurgeAmps', said?.peakSurgeAmps, peakSurge);
  }
}

interface Rise {
  readonly at: number;
  readonly amps: number;
}

/** Highest sum over time; what falls at an instant falls before what rises at it. */
function highest(rises: Rise[]): number {
  rises.sort((a, b) => a.at - b.at || a.amps - b.amps);
  let [sum, most] = [0, 0];
  for (const r of rises) {
    sum += r.amps;
    most = Math.max(most, sum);
  }
  return most;
}

/** The latest start that ends by close and whose loud moves end by quiet. */
function lastStartMs(yard: Yard, night: NightTimes, plan: TonightPlan, scene: Scene): number {
  let at = 0;
  let loudEnd = 0;
  for (const step of scene.steps) {
    if (step.kind === 'wait') {
      at += step.ms;
      continue;
    }
    let longest = 0;
    for (const m of step.kind === 'together' ? step.moves : [step]) {
      const move = moveIn(yard, m);
      const key = `${m.prop}.${m.move}`;
      const measured = Object.hasOwn(plan.expects, key) ? plan.expects[key]! * 1000 : move.usualMs;
      const lasts = move.lastsMs ?? measured;
      longest = Math.max(longest, lasts);
      if (move.loud) loudEnd = Math.max(loudEnd, at + lasts);
    }
    at += longest;
  }
  const last = Math.floor(night.closeMs - night.openMs) - Math.round(at);
  if (night.quietMs === null || loudEnd === 0) return last;
  return Math.min(last, Math.floor(night.quietMs - night.openMs) - Math.round(loudEnd));
}

/** Open → first start and last start → latest possible count as gaps too. */
function longestGapMs(starts: readonly number[], last: number): number {
  const marks = [0, ...starts, Math.max(0, last)];
  return marks.reduce((gap, at, k) => (k === 0 ? 0 : Math.max(gap, at - marks[k - 1]!)), 0);
}

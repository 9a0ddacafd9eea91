import type { Scene, Yard } from '../yard/types.ts';
import { ampsOf, type Point } from './curves.ts';
import { hundredths, psi } from './report.ts';
import type { BindingRule, PlanRun, ScenePlan, TonightPlan } from './tonight.ts';

/** Writes a moment, in seconds from open, as the local time of day. */
export type Clock = (seconds: number) => string;

/** The local time of day by the offset that holds at open; a change of the clocks in the night needs the calendar's. */
export function clockOf(plan: TonightPlan): Clock {
  const [, hour, minute, second] = /T(\d\d):(\d\d):(\d\d)/.exec(plan.open) ?? ['', '0', '0', '0'];
  const open = Number(hour) * 3600 + Number(minute) * 60 + Number(second);
  return (seconds) => {
    const minutes = Math.floor((open + seconds) / 60);
    const two = (n: number) => String(n).padStart(2, '0');
    return `${two(Math.floor(minutes / 60) % 24)}:${two(minutes % 60)}`;
  };
}

/**
 * What the plan achieves and, for each scene short of its aim, which rule binds it, when, and what would help:
 * sentences for the builder, the total first.
 */
export function explainPlan(yard: Yard, plan: TonightPlan, clock: Clock = clockOf(plan)): string[] {
  const scenes = Object.entries(plan.scenes);
  const { wanted, planned } = countsOf(plan);
  if (wanted === 0)
    return ['No scene wants a run tonight: none has an aim that fits between open and close.'];
  const said = [
    planned === wanted
      ? `All ${wanted} wanted runs are planned.`
      : `Planned ${planned} of ${wanted} wanted runs. The scene worst off gets ${percent(plan.level)} of its share; ` +
        `no plan could give it more than ${percent(plan.bound.level)}. By weight ${percent(plan.worth)} of what is wanted ` +
        `is planned; no plan could reach more than ${percent(plan.bound.worth)}.`,
  ];
  // What one rule keeps from several scenes is said once.
  const groups = new Map<string, { scene: Scene; s: ScenePlan }[]>();
  for (const [id, s] of scenes) {
    const scene = yard.scenes.get(id)!;
    if (!s.boundBy || bearable(scene, s)) continue;
    const key = SHARED_RULES.has(s.boundBy.rule) ? `${s.boundBy.rule} ${s.boundBy.id}` : `scene ${id}`;
    groups.set(key, [...(groups.get(key) ?? []), { scene, s }]);
  }
  for (const group of groups.values()) said.push(shortBy(yard, plan, group, clock));
  return said;
}

/** Rules that several scenes run into alike. */
const SHARED_RULES: ReadonlySet<BindingRule> = new Set(['circuit', 'surge', 'tank', 'zone']);

/** Runs wanted of all scenes together, and how many of these are planned: none counts beyond what its scene wants. */
export function countsOf(plan: TonightPlan): { wanted: number; planned: number } {
  const scenes = Object.values(plan.scenes);
  return {
    wanted: scenes.reduce((sum, s) => sum + s.wanted, 0),
    planned: scenes.reduce((sum, s) => sum + Math.min(s.planned, s.wanted), 0),
  };
}

/** All runs are there, and no gap is so much longer than aimed at that a guest would notice. */
function bearable(scene: Scene, s: ScenePlan): boolean {
  return s.planned >= s.wanted && s.longestGap * 1000 <= scene.everyMs! * (1 + scene.vary) * 1.1;
}

function shortBy(
  yard: Yard,
  plan: TonightPlan,
  group: readonly { readonly scene: Scene; readonly s: ScenePlan }[],
  clock: Clock,
): string {
  const lead = group.map(({ scene, s }) => leadOf(scene, s)).join('; ');
  const lacking = ({ s }: { readonly s: ScenePlan }) => s.wanted - s.planned;
  const { scene, s } = group.reduce((a, b) => (lacking(b) > lacking(a) ? b : a));
  const { rule, id } = s.boundBy!;
  const when = fullWhen(yard, plan, scene, rule, id, clock);
  switch (rule) {
    case 'circuit': {
      const peak = plan.circuits[id]!;
      return `${lead}. No room on ${titleOf(yard.circuits, id)}${when}: up to ${peak.peakAmps} of the ${peak.limitAmps} A it bears for hours, and a run of ${scene.title} takes ${hundredths(mostAmps(yard, scene, id, false))} A. Move a prop to another circuit, or ask for fewer runs.`;
    }
    case 'surge': {
      const peak = plan.circuits[id]!;
      return `${lead}. No room for its surge on ${titleOf(yard.circuits, id)}${when}: surges reach ${peak.peakSurgeAmps} of the breaker's ${peak.breakerAmps} A, and ${scene.title} starts with ${hundredths(mostAmps(yard, scene, id, true))} A. Move a motor to another circuit.`;
    }
    case 'tank': {
      const tank = yard.tanks.get(id)!;
      const { lowestPsi, workingPsi } = plan.tanks[id]!;
      if (lowestPsi >= psi(tank.cutOutKpa))
        return `${lead}. One run draws more air than ${tank.title} holds between full (${psi(tank.cutOutKpa)} psi) and ${workingPsi} psi, from which it works. Draw less, or fit a larger tank.`;
      return `${lead}. ${tank.title} runs out of air: down to ${lowestPsi} psi, it works from ${workingPsi} psi (cut-out ${psi(tank.cutOutKpa)} psi, ${hundredths(tank.deliveryLpm)} l a minute come in). Draw less, or fit a larger compressor.`;
    }
    case 'zone': {
      const zone = yard.zones.get(id)!;
      const gap = zone.gapMs > 0 ? ` and ${minutes(zone.gapMs / 1000)} between` : '';
      return `${lead}. No room in ${zone.title}${when}: at most ${zone.atMost} at once${gap}. Allow more at once, shorten the gap, or ask for fewer runs there.`;
    }
    case 'prop': {
      const prop = yard.props.get(id)!;
      const rest = prop.restMs > 0 ? ` and rests ${minutes(prop.restMs / 1000)} after each` : '';
      return `${lead}. ${prop.title} is held by one scene at a time${rest}. Use it in fewer scenes, or shorten its rest.`;
    }
    case 'scene':
      return `${lead}. Its own length and rest leave no more room: ${ownLength(plan, scene)}rest ${minutes(scene.restMs / 1000)}, aimed at every ${minutes(scene.everyMs! / 1000)}.`;
    case 'duty': {
      const { on, overMs } = yard.props.get(id)!.duty!;
      return `${lead}. ${yard.props.get(id)!.title} may move ${percent(on)} of any ${minutes(overMs / 1000)}. Let it rest less only if its motor bears that.`;
    }
    case 'quiet':
      return `${lead}. Its loud moves must end by quiet. Begin the quiet later, or take the loud move out.`;
  }
}

function leadOf(scene: Scene, s: ScenePlan): string {
  return s.planned < s.wanted
    ? `${scene.title}: ${s.planned} of ${s.wanted} wanted`
    : `${scene.title}: all ${s.wanted} runs, but once ${minutes(s.longestGap)} without one; the aim is ${minutes(scene.everyMs! / 1000)}`;
}

function ownLength(plan: TonightPlan, scene: Scene): string {
  const run = plan.runs.find((r) => r.scene === scene.id);
  return run ? `${minutes(run.end - run.start)} long, ` : '';
}

/** In what stretch of the night the rule leaves the scene no room, where that can be said: ' from 20:10 to 21:40'. */
function fullWhen(
  yard: Yard,
  plan: TonightPlan,
  scene: Scene,
  rule: BindingRule,
  id: string,
  clock: Clock,
): string {
  if (rule !== 'circuit' && rule !== 'surge' && rule !== 'zone') return '';
  const full =
    rule === 'zone'
      ? zoneFull(yard, plan.runs, id)
      : circuitFull(yard, plan.runs, scene, id, rule === 'surge');
  const longest = longestStretch(full);
  if (!longest) return '';
  return ` from ${clock(longest.from / 1000)} to ${clock(longest.to / 1000)}`;
}

/** Steps of 1 where the circuit has no room for the scene's largest draw on it, else 0. */
function circuitFull(
  yard: Yard,
  runs: readonly PlanRun[],
  scene: Scene,
  id: string,
  surges: boolean,
): Point[] {
  const circuit = yard.circuits.get(id)!;
  const amps = mostAmps(yard, scene, id, surges);
  const most = (surges ? circuit.breakerAmps : circuit.continuous * circuit.breakerAmps) - amps + 1e-9;
  return ampsOf(yard, runs, id, surges).map((p) => ({ at: p.at, value: p.value > most ? 1 : 0 }));
}

/** The most that a run of the scene draws of the circuit at any one step. */
function mostAmps(yard: Yard, scene: Scene, id: string, surges: boolean): number {
  let amps = 0;
  for (const step of scene.steps) {
    if (step.kind === 'wait') continue;
    let sum = 0;
    for (const m of step.kind === 'move' ? [step] : step.moves)
      for (const load of yard.props.get(m.prop)!.moves.get(m.move)!.loads)
        if (load.circuit === id) sum += surges ? load.surgeAmps : load.runAmps;
    amps = Math.max(amps, sum);
  }
  return amps;
}

function zoneFull(yard: Yard, runs: readonly PlanRun[], id: string): Point[] {
  const zone = yard.zones.get(id)!;
  const edges: Point[] = [];
  for (const run of runs) {
    if (yard.scenes.get(run.scene)!.zone !== id) continue;
    edges.push({ at: Math.round(run.start * 1000), value: 1 });
    edges.push({ at: Math.round(run.end * 1000) + zone.gapMs, value: -1 });
  }
  edges.sort((a, b) => a.at - b.at || a.value - b.value);
  let inside = 0;
  return edges.map((e) => {
    inside += e.value;
    return { at: e.at, value: inside >= zone.atMost ? 1 : 0 };
  });
}

/** Breaks shorter than this don't part a stretch: a person reads hours and minutes. */
const JOIN_MS = 120_000;

function longestStretch(steps: readonly Point[]): { from: number; to: number } | null {
  let best: { from: number; to: number } | null = null;
  let open: { from: number; to: number } | null = null;
  for (let k = 0; k < steps.length; k++) {
    if (steps[k]!.value === 0) continue;
    const to = steps[k + 1]?.at ?? steps[k]!.at;
    if (open && steps[k]!.at - open.to <= JOIN_MS) open.to = to;
    else open = { from: steps[k]!.at, to };
    if (!best || open.to - open.from > best.to - best.from) best = { ...open };
  }
  return best;
}

function titleOf(things: ReadonlyMap<string, { readonly title: string }>, id: string): string {
  return things.get(id)!.title;
}

function percent(share: number): string {
  return `${Math.floor(share * 1000 + 1e-6) / 10} %`;
}

/** `45 s`, `6 min`, `6 min 30 s`. */
export function minutes(seconds: number): string {
  const whole = Math.round(seconds);
  const [m, s] = [Math.floor(whole / 60), whole % 60];
  if (m === 0) return `${s} s`;
  return s === 0 ? `${m} min` : `${m} min ${s} s`;
}

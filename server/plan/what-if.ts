import type { Circuit, Tank, Yard } from '../yard/types.ts';
import { countsOf, minutes } from './explain.ts';
import { propMoved } from './moved-prop.ts';
import { planTonight } from './plan.ts';
import { hundredths } from './report.ts';
import type { BindingRule, NightTimes, TonightPlan } from './tonight.ts';

/** Rules looked at, at most: those that bind most scenes. */
const RULES = 3;

/** One thing to change, and the night planned anew with it. */
interface Change {
  /** Begins a sentence: 'With the compressor of the shed on another circuit'. */
  readonly said: (plan: TonightPlan) => string;
  readonly yard: Yard;
  readonly night: NightTimes;
  /** Not worth a word where it gains nothing. */
  readonly onlyGain?: true;
}

/**
 * What would help where runs are lacking: for each of the rules that bind most, the night is planned anew without it, or
 * with what a builder could do about it, and what that gains is said. Nothing where all that is wanted is planned.
 */
export function whatIf(yard: Yard, night: NightTimes, plan: TonightPlan): string[] {
  const { wanted, planned: had } = countsOf(plan);
  if (had >= wanted) return [];
  // The same durations, or the two could not be set side by side.
  const expects: Record<string, number> = Object.create(null);
  for (const [move, seconds] of Object.entries(plan.expects)) expects[move] = seconds * 1000;
  const said: string[] = [];
  for (const { rule, id } of mostBinding(plan))
    for (const change of [
      ...movesOf(yard, night, plan, rule, id, expects),
      ...changesFor(yard, night, rule, id),
    ]) {
      const other = planTonight(change.yard, change.night, { expects });
      const { wanted: all, planned: now } = countsOf(other);
      if (change.onlyGain && now <= had) continue;
      const gain =
        now >= all ? `all ${all} runs fit` : now > had ? `${now} of ${all} runs fit` : 'no more runs fit';
      said.push(`${change.said(other)} ${gain}.`);
    }
  return said;
}

function mostBinding(plan: TonightPlan): { rule: BindingRule; id: string }[] {
  const times = new Map<string, { rule: BindingRule; id: string; lacking: number }>();
  for (const s of Object.values(plan.scenes)) {
    if (!s.boundBy || s.planned >= s.wanted) continue;
    // Of one circuit what it bears for hours and its surges are helped by the same.
    const key = s.boundBy.rule === 'surge' ? `circuit ${s.boundBy.id}` : `${s.boundBy.rule} ${s.boundBy.id}`;
    const entry = times.get(key) ?? { ...s.boundBy, lacking: 0 };
    entry.lacking += s.wanted - s.planned;
    times.set(key, entry);
  }
  return [...times.values()].sort((a, b) => b.lacking - a.lacking).slice(0, RULES);
}

/** One prop of a full circuit where there is room. */
function movesOf(
  yard: Yard,
  night: NightTimes,
  plan: TonightPlan,
  rule: BindingRule,
  id: string,
  expects: Record<string, number>,
): Change[] {
  const moved = rule === 'circuit' || rule === 'surge' ? propMoved(yard, plan, id, expects) : null;
  if (moved === null) return [];
  return [
    { yard: moved.yard, night, said: () => `With ${moved.prop.title} on ${moved.to.title}`, onlyGain: true },
  ];
}

function changesFor(yard: Yard, night: NightTimes, rule: BindingRule, id: string): Change[] {
  const other = (parts: Partial<Yard>, said: Change['said']): Change => ({
    yard: { ...yard, ...parts },
    night,
    said,
  });
  switch (rule) {
    case 'circuit':
    case 'surge':
      return circuitChanges(yard, id, other);
    case 'tank': {
      const tank = yard.tanks.get(id)!;
      const larger = { ...tank, deliveryLpm: 2 * tank.deliveryLpm };
      return [other({ tanks: put(yard.tanks, larger) }, () => `With twice the compressor at ${tank.title}`)];
    }
    case 'zone': {
      const zone = yard.zones.get(id)!;
      const more = other({ zones: put(yard.zones, { ...zone, atMost: zone.atMost + 1 }) }, () =>
        zone.atMost === 1 ? `With two at once in ${zone.title}` : `With one more at once in ${zone.title}`,
      );
      if (zone.gapMs === 0) return [more];
      const close = put(yard.zones, { ...zone, gapMs: 0 });
      return [
        more,
        other({ zones: close }, () => `Without the ${minutes(zone.gapMs / 1000)} between in ${zone.title}`),
      ];
    }
    case 'prop': {
      const prop = yard.props.get(id)!;
      if (prop.restMs === 0) return [];
      const half = { ...prop, restMs: prop.restMs / 2 };
      return [
        other(
          { props: put(yard.props, half) },
          () => `If ${prop.title} rested ${minutes(half.restMs / 1000)} (only if it bears that)`,
        ),
      ];
    }
    case 'scene': {
      const scene = yard.scenes.get(id)!;
      if (scene.restMs === 0) return [];
      const without = put(yard.scenes, { ...scene, restMs: 0 });
      return [other({ scenes: without }, () => `Without the rest of ${scene.title}`)];
    }
    case 'duty': {
      const prop = yard.props.get(id)!;
      const duty = { ...prop.duty!, on: Math.min(1, 1.5 * prop.duty!.on) };
      return [
        other(
          { props: put(yard.props, { ...prop, duty }) },
          () => `If ${prop.title} might move half as much again (only with a motor rated for it)`,
        ),
      ];
    }
    case 'quiet':
      return [{ yard, night: { ...night, quietMs: null }, said: () => 'Without quiet' }];
  }
}

function circuitChanges(
  yard: Yard,
  id: string,
  other: (parts: Partial<Yard>, said: Change['said']) => Change,
): Change[] {
  const circuit = yard.circuits.get(id)!;
  const wide: Circuit = { ...circuit, breakerAmps: 1000 * circuit.breakerAmps };
  const limit = hundredths(circuit.continuous * circuit.breakerAmps);
  const free = other({ circuits: put(yard.circuits, wide) }, (plan) => {
    const { peakAmps, peakSurgeAmps } = plan.circuits[id]!;
    const asked =
      peakAmps > limit
        ? `${peakAmps} A at once, not ${limit} A`
        : peakSurgeAmps > circuit.breakerAmps
          ? `surges of ${peakSurgeAmps} A, not ${circuit.breakerAmps} A`
          : null;
    const borne = asked === null ? '' : ` (${circuit.title} alone would have to bear ${asked})`;
    return `If props of ${circuit.title} were on other circuits${borne},`;
  });
  const compressors = [...yard.tanks.values()].filter((t) => t.compressor.circuit === id);
  if (compressors.length === 0) return [free];
  const elsewhere: Circuit = { ...wide, id: ELSEWHERE, title: ELSEWHERE, standingAmps: 0 };
  const tanks = compressors.reduce<ReadonlyMap<string, Tank>>(
    (map, t) => put(map, { ...t, compressor: { ...t.compressor, circuit: ELSEWHERE } }),
    yard.tanks,
  );
  const moved = other(
    { tanks, circuits: put(yard.circuits, elsewhere) },
    () => `With the compressor of ${compressors.map((t) => t.title).join(' and ')} on another circuit`,
  );
  return [moved, free];
}

/** No yard file's id has a space. */
const ELSEWHERE = 'another circuit';

function put<T extends { readonly id: string }>(map: ReadonlyMap<string, T>, thing: T): Map<string, T> {
  return new Map(map).set(thing.id, thing);
}

import { type Expects, timelineOf } from '../yard/timeline.ts';
import type { Circuit, Prop, Yard } from '../yard/types.ts';
import { hundredths } from './report.ts';
import type { TonightPlan } from './tonight.ts';

/** A prop plugged in elsewhere. */
export interface MovedProp {
  readonly prop: Prop;
  readonly to: Circuit;
  readonly yard: Yard;
}

/**
 * Of the props on a circuit the one that wants most of it tonight (amperes × time of all wanted runs) and that another
 * circuit bears beside what it has by the plan, on the one that has most left; null where there is none.
 */
export function propMoved(yard: Yard, plan: TonightPlan, from: string, expects: Expects): MovedProp | null {
  const left = ({ id }: Circuit) => hundredths(plan.circuits[id]!.limitAmps - plan.circuits[id]!.peakAmps);
  const wanted = [...wantedOf(yard, plan, from, expects)].sort((a, b) => b[1] - a[1]);
  for (const [id] of wanted) {
    const prop = yard.props.get(id)!;
    const loads = [...prop.moves.values()].flatMap((m) => m.loads.filter((l) => l.circuit === from));
    const amps = Math.max(...loads.map((l) => l.runAmps));
    const surge = Math.max(...loads.map((l) => l.surgeAmps));
    // Starts can be put off until a surge fits; what goes on for long can't.
    const able = [...yard.circuits.values()].filter(
      (c) => c.id !== from && amps <= left(c) && surge <= c.breakerAmps - c.standingAmps,
    );
    const to = able.reduce<Circuit | null>((a, c) => (a === null || left(c) > left(a) ? c : a), null);
    if (to !== null) return { prop, to, yard: withMoved(yard, prop, from, to.id) };
  }
  return null;
}

/** By prop, the ampere-milliseconds of the circuit in all runs that are wanted. */
function wantedOf(yard: Yard, plan: TonightPlan, circuit: string, expects: Expects): Map<string, number> {
  const sums = new Map<string, number>();
  for (const [id, { wanted }] of Object.entries(plan.scenes))
    for (const { prop, move, startMs, endMs } of timelineOf(yard, yard.scenes.get(id)!, expects).moves)
      for (const load of yard.props.get(prop)!.moves.get(move)!.loads)
        if (load.circuit === circuit)
          sums.set(prop, (sums.get(prop) ?? 0) + wanted * load.runAmps * (endMs - startMs));
  return sums;
}

function withMoved(yard: Yard, prop: Prop, from: string, to: string): Yard {
  const moves = new Map(
    [...prop.moves].map(([id, move]) => [
      id,
      { ...move, loads: move.loads.map((l) => (l.circuit === from ? { ...l, circuit: to } : l)) },
    ]),
  );
  return { ...yard, props: new Map(yard.props).set(prop.id, { ...prop, moves }) };
}

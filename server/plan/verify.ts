import type { Need, Yard } from '../yard/types.ts';
import type { NightTimes, TonightPlan } from './tonight.ts';
import { figureBreaches } from './verify-figures.ts';
import { type Breach, moveIn, readRuns, type SeenMove, type SeenRun } from './verify-runs.ts';

export type { Breach } from './verify-runs.ts';

/** Slack for sums of fractions, in the unit of what is compared. Times are whole ms and need none. */
const HAIR = 1e-6;

/**
 * Reads a plan against the yard file and lists every rule that it breaks. It knows nothing of how plans are made:
 * it takes the starts as they stand and looks, moment by moment, whether they may be.
 */
export function verifyPlan(yard: Yard, night: NightTimes, plan: TonightPlan): Breach[] {
  const { runs, breaches } = readRuns(yard, plan);
  const seen: Seen = {
    yard,
    night,
    runs,
    moves: runs.flatMap((r) => r.moves).sort((a, b) => a.start - b.start || a.end - b.end),
  };
  return [
    ...breaches,
    ...hours(seen),
    ...holds(seen),
    ...zones(seen),
    ...circuits(seen),
    ...duties(seen),
    ...tanks(seen),
    ...needs(seen),
    ...figureBreaches(yard, night, plan),
  ].sort((a, b) => a.at - b.at);
}

interface Seen {
  readonly yard: Yard;
  readonly night: NightTimes;
  readonly runs: readonly SeenRun[];
  readonly moves: readonly SeenMove[];
}

/** Nothing starts before open, every scene ends by close, every loud move by quiet. */
function hours({ yard, night, runs, moves }: Seen): Breach[] {
  const found: Breach[] = [];
  const close = night.closeMs - night.openMs;
  for (const run of runs) {
    if (run.start < 0) found.push(breach('open', run.scene, run.start, [run.id], 'starts before open'));
    if (run.end > close) found.push(breach('close', run.scene, run.end, [run.id], 'ends after close'));
  }
  if (night.quietMs === null) return found;
  const quiet = night.quietMs - night.openMs;
  for (const m of moves)
    if (moveIn(yard, m).loud && m.end > quiet)
      found.push(breach('quiet', m.prop, m.end, [m.run], `${m.prop}.${m.move} is loud after quiet`));
  return found;
}

/** A prop is held by one run at a time and rests after it; a scene rests before its own next start. */
function holds({ yard, runs }: Seen): Breach[] {
  const found: Breach[] = [];
  const lastOf = new Map<string, SeenRun>();
  const need = (rule: 'prop' | 'scene', id: string, run: SeenRun, restMs: number) => {
    const before = lastOf.get(`${rule} ${id}`);
    if (before && run.start < before.end + restMs - HAIR)
      found.push(breach(rule, id, run.start, [before.id, run.id], `${rule} ${id} is held or still rests`));
    if (!before || run.end > before.end) lastOf.set(`${rule} ${id}`, run);
  };
  for (const run of runs) {
    const scene = yard.scenes.get(run.scene)!;
    need('scene', scene.id, run, scene.restMs);
    for (const id of scene.props) need('prop', id, run, yard.props.get(id)!.restMs);
  }
  return found;
}

function zones({ yard, runs }: Seen): Breach[] {
  const found: Breach[] = [];
  for (const zone of yard.zones.values()) {
    let filling: SeenRun[] = [];
    for (const run of runs) {
      if (yard.scenes.get(run.scene)!.zone !== zone.id) continue;
      filling = filling.filter((r) => r.end + zone.gapMs > run.start + HAIR);
      filling.push(run);
      if (filling.length > zone.atMost)
        found.push(
          breach(
            'zone',
            zone.id,
            run.start,
            filling.map((r) => r.id),
            `${filling.length} runs at once`,
          ),
        );
    }
  }
  return found;
}

/** Both rules on each circuit, at every moment at which a current rises. */
function circuits({ yard, moves }: Seen): Breach[] {
  const found: Breach[] = [];
  for (const circuit of yard.circuits.values()) {
    const base = baseAmps(yard, circuit.id);
    const limit = circuit.continuous * circuit.breakerAmps;
    let drawing: SeenMove[] = [];
    const loadOf = (m: SeenMove) => moveIn(yard, m).loads.filter((l) => l.circuit === circuit.id);
    for (const m of moves) {
      if (loadOf(m).length === 0) continue;
      drawing = drawing.filter((d) => d.end > m.start);
      drawing.push(m);
      let running = base;
      let surging = base;
      for (const d of drawing) {
        for (const load of loadOf(d)) {
          running += load.runAmps;
          surging += d.start + load.surgeMs > m.start + HAIR ? load.surgeAmps : load.runAmps;
        }
      }
      const ids = [...new Set(drawing.map((d) => d.run))];
      if (running > limit + HAIR)
        found.push(breach('circuit', circuit.id, m.start, ids, `${running} A over ${limit} A`));
      if (surging > circuit.breakerAmps + HAIR)
        found.push(breach('surge', circuit.id, m.start, ids, `${surging} A over ${circuit.breakerAmps} A`));
    }
  }
  return found;
}

function baseAmps(yard: Yard, circuit: string): number {
  const tanks = [...yard.tanks.values()].filter((t) => t.compressor.circuit === circuit);
  return tanks.reduce((sum, t) => sum + t.compressor.amps, yard.circuits.get(circuit)!.standingAmps);
}

/** Every window that starts with a move of the prop or ends with one; no other can hold more moving. */
function duties({ yard, moves }: Seen): Breach[] {
  const found: Breach[] = [];
  for (const prop of yard.props.values()) {
    if (!prop.duty) continue;
    const own = moves.filter((m) => m.prop === prop.id);
    const { on, overMs } = prop.duty;
    for (const m of own) {
      for (const from of [m.start, m.end - overMs]) {
        const inside = own.filter((k) => k.start < from + overMs && k.end > from);
        const moving = inside.reduce(
          (sum, k) => sum + Math.min(k.end, from + overMs) - Math.max(k.start, from),
          0,
        );
        if (moving > on * overMs + HAIR)
          found.push(
            breach(
              'duty',
              prop.id,
              from,
              inside.map((k) => k.run),
              `moves ${moving} ms of ${overMs} ms`,
            ),
          );
      }
    }
  }
  return found;
}

/** The pressure after every draw, by filling and emptying: V·p/pa, with 1 atm = 101.325 kPa. */
function tanks({ yard, moves }: Seen): Breach[] {
  const found: Breach[] = [];
  for (const tank of yard.tanks.values()) {
    const kpaPerLitre = 101.325 / tank.volumeLitres;
    let kpa = tank.cutOutKpa;
    let on = false;
    let at = 0;
    for (const m of moves) {
      for (const air of moveIn(yard, m).air) {
        if (air.tank !== tank.id) continue;
        if (on) kpa += ((m.start - at) / 60_000) * tank.deliveryLpm * kpaPerLitre;
        if (kpa >= tank.cutOutKpa - HAIR) {
          kpa = tank.cutOutKpa;
          on = false;
        }
        at = m.start;
        kpa -= air.litres * kpaPerLitre;
        if (kpa <= tank.cutInKpa + HAIR) on = true;
        if (kpa < tank.workingKpa - HAIR)
          found.push(
            breach('tank', tank.id, m.start, [m.run], `${kpa} kPa left, ${tank.workingKpa} kPa works`),
          );
      }
    }
  }
  return found;
}

/** Needs that the plan decides, at the start of each move and until it ends. */
function needs({ yard, moves }: Seen): Breach[] {
  const found: Breach[] = [];
  const byProp = new Map<string, SeenMove[]>();
  for (const m of moves) {
    const own = byProp.get(m.prop);
    if (own) own.push(m);
    else byProp.set(m.prop, [m]);
  }
  for (const m of moves) {
    for (const need of moveIn(yard, m).needs) {
      if (!needHolds(yard, byProp.get(need.prop) ?? [], m, need))
        found.push(
          breach('need', m.prop, m.start, [m.run], `${m.prop}.${m.move}: ${need.kind} ${need.prop}`),
        );
    }
  }
  return found;
}

function needHolds(yard: Yard, others: readonly SeenMove[], m: SeenMove, need: Need): boolean {
  const prop = yard.props.get(need.prop)!;
  if (need.kind === 'made' || need.kind === 'not-made') {
    if (prop.sensors.get(need.sensor)!.kind === 'plain') return true;
    const made = madeSpans(yard, need.prop, need.sensor, others);
    if (need.kind === 'made') return made.some((s) => s.from <= m.start && s.to >= m.end);
    return made.every((s) => s.to <= m.start || s.from >= m.end);
  }
  const rests = others.every((k) => k === m || k.end <= m.start || k.start >= m.end);
  if (need.kind === 'at-rest') return rests;
  if (prop.home === null) return false;
  return (
    rests && madeSpans(yard, need.prop, prop.home, others).some((s) => s.from <= m.start && s.to >= m.end)
  );
}

/** From the end of each move that makes the sensor to the start of the prop's next; at first its home is made. */
function madeSpans(yard: Yard, prop: string, sensor: string, own: readonly SeenMove[]) {
  const spans: { from: number; to: number }[] = [];
  const { home, moves } = yard.props.get(prop)!;
  if (home === sensor) spans.push({ from: -Infinity, to: own[0]?.start ?? Infinity });
  own.forEach((m, k) => {
    if (moves.get(m.move)!.until === sensor) spans.push({ from: m.end, to: own[k + 1]?.start ?? Infinity });
  });
  return spans;
}

function breach(rule: string, id: string, at: number, runs: string[], text: string): Breach {
  return { rule, id, at: at / 1000, runs: [...new Set(runs)], text };
}

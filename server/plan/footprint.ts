import type { TimedMove } from '../yard/timeline.ts';
import type { Need, Scene, Tank, Yard } from '../yard/types.ts';
import type { Ask, DutyRule, PlanScene, Problem, SharedRule, Stand, Use, WatchedProp } from './problem.ts';
import type { BindingRule } from './tonight.ts';

const MICRO = 1_000_000;

/** Gives each rule of the yard that some scene touches its index, and works out the scenes' footprints on it. */
export class Footprints {
  private readonly yard: Yard;
  private readonly shared: SharedRule[] = [];
  private readonly duties: DutyRule[] = [];
  private readonly tanks: Tank[] = [];
  private readonly watched: WatchedProp[] = [];
  private readonly indexOf = new Map<string, number>();
  /** How many scenes hold each prop. */
  private readonly holders = new Map<string, number>();

  constructor(yard: Yard, scenes: readonly Scene[]) {
    this.yard = yard;
    for (const scene of scenes)
      for (const prop of scene.props) this.holders.set(prop, (this.holders.get(prop) ?? 0) + 1);
  }

  rules(): Pick<Problem, 'shared' | 'duties' | 'tanks' | 'watched'> {
    return { shared: this.shared, duties: this.duties, tanks: this.tanks, watched: this.watched };
  }

  /** A prop that one scene alone holds binds only that scene: its rest goes into the scene's own spacing. */
  spacing(scene: Scene, lengthMs: number): Pick<PlanScene, 'spacingMs' | 'spacingRule'> {
    let restMs = scene.restMs;
    let rule: PlanScene['spacingRule'] = { rule: 'scene', id: scene.id };
    for (const id of scene.props) {
      const prop = this.yard.props.get(id)!;
      if (this.holders.get(id) === 1 && prop.restMs > restMs) {
        restMs = prop.restMs;
        rule = { rule: 'prop', id };
      }
    }
    return { spacingMs: Math.max(1, lengthMs + Math.ceil(restMs)), spacingRule: rule };
  }

  uses(scene: Scene, moves: readonly TimedMove[], lengthMs: number): Use[] {
    const uses: Use[] = [];
    for (const id of scene.props) {
      if (this.holders.get(id) === 1) continue;
      const restMs = Math.ceil(this.yard.props.get(id)!.restMs);
      uses.push(held(this.rule('prop', id, 1, restMs), lengthMs + restMs));
    }
    const zone = scene.zone === null ? undefined : this.yard.zones.get(scene.zone);
    if (zone && zone.atMost !== Infinity) {
      const gapMs = Math.ceil(zone.gapMs);
      uses.push(held(this.rule('zone', zone.id, zone.atMost, gapMs), lengthMs + gapMs));
    }
    uses.push(...this.currents(moves));
    return uses.filter((use) => use.from.length > 0);
  }

  private currents(moves: readonly TimedMove[]): Use[] {
    const running = new Map<string, Piece[]>();
    const surging = new Map<string, Piece[]>();
    for (const m of moves) {
      for (const load of this.yard.props.get(m.prop)!.moves.get(m.move)!.loads) {
        const surgeEnd = Math.min(m.endMs, m.startMs + Math.ceil(load.surgeMs));
        push(running, load.circuit, { from: m.startMs, to: m.endMs, amps: load.runAmps });
        push(surging, load.circuit, { from: m.startMs, to: surgeEnd, amps: load.surgeAmps });
        push(surging, load.circuit, { from: surgeEnd, to: m.endMs, amps: load.runAmps });
      }
    }
    const uses: Use[] = [];
    for (const id of running.keys()) {
      const circuit = this.yard.circuits.get(id)!;
      const standing = Math.round(standingAmps(this.yard, id) * MICRO);
      const limit = Math.round(circuit.continuous * circuit.breakerAmps * MICRO) - standing;
      const breaker = Math.round(circuit.breakerAmps * MICRO) - standing;
      uses.push(summed(this.rule('circuit', id, limit, 0), running.get(id)!));
      uses.push(summed(this.rule('surge', id, breaker, 0), surging.get(id)!));
    }
    return uses;
  }

  moving(moves: readonly TimedMove[]): PlanScene['duties'] {
    const found = new Map<string, Piece[]>();
    for (const m of moves)
      if (this.yard.props.get(m.prop)!.duty) push(found, m.prop, { from: m.startMs, to: m.endMs, amps: 0 });
    return [...found].map(([prop, pieces]) => ({ duty: this.duty(prop), ...union(pieces) }));
  }

  draws(moves: readonly TimedMove[]): PlanScene['draws'] {
    const found = new Map<string, { at: number; litres: number }[]>();
    for (const m of moves)
      for (const air of this.yard.props.get(m.prop)!.moves.get(m.move)!.air)
        push(found, air.tank, { at: m.startMs, litres: air.litres });
    return [...found].map(([id, draws]) => {
      draws.sort((a, b) => a.at - b.at);
      return { tank: this.tank(id), at: draws.map((d) => d.at), litres: draws.map((d) => d.litres) };
    });
  }

  stands(moves: readonly TimedMove[], asks: ReadonlyMap<string, readonly Ask[]>): Stand[] {
    return this.watched.flatMap(({ prop }, watched) => {
      const own = moves.filter((m) => m.prop === prop).sort((a, b) => a.startMs - b.startMs);
      const asked = asks.get(prop) ?? [];
      if (own.length === 0 && asked.length === 0) return [];
      const until = (m: TimedMove) => this.yard.props.get(prop)!.moves.get(m.move)!.until;
      const travel = {
        from: own.map((m) => m.startMs),
        to: own.map((m) => m.endMs),
        makes: own.map(until),
      };
      return [{ watched, asks: asked, travel: own.length > 0 ? travel : null }];
    });
  }

  /** The needs that other runs can meet or break, by prop; those that the scene settles by itself are judged here. */
  asks(scene: Scene, moves: readonly TimedMove[]): { asks: Map<string, Ask[]>; never: boolean } {
    const asks = new Map<string, Ask[]>();
    let never = false;
    for (const m of moves) {
      for (const need of this.yard.props.get(m.prop)!.moves.get(m.move)!.needs) {
        const verdict = settledWithin(this.yard, scene, moves, m, need);
        if (verdict === 'broken') never = true;
        if (verdict !== 'open') continue;
        const sensor = sensorOf(this.yard, need);
        push(asks, need.prop, { from: m.startMs, to: m.endMs, kind: need.kind, sensor });
        this.watch(need.prop);
      }
    }
    return { asks, never };
  }

  private watch(prop: string): number {
    return this.index(`watched ${prop}`, this.watched, () => ({
      prop,
      home: this.yard.props.get(prop)!.home,
    }));
  }

  private rule(rule: BindingRule, id: string, room: number, tailMs: number): number {
    return this.index(`${rule} ${id}`, this.shared, () => ({ rule, id, room, tailMs }));
  }

  private duty(prop: string): number {
    const { on, overMs } = this.yard.props.get(prop)!.duty!;
    return this.index(`duty ${prop}`, this.duties, () => ({
      prop,
      onMs: Math.floor(on * overMs + 1e-6),
      overMs,
    }));
  }

  private tank(id: string): number {
    return this.index(`tank ${id}`, this.tanks, () => this.yard.tanks.get(id)!);
  }

  private index<T>(key: string, list: T[], make: () => T): number {
    const known = this.indexOf.get(key);
    if (known !== undefined) return known;
    this.indexOf.set(key, list.length);
    list.push(make());
    return list.length - 1;
  }
}

/** Standing current of a circuit with every compressor on it, which starts by itself. */
export function standingAmps(yard: Yard, circuit: string): number {
  let amps = yard.circuits.get(circuit)!.standingAmps;
  for (const tank of yard.tanks.values())
    if (tank.compressor.circuit === circuit) amps += tank.compressor.amps;
  return amps;
}

type Verdict = 'met' | 'broken' | 'open';

/**
 * What the scene by itself says of a need of one of its moves: its own earlier moves leave the asked prop somewhere,
 * its own moves at the same time keep it from resting. Open where it hangs on what ran before or runs beside it.
 */
function settledWithin(
  yard: Yard,
  scene: Scene,
  moves: readonly TimedMove[],
  m: TimedMove,
  need: Need,
): Verdict {
  const prop = yard.props.get(need.prop)!;
  if ((need.kind === 'made' || need.kind === 'not-made') && prop.sensors.get(need.sensor)?.kind === 'plain')
    return 'met';
  const sensor = sensorOf(yard, need);
  if (need.kind === 'at-home' && sensor === null) return 'broken';
  const own = moves.filter((k) => k.prop === need.prop);
  if (need.kind !== 'not-made' && own.includes(m)) return 'broken';
  if (own.some((k) => k !== m && k.startMs < m.endMs && k.endMs > m.startMs)) return 'broken';
  const before = own.filter((k) => k !== m && k.endMs <= m.startMs).pop();
  if (before) {
    const makes = prop.moves.get(before.move)!.until;
    return need.kind === 'at-rest' || (makes === sensor) === (need.kind !== 'not-made') ? 'met' : 'broken';
  }
  return need.kind === 'at-rest' && scene.props.includes(need.prop) ? 'met' : 'open';
}

/** The end sensor that a need turns on; for `at home` that of the prop's home. */
function sensorOf(yard: Yard, need: Need): string | null {
  if (need.kind === 'made' || need.kind === 'not-made') return need.sensor;
  return need.kind === 'at-home' ? yard.props.get(need.prop)!.home : null;
}

interface Piece {
  readonly from: number;
  readonly to: number;
  readonly amps: number;
}

function push<K, V>(lists: Map<K, V[]>, key: K, value: V): void {
  const list = lists.get(key);
  if (list) list.push(value);
  else lists.set(key, [value]);
}

/** One run, from its start for so long. */
function held(shared: number, forMs: number): Use {
  return forMs > 0
    ? { shared, from: [0], to: [forMs], amount: [1] }
    : { shared, from: [], to: [], amount: [] };
}

/** Overlapping currents as one step function, in whole µA. */
function summed(shared: number, pieces: readonly Piece[]): Use {
  const edges = [...new Set(pieces.flatMap((p) => [p.from, p.to]))].sort((a, b) => a - b);
  const use = { shared, from: [] as number[], to: [] as number[], amount: [] as number[] };
  for (let k = 0; k + 1 < edges.length; k++) {
    const [from, to] = [edges[k]!, edges[k + 1]!];
    const amps = pieces.reduce((sum, p) => (p.from <= from && p.to >= to ? sum + p.amps : sum), 0);
    const amount = Math.round(amps * MICRO);
    if (amount === 0) continue;
    const last = use.to.length - 1;
    if (last >= 0 && use.to[last] === from && use.amount[last] === amount) use.to[last] = to;
    else {
      use.from.push(from);
      use.to.push(to);
      use.amount.push(amount);
    }
  }
  return use;
}

function union(pieces: readonly Piece[]): { from: number[]; to: number[] } {
  const from: number[] = [];
  const to: number[] = [];
  for (const p of [...pieces].sort((a, b) => a.from - b.from)) {
    const last = to.length - 1;
    if (last >= 0 && p.from <= to[last]!) to[last] = Math.max(to[last]!, p.to);
    else {
      from.push(p.from);
      to.push(p.to);
    }
  }
  return { from, to };
}

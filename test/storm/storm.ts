import { mendedFor } from '../../server/plan-mend.ts';
import type { PlannedRun } from '../../server/show/show.ts';
import { TrueTank } from './air.ts';
import { Board } from './board.ts';
import { Body } from './body.ts';
import { Broker } from './broker.ts';
import { Chance } from './chance.ts';
import { heal, judgeEnd } from './ending.ts';
import { Machine } from './machine.ts';
import { nightsAround } from './nights.ts';
import { Crew } from './people.ts';
import type { Process } from './process.ts';
import { type Breach, Referee } from './referee.ts';
import { Stride } from './stride.ts';
import type { Weather } from './weather/kinds.ts';
import { WEATHER } from './weather/table.ts';
import { World } from './world.ts';
import { Yardful } from './yardful.ts';
import { type StormYard, YARDS } from './yards.ts';

export interface StormOptions {
  readonly seed: number;
  /** A yard of the table, or one made for the purpose; by chance where left out. */
  readonly yard?: string | StormYard;
  /** Every heartbeat delivered, none passed over. */
  readonly everyHeartbeat?: boolean;
  /** No weather at all. */
  readonly calm?: boolean;
  /** These kinds of weather and no others, so many times as often as at their usual strength. */
  readonly only?: readonly string[];
  readonly strength?: number;
  readonly onLine?: (text: string) => void;
}

export interface StormResult {
  readonly seed: number;
  readonly yard: string;
  readonly hash: string;
  readonly breach: Breach | null;
  readonly simulatedMs: number;
  readonly passedMs: number;
  readonly happened: number;
  readonly turns: number;
  readonly weather: ReadonlyMap<string, number>;
  readonly faults: ReadonlyMap<string, number>;
  readonly lines: ReadonlyMap<string, number>;
  readonly asked: ReadonlyMap<number, number>;
}

const BEFORE_MS = 120_000;
const HOUR_MS = 3_600_000;
/** All is healed so long before the night closes. */
const HEAL_MS = 900_000;
/** The whole night is folded again from its record in one seed of so many; a restart is judged in all. */
const REPLAY_EVERY = 4;

/** Everything of one run, for the weather to get at. */
export class Storm {
  readonly seed: number;
  readonly chance: Chance;
  readonly world: World;
  readonly yard: StormYard;
  readonly yardful: Yardful;
  readonly referee: Referee;
  readonly broker: Broker | null;
  readonly main: Machine;
  readonly spare: Machine;
  readonly crew: Crew;
  readonly stride: Stride;
  readonly openMs: number;
  readonly closeMs: number;
  readonly weather = new Map<string, number>();

  constructor(options: StormOptions, yard: StormYard) {
    this.seed = options.seed;
    this.chance = new Chance(`storm ${options.seed}`);
    this.#mendChance = this.chance.stream('mend');
    this.yard = yard;
    const { file } = yard;
    const day = Date.parse(`${yard.night}T12:00:00Z`);
    const night = nightsAround(file.yard, day).find((n) => n.date === yard.night);
    if (!night) throw new Error(`${file.yard.id} has no night of ${yard.night}`);
    this.openMs = night.openMs;
    this.closeMs = night.closeMs;
    this.world = new World(night.openMs - night.noticeMs - BEFORE_MS);
    this.world.story.clock = (at) => new Date(at).toISOString().slice(11, 23);
    if (options.onLine) this.world.story.onLine = options.onLine;
    this.yardful = new Yardful(file.yard);
    this.referee = new Referee(this.world, this.yardful);
    this.broker = file.yard.bus.url
      ? new Broker(this.world, this.chance.stream('broker'), file.yard.bus.root)
      : null;
    this.main = this.#machine('main');
    this.spare = this.#machine('spare');
    this.#furnish();
    this.bus.onLost = (m) => {
      if (m.kind === 'sense') this.yardful.unheard.add(`${m.id}/${m.sensor}`);
    };
    this.crew = new Crew(this.world, this.chance.stream('crew'), this.referee, this.main);
    this.referee.onTurn = (p, show) => this.crew.turned(p, show);
    this.stride = new Stride(
      this.world,
      this.main,
      [this.spare],
      this.yardful,
      () => this.referee.truth.busRough > 0,
      (p, board) => this.referee.ledger(p).beat(board.id, board.session, this.world.now),
    );
    if (!options.everyHeartbeat) this.world.stride = (limit) => this.stride.take(limit);
  }

  /** The broker that the yard's boards talk to. */
  get bus(): Broker {
    return this.broker ?? this.main.broker();
  }

  #machine(name: string): Machine {
    const { world, chance, yard, broker, referee } = this;
    const mend = (p: Process): void => this.#mend(p);
    return new Machine(name, world, chance.stream(name), yard.file, broker, referee, mend);
  }

  /** Weather that is on, and how each ends. */
  readonly #ends = new Set<() => void>();
  readonly clones = new Set<Board>();
  healed = false;

  /** Ends something after a while, or when all is healed. */
  during(ms: number, end: () => void): void {
    const once = (): void => {
      if (this.#ends.delete(once)) end();
    };
    this.#ends.add(once);
    this.world.in(ms, once);
  }

  endAll(): void {
    for (const end of [...this.#ends]) end();
  }

  /** Does something later, unless all is healed by then. */
  later(ms: number, run: () => void): void {
    this.world.in(Math.max(0, ms), () => {
      if (!this.healed) run();
    });
  }

  /** The bus is not itself for so long: every heartbeat is delivered, and what was under way may be late. */
  rough(ms: number): void {
    const { truth } = this.referee;
    truth.roughBegins();
    this.during(ms, () => truth.roughEnds());
  }

  /** Its desk is gone, or stands still, from now. */
  deskGone(machine: Machine): void {
    const p = machine.process;
    if (p?.alive && p.driving) this.referee.truth.watchSilence(p.word, machine.yard.bus.silenceMs);
  }

  /** A planner that answers now and then, and moves what is still to come. */
  #mend(p: Process): void {
    if (!this.#mendChance.hit(0.3)) return;
    const { show } = p.desk;
    const { night } = show;
    if (!night) return;
    const real = this.#mendChance.hit(0.2);
    // a mend only ever shifts to later, and no later than a run may be
    const shifted = (r: PlannedRun): number => {
      const most = Math.max(10_000, (show.yard.scenes.get(r.scene)!.everyMs ?? 0) / 2);
      return Math.round(r.drawnMs + this.#mendChance.between(0, most));
    };
    const runs = real
      ? mendedFor(show)
      : show.planned
          .filter((r) => r.state === 'planned' && this.#mendChance.hit(0.97))
          .map((r) => ({
            id: r.id,
            scene: r.scene,
            startMs: this.#mendChance.hit(0.2) ? shifted(r) : r.startMs,
          }));
    if (!runs) return;
    this.world.in(this.#mendChance.between(20, 800), () =>
      p.tell({ kind: 'planMended', night: night.date, runs }),
    );
  }
  readonly #mendChance: Chance;

  /** Each kind of weather by its own stream, some kinds left out: a storm of everything at once never gets deep into anything. */
  brew(options: StormOptions): void {
    const which = this.chance.stream('which');
    const drawn = which.pick([0.3, 0.6, 1, 1, 1.5, 2.5]);
    const share = which.pick([0.15, 0.4, 0.7, 1]);
    const strength = options.strength ?? drawn;
    for (const weather of WEATHER) {
      const wanted = options.only === undefined ? which.hit(share) : options.only.includes(weather.name);
      if (!wanted || weather.fits?.(this) === false) continue;
      const chance = this.chance.stream(weather.name);
      if (weather.atFirst !== undefined) {
        if (options.only !== undefined || chance.hit(weather.atFirst)) this.#strike(weather, chance);
        continue;
      }
      const next = (): void => {
        const ms = chance.about(HOUR_MS / (weather.perHour * strength));
        this.later(ms, () => {
          this.#strike(weather, chance);
          next();
        });
      };
      next();
    }
  }

  #strike(weather: Weather, chance: Chance): void {
    this.world.tell('WEATHER', weather.name);
    if (weather.strike(this, chance) === false) return;
    this.weather.set(weather.name, (this.weather.get(weather.name) ?? 0) + 1);
  }

  #furnish(): void {
    const { yard } = this.yard.file;
    for (const tank of yard.tanks.values()) this.yardful.tanks.set(tank.id, new TrueTank(this.world, tank));
    for (const prop of yard.props.values())
      this.yardful.bodies.set(prop.id, new Body(this.world, prop, this.chance.stream(`body ${prop.id}`)));
    for (const [id, props] of yard.controllers) {
      const bodies = new Map(props.map((p) => [p, this.yardful.bodies.get(p)!]));
      const board = new Board(
        this.world,
        () => this.bus,
        id,
        bodies,
        this.chance.stream(`board ${id}`),
        this.referee,
      );
      this.yardful.boards.set(id, board);
      for (const [p, body] of bodies)
        body.onEdge = (sensor) => {
          this.yardful.noteEdge(p, sensor, this.world.now);
          this.world.tell('edge', p, sensor, String(body.seen.get(sensor)));
          board.edge(p, sensor);
        };
    }
  }

  begin(): void {
    this.main.start();
    const chance = this.chance.stream('power');
    for (const board of this.yardful.boards.values())
      this.world.in(chance.between(0, 20_000), () => board.powerOn());
  }
}

export async function runStorm(options: StormOptions): Promise<StormResult> {
  const chance = new Chance(`yard of ${options.seed}`);
  const name =
    typeof options.yard === 'string'
      ? options.yard
      : options.yard
        ? 'given'
        : chance.pick(Object.keys(YARDS));
  const yard = typeof options.yard === 'object' ? options.yard : YARDS[name]!();
  const storm = new Storm(options, yard);
  const { world, referee } = storm;
  const from = world.now;
  storm.begin();
  if (!options.calm) storm.brew(options);
  await world.runTo(storm.closeMs - HEAL_MS);
  if (!world.over) {
    heal(storm);
    await judgeEnd(storm);
  }
  await world.runTo(storm.closeMs + 300_000);
  const { process } = storm.main;
  if (!world.over && process?.alive && options.seed % REPLAY_EVERY === 0) {
    const files = [storm.yard.file, storm.yard.edited];
    referee.records.replayed(process, new Map(files.map((f) => [f.hash, f.yard])));
  }
  return {
    seed: options.seed,
    yard: name,
    hash: world.story.hash,
    breach: referee.breachSeen,
    simulatedMs: world.now - from,
    passedMs: storm.stride.passedMs,
    happened: world.happened,
    turns: storm.main.process?.desk.counts.turns ?? 0,
    weather: storm.weather,
    faults: referee.faults,
    lines: referee.lines,
    asked: referee.asked,
  };
}

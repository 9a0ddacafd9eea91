import type { Yard } from '../../server/yard/types.ts';
import { Broker } from './broker.ts';
import type { Chance } from './chance.ts';
import { Disk } from './disk.ts';
import { type Machine as MachineOf, type Overseer, Process } from './process.ts';
import type { World } from './world.ts';

/** Where a process is to die: at the so-manyth call from now. */
export interface DeathPlan {
  readonly where: 'send' | 'append' | 'numbers';
  readonly when: 'before' | 'after';
  left: number;
}

export interface YardFile {
  readonly yard: Yard;
  readonly hash: string;
  readonly text: string;
}

const SUPERVISOR_MS = 2000;

/**
 * A small computer in a garage: its clock, its disk, its own broker if the yard has no other, and the daemon on it,
 * which a supervisor starts anew.
 */
export class Machine implements MachineOf {
  readonly name: string;
  readonly near: boolean;
  readonly disk = new Disk();
  file: YardFile;
  frozen = false;
  /** Power and supervisor: whether the daemon is to run. */
  wanted = false;
  process: Process | null = null;
  death: DeathPlan | null = null;
  /** Wall clock over the world's, ms, and how fast it runs away. */
  #wallOffset = 0;
  #slew = 0;
  #slewSince = 0;
  #asleepMs = 0;
  #asleepSince: number | null = null;
  slowFlush = false;
  /** When its wall clock was last set. */
  lastSet = Number.NEGATIVE_INFINITY;
  /** When it last went on after standing still. */
  lastFreeze = Number.NEGATIVE_INFINITY;
  readonly #world: World;
  readonly #chance: Chance;
  readonly #overseer: Overseer;
  readonly #broker: Broker;
  readonly #mend: (process: Process) => void;
  processes = 0;

  constructor(
    name: string,
    world: World,
    chance: Chance,
    file: YardFile,
    broker: Broker | null,
    overseer: Overseer,
    mend: (process: Process) => void,
  ) {
    this.name = name;
    this.#world = world;
    this.#chance = chance;
    this.#overseer = overseer;
    this.file = file;
    this.near = broker === null;
    this.#broker = broker ?? new Broker(world, chance.stream('broker'), file.yard.bus.root);
    if (this.near) this.#broker.die(false);
    this.#mend = mend;
  }

  get yard(): Yard {
    return this.file.yard;
  }
  get yardHash(): string {
    return this.file.hash;
  }
  get yardText(): string {
    return this.file.text;
  }

  broker(): Broker {
    return this.#broker;
  }

  mend(process: Process): void {
    this.#mend(process);
  }

  // clocks

  mono(): number {
    const asleep = this.#asleepSince === null ? 0 : this.#world.now - this.#asleepSince;
    return this.#world.now - this.#asleepMs - asleep;
  }

  wall(): number {
    return this.#world.now + this.#wallOffset + this.#slew * (this.#world.now - this.#slewSince);
  }

  setWall(offsetMs: number): void {
    this.#wallOffset = offsetMs;
    this.lastSet = this.#world.now;
    this.#slew = 0;
    this.#slewSince = this.#world.now;
  }

  stepWall(byMs: number): void {
    this.setWall(this.wall() - this.#world.now + byMs);
  }

  slewWall(share: number): void {
    this.setWall(this.wall() - this.#world.now);
    this.#slew = share;
  }

  // power and processes

  start(): void {
    this.wanted = true;
    if (this.process?.alive) return;
    this.#world.tell('starts', this.name);
    if (this.near) this.#broker.live();
    this.processes += 1;
    try {
      this.process = new Process(
        this,
        this.#world,
        this.#chance.stream(`p${this.processes}`),
        this.#overseer,
      );
    } catch (error) {
      // a disk that can't be read: the supervisor tries again
      if (this.disk.trouble === null) throw error;
      this.#world.tell('could not start', this.name);
      this.#again();
      return;
    }
  }

  kill(how: 'reset' | 'vanished', againMs: number | null): void {
    this.death = null;
    if (this.frozen) this.thaw();
    this.process?.die(how);
    if (this.near) this.#broker.die(false);
    this.#world.tell('killed', this.name, how);
    if (againMs === null) this.wanted = false;
    else this.#again(againMs);
  }

  stopInOrder(againMs: number | null): void {
    this.process?.end();
    this.#world.in(25, () => {
      if (this.near) this.#broker.die(false);
      if (againMs === null) this.wanted = false;
      else this.#again(againMs);
    });
  }

  #again(ms = SUPERVISOR_MS): void {
    this.wanted = true;
    this.#world.in(ms, () => {
      if (this.wanted && !this.process?.alive) this.start();
    });
  }

  mayDie(where: DeathPlan['where'], when: DeathPlan['when']): void {
    const plan = this.death;
    if (!plan || plan.where !== where || plan.when !== when || --plan.left > 0) return;
    this.kill('reset', SUPERVISOR_MS);
  }

  /** The loop, or the whole process with its broker, stands still. */
  freeze(ms: number, suspended = false): void {
    if (this.frozen || !this.process?.alive) return;
    const mine = this.process;
    this.frozen = true;
    if (this.near) this.#broker.freeze();
    if (suspended) this.#asleepSince = this.#world.now;
    this.#world.tell(suspended ? 'suspended' : 'stands still', this.name, Math.round(ms));
    this.#world.in(ms, () => {
      if (this.process !== mine || !this.frozen) return;
      this.thaw();
      mine.thawed();
    });
  }

  thaw(): void {
    this.frozen = false;
    this.lastFreeze = this.#world.now;
    if (this.#asleepSince !== null) this.#asleepMs += this.#world.now - this.#asleepSince;
    this.#asleepSince = null;
    if (this.near) this.#broker.thaw();
    this.#world.tell('goes on', this.name);
  }

  flushMs(): number {
    return this.slowFlush ? 50 : this.#chance.whole(0, 2);
  }
}

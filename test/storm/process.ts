import type { Broker as RealBroker } from '../../server/bus/broker.ts';
import { openBus } from '../../server/bus/client.ts';
import type { Outgoing } from '../../server/bus/line.ts';
import type { BusListener } from '../../server/bus/port.ts';
import { Desk } from '../../server/desk.ts';
import type { Answer } from '../../server/desk-door.ts';
import type { Line as RecordLine } from '../../server/journal/port.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { restoreShow } from '../../server/restore.ts';
import type { Fact } from '../../server/show/events.ts';
import type { Show } from '../../server/show/show.ts';
import type { Yard } from '../../server/yard/types.ts';
import type { Broker, Client, Conn } from './broker.ts';
import type { Chance } from './chance.ts';
import { DeskLine, type LineOwner } from './desk-line.ts';
import type { Disk, DiskPorts, DiskWatch } from './disk.ts';
import { type Message, topicsOf } from './message.ts';
import { nightAt, preparedNight, rashPlan } from './nights.ts';
import { ProcessClock } from './process-clock.ts';
import type { World } from './world.ts';

/** The computer that a process runs on. */
export interface Machine {
  readonly name: string;
  readonly near: boolean;
  readonly disk: Disk;
  readonly yard: Yard;
  readonly yardHash: string;
  readonly yardText: string;
  frozen: boolean;
  readonly lastFreeze: number;
  readonly lastSet: number;
  broker(): Broker;
  mono(): number;
  wall(): number;
  /** What must die at this moment does so. */
  mayDie(where: 'send' | 'append' | 'numbers', when: 'before' | 'after'): void;
  flushMs(): number;
  /** Mends are sometimes asked of a planner that answers. */
  mend(process: Process): void;
}

/** Told of all that passes, to judge it. */
export interface Overseer {
  started(p: Process): void;
  received(p: Process, m: Message, retained: boolean): void;
  beat(p: Process, controller: string, session: string): void;
  sent(p: Process, m: Message): void;
  connection(p: Process, up: boolean): void;
  turned(p: Process, show: Show): void;
  recorded(p: Process, line: RecordLine): void;
  /** Something is about to be written. */
  writes(p: Process): void;
  /** Something that was handed over begins to leave the process, or has left it. */
  leaving(p: Process, left: boolean): void;
  breach(invariant: number, text: string): void;
  ask(invariant: number): void;
}

const CALENDAR_MS = 10_000;
const ALARM_MS = 60_000;
const EPOCH_RETRY_MS = 2000;
const QUIET = { info() {}, warn() {}, error() {} };

/**
 * One life of the daemon: the real desk, core, bus client and restoring, wired as `serve.ts` wires them, on ports of
 * virtual time. What `serve.ts` does at a start and by the calendar stands here once more and must agree with it.
 */
export class Process implements LineOwner, DiskWatch, Client {
  readonly machine: Machine;
  readonly world: World;
  readonly word: string;
  readonly name: string;
  readonly desk: Desk;
  readonly clock: ProcessClock;
  readonly disk: DiskPorts;
  alive = true;
  driving = false;
  /** It has been told to end, and writes what is left to write. */
  ending = false;
  line: DeskLine | null = null;
  readonly #bus: ReturnType<typeof openBus>;
  readonly #overseer: Overseer;
  readonly #chance: Chance;
  #pending: { run: () => void; soon: boolean }[] = [];
  #alarmTold = new Set<string>();
  #lookedAt = Number.NEGATIVE_INFINITY;
  #scout: { conn: Conn; epoch: number; other: boolean; doneAt: number } | null = null;
  asks = 0;

  constructor(machine: Machine, world: World, chance: Chance, overseer: Overseer) {
    this.machine = machine;
    this.world = world;
    this.#chance = chance;
    this.#overseer = overseer;
    this.word = chance.word();
    this.name = `desk ${machine.name} ${this.word}`;
    this.disk = machine.disk.ports(this);
    this.disk.journal.keepYard(machine.yardHash, machine.yardText);
    const show = restoreShow(this.disk.journal, machine.yard, machine.yardHash);
    this.clock = new ProcessClock(
      world,
      { mono: () => machine.mono(), wall: () => machine.wall(), enter: (run, soon) => this.enter(run, soon) },
      show.at,
      show.offsetMs,
    );
    this.desk = new Desk(
      {
        clock: this.clock,
        bus: lateBus(() => this.#bus),
        journal: this.disk.journal,
        numbers: this.disk.numbers,
        yardHash: machine.yardHash,
        word: this.word,
        tell: () => '',
        log: QUIET,
        onTurn: (now) => this.#turned(now),
        onMend: () => this.alive && machine.mend(this),
        onBreach: (text) => this.#breach(text),
      },
      show,
    );
    const fake = { line: (ends: never) => (this.line = new DeskLine(world, this, ends)) };
    this.#bus = openBus({
      yard: machine.yard,
      at: { broker: fake as unknown as RealBroker },
      word: this.word,
      listener: this.#listener(),
      onConnection: (connected) => this.#connection(connected),
      log: QUIET,
    });
    overseer.started(this);
    if (machine.near) this.enter(() => this.#drive(0));
    else this.#beginScouting();
  }

  get near(): boolean {
    return this.machine.near;
  }

  broker(): Broker {
    return this.machine.broker();
  }

  // running

  enter(run: () => void, soon = false): void {
    if (!this.alive) return;
    if (this.machine.frozen) {
      this.#pending.push({ run, soon });
      return;
    }
    try {
      run();
    } catch (error) {
      this.#overseer.breach(21, `the desk threw: ${error instanceof Error ? error.stack : String(error)}`);
    }
    // before it has a line, what it waits for to leave is nothing, and done at once
    if (this.asks > 0 || !this.line) this.world.yieldWanted = true;
  }

  /** As a loop goes on that stood still: the timer that is overdue, then what came in, then what was put off. */
  thawed(): void {
    const waiting = this.#pending;
    this.#pending = [];
    this.clock.rearm();
    if (this.clock.overdue) this.enter(() => this.clock.fire());
    for (const w of waiting) if (!w.soon) this.enter(w.run);
    for (const w of waiting) if (w.soon) this.world.at(this.world.now, () => this.enter(w.run, true));
  }

  die(how: 'reset' | 'vanished'): void {
    if (!this.alive) return;
    this.alive = false;
    this.clock.stop();
    this.line?.dropDead(how);
    if (this.#scout) this.broker().leave(this.#scout.conn, how);
    this.#scout = null;
  }

  /** Told to end, it ends in order. */
  end(): void {
    this.enter(() => {
      this.ending = true;
      this.desk.end();
      void this.#bus.close();
    });
    this.world.yieldWanted = true;
    this.world.in(20, () => this.die('reset'));
  }

  // starting, as serve.ts does

  #beginScouting(): void {
    const conn = this.alive ? this.broker().connect(this, `${this.name}s`, null, 5000) : null;
    if (!conn) {
      if (this.alive) this.world.in(700, () => this.enter(() => this.#beginScouting()));
      return;
    }
    const ms = 2 * this.machine.yard.bus.silenceMs;
    this.#scout = { conn, epoch: 0, other: false, doneAt: this.world.now + ms };
    this.world.in(ms, () => this.enter(() => this.#scouted()));
  }

  wants(m: Message): boolean {
    return m.kind === 'desk' || m.kind === 'link' || m.kind === 'heartbeat';
  }

  receive(m: Message): void {
    this.enter(() => {
      if (!this.#scout) return;
      const epoch = m.data?.epoch;
      if (typeof epoch === 'number' && epoch < 2 ** 48) {
        if (m.kind === 'heartbeat') this.#scout.other = true;
        else this.#scout.epoch = Math.max(this.#scout.epoch, epoch);
      }
    });
  }

  lost(conn: Conn): void {
    if (conn !== this.#scout?.conn) return;
    this.#scout = null;
    this.enter(() => this.world.in(300, () => this.enter(() => this.#beginScouting())));
  }

  #scouted(): void {
    const scout = this.#scout;
    if (!scout || this.world.now < scout.doneAt) return;
    if (scout.other) {
      const ms = 2 * this.machine.yard.bus.silenceMs;
      this.#scout = { ...scout, other: false, doneAt: this.world.now + ms };
      this.world.in(ms, () => this.enter(() => this.#scouted()));
      return;
    }
    this.broker().leave(scout.conn, 'in order');
    this.#scout = null;
    this.#drive(scout.epoch);
  }

  #drive(heard: number): void {
    const { now } = this.disk.numbers;
    const epoch = Math.max(now.epoch, this.desk.show.desk.epoch, heard) + 1;
    try {
      this.disk.numbers.write({ epoch });
    } catch {
      this.world.tell('the epoch could not be written', this.name);
      const again = (): void => (this.near ? this.#drive(0) : this.#beginScouting());
      this.world.in(EPOCH_RETRY_MS, () => this.enter(again));
      return;
    }
    if (!this.alive) return;
    const { yard, disk } = this.machine;
    const wall = this.clock.wall();
    this.desk.now({
      kind: 'deskStarted',
      epoch,
      word: this.word,
      offsetMs: wall - this.clock.now(),
      stop: this.disk.numbers.now.stop,
      cleared: this.disk.numbers.now.cleared,
      night: nightAt(yard, wall),
    });
    this.driving = true;
    // what it waited for to leave, before it had a line, has left
    this.world.yieldWanted = true;
    this.#bus.begin({ desk: this.word, epoch });
    this.desk.begin();
    const night = preparedNight(yard, wall);
    const kept = night && disk.plans.has(`${night.date} ${this.machine.yardHash}`);
    if (night && kept && this.desk.show.planned.length > 0) this.#alarmTold.add(night.date);
    this.#alarm();
  }

  // the calendar, as alarm.ts and serve.ts do

  #alarm(): void {
    if (!this.alive) return;
    this.enter(() => this.#lookAtCalendar());
    this.world.in(ALARM_MS, () => this.#alarm());
  }

  #lookAtCalendar(): void {
    const wall = this.clock.wall();
    this.#lookedAt = wall;
    const night = preparedNight(this.machine.yard, wall);
    if (!night || this.#alarmTold.has(night.date)) return;
    this.#alarmTold.add(night.date);
    this.draw(night);
  }

  /** Draws tonight's plan on another thread, which takes a while, or takes the one that is kept. */
  draw(night: NightTimes): void {
    const { plans } = this.machine.disk;
    const key = `${night.date} ${this.machine.yardHash}`;
    const runs = plans.get(key) ?? rashPlan(this.machine.yard, night, this.#chance.stream(`plan ${key}`));
    if (!night.date.endsWith('-hand') && !this.machine.disk.trouble) plans.set(key, runs);
    this.world.in(this.#chance.between(100, 3000), () => this.tell({ kind: 'nightDrawn', night, runs }));
  }

  // the ports

  #connection(connected: boolean): void {
    this.#overseer.connection(this, connected);
    this.desk.tell({ kind: connected ? 'busConnected' : 'busLost' });
  }

  tell(fact: Fact): void {
    this.enter(() => this.desk.tell(fact));
  }

  ask(fact: Fact, then: (answer: Answer) => void): void {
    this.enter(() => {
      this.asks += 1;
      void this.desk.ask(fact).then((answer) => {
        this.asks -= 1;
        if (this.alive) then(answer);
      });
    });
  }

  will(): Message {
    const epoch = this.desk.show.desk.epoch;
    const { desk } = topicsOf(this.broker().root);
    return this.broker().message(desk, { up: false, desk: this.word, epoch }, this.name, 1, true);
  }

  beforeSend(_outgoing: Outgoing): void {
    this.machine.mayDie('send', 'before');
  }

  afterSend(message: Message): void {
    this.#overseer.sent(this, message);
    this.machine.mayDie('send', 'after');
  }

  received(message: Message, retained: boolean): void {
    this.#inHand = message;
    this.#inHandRetained = retained;
    if (message.from === 'weather') this.#overseer.ask(plantedIn(message, retained));
    this.#overseer.received(this, message, retained);
  }
  #inHand: Message | null = null;
  #inHandRetained = false;

  /** The desk's own ears, and whether what nobody of the yard said got so far. */
  #listener(): BusListener {
    const taken = (): void => {
      const m = this.#inHand;
      if (m?.from !== 'weather') return;
      this.#overseer.breach(
        plantedIn(m, this.#inHandRetained),
        `what was planted on ${m.topic} was taken for a fact`,
      );
    };
    return {
      fact: (fact) => {
        taken();
        this.desk.fact(fact);
      },
      // of a session that nobody has, it leads to one `announce` and nothing else
      beat: (controller, session) => this.desk.beat(controller, session),
      dropped: (topic, drop) => this.desk.dropped(topic, drop),
    };
  }

  beat(controller: string, session: string): void {
    this.#overseer.beat(this, controller, session);
    this.desk.beat(controller, session);
  }

  flushMs(): number {
    return this.machine.flushMs();
  }

  leaving(left: boolean): void {
    this.#overseer.leaving(this, left);
  }

  before(what: 'append' | 'numbers'): void {
    if (!this.alive) return;
    this.#overseer.writes(this);
    this.machine.mayDie(what, 'before');
  }

  after(what: 'append' | 'numbers'): void {
    if (this.alive) this.machine.mayDie(what, 'after');
  }

  recordLine(line: RecordLine): void {
    if (this.alive) this.#overseer.recorded(this, line);
  }

  #turned(show: Show): void {
    if (!this.alive) return;
    this.#overseer.turned(this, show);
    if (this.driving && Math.abs(this.clock.wall() - this.#lookedAt) >= CALENDAR_MS) this.#lookAtCalendar();
  }

  #breach(text: string): void {
    if (!this.alive) return;
    const invariant = Number(/invariant (\d+)/.exec(text)?.[1] ?? 0);
    this.#overseer.breach(invariant, `the desk's own check said: ${text}`);
  }
}

/** Which invariant a planted message is after: retained orders, another prop's topic, or any bytes at all. */
function plantedIn(m: Message, retained: boolean): number {
  if (retained && m.kind === 'did') return 22;
  return m.data !== null && 'prop' in m.data && m.data.prop !== m.id ? 13 : 21;
}

/** The bus needs the desk and the desk the bus. */
function lateBus(bus: () => ReturnType<typeof openBus>) {
  return {
    get connected() {
      return bus().connected;
    },
    startMove: (...a: Parameters<ReturnType<typeof openBus>['startMove']>) => bus().startMove(...a),
    haltProp: (...a: Parameters<ReturnType<typeof openBus>['haltProp']>) => bus().haltProp(...a),
    stop: (...a: Parameters<ReturnType<typeof openBus>['stop']>) => bus().stop(...a),
    announce: (...a: Parameters<ReturnType<typeof openBus>['announce']>) => bus().announce(...a),
    notice: (...a: Parameters<ReturnType<typeof openBus>['notice']>) => bus().notice(...a),
    desk: (...a: Parameters<ReturnType<typeof openBus>['desk']>) => bus().desk(...a),
    heartbeat: (...a: Parameters<ReturnType<typeof openBus>['heartbeat']>) => bus().heartbeat(...a),
    flushed: () => bus().flushed(),
  };
}

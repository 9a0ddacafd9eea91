import type { Line as RecordLine } from '../../server/journal/port.ts';
import type { Show } from '../../server/show/show.ts';
import type { Board, Witness } from './board.ts';
import { Ledger } from './ledger.ts';
import type { Message } from './message.ts';
import { Presses } from './presses.ts';
import type { Overseer, Process } from './process.ts';
import { Records } from './records.ts';
import { Runs } from './runs.ts';
import { Starts } from './starts.ts';
import { Truth } from './truth.ts';
import type { World } from './world.ts';
import type { Yardful } from './yardful.ts';

export interface Breach {
  readonly invariant: number;
  readonly text: string;
  readonly at: number;
  readonly story: readonly string[];
}

const STORY_LINES = 50;

/**
 * Sees everything: what reached each desk and what it sent, what boards and props really did, what is on the disks, what
 * people were told. Each checker asks the invariants of its own field; the first breach ends the run.
 */
export class Referee implements Overseer, Witness {
  readonly world: World;
  readonly yardful: Yardful;
  breachSeen: Breach | null = null;
  #last: Show | null = null;
  /** Fault codes raised, with how often: what the storm has reached. */
  readonly faults = new Map<string, number>();
  readonly lines = new Map<string, number>();
  readonly ledgers = new Map<string, Ledger>();
  /** Checks that were really asked, by invariant: a checker that never asks sees nothing. */
  readonly asked = new Map<number, number>();
  readonly starts: Starts;
  readonly truth: Truth;
  readonly records: Records;
  readonly runs: Runs;
  readonly presses: Presses;
  /** Something has changed that people might look at. */
  onTurn: ((p: Process, show: Show) => void) | null = null;

  constructor(world: World, yardful: Yardful) {
    this.world = world;
    this.yardful = yardful;
    this.starts = new Starts(this);
    this.truth = new Truth(this);
    this.records = new Records(this);
    this.runs = new Runs(this);
    this.presses = new Presses(this);
  }

  breach(invariant: number, text: string): void {
    if (this.breachSeen) return;
    this.world.tell('BREACH', `invariant ${invariant}: ${text}`);
    const story = this.world.story.last(STORY_LINES);
    this.breachSeen = { invariant, text, at: this.world.now, story };
    this.world.over = true;
  }

  ask(invariant: number): void {
    this.asked.set(invariant, (this.asked.get(invariant) ?? 0) + 1);
  }

  ledger(p: Process): Ledger {
    return this.ledgers.get(p.machine.name)!;
  }

  // of the desks

  started(p: Process): void {
    const before = this.ledgers.get(p.machine.name) ?? null;
    const carried = this.records.tailLost(p) ? null : before;
    this.truth.loads.started(p, this.records.tailLost(p), before);
    this.runs.started(p);
    this.records.started(p);
    this.ledgers.set(p.machine.name, new Ledger(p.machine.yard, carried));
    this.starts.started(p);
  }

  received(p: Process, m: Message, retained: boolean): void {
    if (m.kind !== 'beat' && m.kind !== 'heartbeat') this.world.tell('→ desk', m, retained ? 'retained' : '');
    if (m.kind === 'sense' && !m.from.startsWith('weather'))
      this.yardful.unheard.delete(`${m.id}/${m.sensor}`);
    this.ledger(p).received(m, retained, this.world.now);
    this.starts.received(p, m, retained);
  }

  beat(p: Process, controller: string, session: string): void {
    this.ledger(p).beat(controller, session, this.world.now);
  }

  sent(p: Process, m: Message): void {
    if (m.kind !== 'heartbeat') this.world.tell('desk →', m);
    // the state that led to an order stands before it leaves
    if (m.kind === 'do') this.turned(p, p.desk.show);
    this.presses.sent(m);
    this.starts.sent(p, m);
    this.truth.sent(p, m);
    const ledger = this.ledger(p);
    if (m.kind !== 'halt') return;
    const told = ledger.told.get(m.id);
    if (told) told.haltSentAt ??= this.world.now;
  }

  connection(p: Process, up: boolean): void {
    this.world.tell(up ? 'bus up' : 'bus down', p.name);
    this.starts.connected(p, up);
  }

  turned(p: Process, show: Show): void {
    if (this.#last === show) return;
    this.#last = show;
    this.records.turned(p, show);
    this.runs.turned(p, show);
    this.starts.turned(p, show);
    this.onTurn?.(p, show);
  }

  recorded(_p: Process, line: RecordLine): void {
    this.lines.set(line.code, (this.lines.get(line.code) ?? 0) + 1);
    if (line.code !== 'lockout-raised') return;
    const { code } = (JSON.parse(line.reason) as { fault: { code: string } }).fault;
    this.faults.set(code, (this.faults.get(code) ?? 0) + 1);
  }

  writes(p: Process): void {
    this.presses.writes(p);
  }

  leaving(p: Process, left: boolean): void {
    this.presses.leaving(p, left);
  }

  // of the boards

  energised(board: Board, prop: string, move: string, order: Message): void {
    this.world.tell('energised', prop, move, board.name);
    this.truth.energised(board, prop, move, order);
    this.yardful.noteEnergised(prop, this.world.now);
  }

  released(board: Board, prop: string): void {
    this.world.tell('at rest', prop, board.name);
    this.truth.released(board, prop);
  }

  newSession(board: Board): void {
    this.world.tell('session', board.name, board.session);
  }
}

import type { Drop } from './bus/drop.ts';
import type { BusListener, BusPort, Identity } from './bus/port.ts';
import type { Clock } from './clock.ts';
import type { Answer } from './desk-door.ts';
import { DeskOut } from './desk-out.ts';
import { DeskQueue } from './desk-queue.ts';
import { DeskRecord } from './desk-record.ts';
import { mayWait, type Taken, takeSteps, type Waiting } from './desk-steps.ts';
import { Drops } from './drops.ts';
import type { Numbers } from './journal/numbers.ts';
import type { JournalPort, Line } from './journal/port.ts';
import { nextDue } from './show/due.ts';
import type { Entry } from './show/effects.ts';
import type { BusFact, Fact } from './show/events.ts';
import { loadShow, saveShow } from './show/save.ts';
import { type Show, wallOf } from './show/show.ts';
import type { Yard } from './yard/types.ts';

/*
 * The turn, and the only caller of `step`:
 *
 *   number and stamp what waits → step → stops go out → journal, durable → the new state stands →
 *   the other effects → invariants → screens → the one timer
 *
 * A step is pure, so taking it before the journal is written changes nothing that anyone can see: nothing but a stop
 * leaves before the record is on disk, and where the disk refuses, the new state is thrown away and the same facts are
 * taken again by a show that knows it can't move anything. A stop never waits for the disk.
 */

export interface DeskParts {
  readonly clock: Clock;
  readonly bus: BusPort;
  readonly journal: JournalPort;
  readonly numbers: Pick<Numbers, 'tryWrite'>;
  readonly yardHash: string;
  /** The random word of this start. */
  readonly word: string;
  /** A sentence for an entry, with local times. */
  readonly tell: (entry: Entry, show: Show) => string;
  readonly log: { info(text: string): void; warn(text: string): void; error(text: string): void };
  /** After a turn that changed the show. */
  readonly onTurn: (show: Show, urgent: boolean) => void;
  /** The rest of tonight's plan should be mended. */
  readonly onMend: () => void;
  /** An invariant is broken: everything has been stopped, and the process should end with these words. */
  readonly onBreach: (text: string) => void;
}

const HEARTBEAT_MS = 250;
const STALL_MS = 250;
/** What a turn has not stepped by then waits for the next one: others want the loop too, and first of all a stop. */
const TURN_MS = 25;
/** What came while the loop stood still is read in pieces: so long nobody's deadline is judged, and not again soon. */
const HEAR_MS = 250;
const HEAR_AGAIN_MS = 1000;
const CLOCK_STEP_MS = 500;
const CLOCK_READ_MS = 50;

const LOOK: Waiting = { fact: { kind: 'timeReached' } };

export class Desk implements BusListener {
  readonly #parts: DeskParts;
  #show: Show;
  readonly #queue = new DeskQueue();
  #drainWanted = false;
  readonly #record: DeskRecord;
  readonly #out: DeskOut;
  #heartbeatAt = Number.POSITIVE_INFINITY;
  #heartbeatN = 0;
  #ended = false;
  /** Counted for the page and the metrics. */
  readonly counts = { turns: 0, events: 0, dropped: 0, stalls: 0 };

  /** Messages dropped in a flood so far. */
  get overflowed(): number {
    return this.#queue.overflowed;
  }

  readonly drops = new Drops();

  constructor(parts: DeskParts, show: Show) {
    this.#parts = parts;
    this.#show = show;
    this.#record = new DeskRecord(parts, show.n, parts.clock.now());
    this.#out = new DeskOut(parts, {
      who: () => this.#who,
      tell: (fact) => this.tell(fact),
      onGone: () => this.#look(),
    });
  }

  get show(): Show {
    return this.#show;
  }

  /** The axis now. */
  get at(): number {
    return Math.max(this.#parts.clock.now(), this.#show.at);
  }

  /** Whether this start has been taken: until then what stands is the state that the record left. */
  get #started(): boolean {
    return this.#show.desk.word === this.#parts.word;
  }

  get #who(): Identity {
    return { desk: this.#parts.word, epoch: this.#show.desk.epoch };
  }

  // what comes in

  /** As much waits as one turn takes: more of it would only be older when its turn comes. */
  get crowded(): boolean {
    return !this.#ended && this.#queue.full;
  }

  fact(fact: BusFact): void {
    this.#queue.hear(fact);
    this.#drainSoon();
  }

  beat(controller: string, session: string): void {
    this.#queue.beat(controller, session, this.#parts.clock.now());
    const link = this.#show.controllers[controller];
    if (link && (!link.live || link.session !== session)) this.#drainSoon();
  }

  dropped(topic: string, drop: Drop): void {
    this.counts.dropped += 1;
    this.drops.add(topic, drop);
    if (this.counts.dropped <= 20) this.#parts.log.warn(`dropped a message on ${topic}: ${drop.why}`);
  }

  /** A fact of the desk's own. */
  tell(fact: Fact): void {
    this.#queue.add({ fact });
    this.#drainSoon();
  }

  /** A command: answered once it is durable and stepped. */
  ask(fact: Fact): Promise<Answer> {
    // before its start is recorded the state is that of before a crash: it takes a stop and nothing else
    if (!this.#started) return Promise.resolve({ ok: false, refused: [{ code: 'no-bus' }] });
    return new Promise((answer) => {
      this.#queue.add({ fact, answer });
      this.#drainSoon();
    });
  }

  /**
   * Stops everything, at once: overtakes all that waits, and is on its way before anything is written. `kept` resolves
   * once it has left this process and its number is on disk, or the disk has refused that.
   */
  stop(by: string): { n: number; bus: boolean; kept: Promise<void> } {
    this.#out.handed = false;
    this.#turn([{ fact: { kind: 'stopPressed', by } }]);
    const { handed, kept } = this.#out;
    const { bus } = this.#parts;
    const stood = bus.connected;
    return {
      n: this.#show.stop.n,
      // asked again once it should have left: a bus that was dying took it and said nothing
      get bus() {
        return handed && (!stood || bus.connected);
      },
      kept,
    };
  }

  /** Takes a fact at once, before the loop turns: for the start, and for tests. */
  now(fact: Fact): void {
    this.#turn([{ fact }]);
  }

  begin(): void {
    this.#heartbeatAt = this.at;
    this.#arm();
  }

  /** Writes what is still to be written and keeps a snapshot. What waits is not taken any more: it could move something. */
  end(): void {
    if (this.#ended) return;
    this.#ended = true;
    this.#parts.clock.stop();
    if (this.#record.write()) this.#record.snapshot(this.#show, this.at);
  }

  /**
   * Exchanges the yard file between two turns: what waits is taken under the file that was, the state is carried over as
   * at a start and is durable before the new one holds, and `fact` is the first event under it. False where it can't be
   * just now: a stop is on its way out, the record fails, or `stillFits` no longer holds once what waited was taken.
   */
  exchange(yard: Yard, text: string, yardHash: string, fact: Fact, stillFits: () => boolean): boolean {
    if (this.#ended || this.#out.leaving || !this.#started || this.#show.recordFailing !== null) return false;
    while (this.#queue.size > 0) this.#turn(this.#queue.take());
    if (this.#out.leaving || this.#show.recordFailing !== null || !stillFits()) return false;
    if (!this.#record.write()) return false;
    const carried = loadShow(saveShow(this.#show), yard);
    if (!this.#record.exchange(text, yardHash, carried, this.at)) {
      this.#parts.log.error(`the changed yard file could not be kept: ${this.#record.why}`);
      return false;
    }
    this.#show = carried;
    this.now(fact);
    return true;
  }

  #drainSoon(): void {
    if (this.#drainWanted) return;
    this.#drainWanted = true;
    this.#parts.clock.soon(() => {
      this.#drainWanted = false;
      // the turn after the stop has left takes what waits
      if (this.#out.leaving) return;
      // a write may have stood still since: then what has come is heard before anyone's silence is judged
      if (this.#stalled()) return;
      this.#turn(this.#queue.take());
    });
  }

  // the turn

  #turn(waiting: readonly Waiting[]): void {
    if (this.#ended) return;
    const before = this.#show;
    const at = this.at;
    const facts = [...waiting];
    const beats = this.#queue.takeBeats(this.#show, at);
    // after the word that the loop stood still, so that nobody's silence is judged before that is known
    const first = waiting[0]?.fact.kind === 'loopStalled' ? 1 : 0;
    if (beats.length > 0) facts.splice(first, 0, { fact: { kind: 'beatsHeard', beats } });
    // what is due is judged in the same transaction, after all that was heard; a person's stop waits for no such thing
    const looks = this.#due(at) && !waiting.some((w) => w.fact.kind === 'stopPressed');
    if (looks) facts.push(LOOK);
    this.#take(facts, at);
    // while a stop is on its way out nothing is written, so what else is due waits for the look after it
    if (!looks && !this.#out.leaving && this.#due(at)) this.#take([LOOK], at);
    if (!this.#out.leaving && this.#show !== before && this.#show.recordFailing === null)
      this.#record.snapshotIfDue(this.#show, at);
    if (this.#queue.size > 0) this.#drainSoon();
    this.#arm();
  }

  #due(at: number): boolean {
    return this.#started && at >= this.#hearUntil && nextDue(this.#show) <= at;
  }

  #take(waiting: readonly Waiting[], at: number): void {
    if (waiting.length === 0) return;
    this.counts.turns += 1;
    const before = this.#show;
    const { clock, word } = this.#parts;
    const until = clock.now() + TURN_MS;
    let taken = takeSteps(before, waiting, at, word, () => clock.now() >= until);
    const facts = waiting.slice(0, taken.events.length);
    this.#queue.putBack(waiting.slice(facts.length).filter((w) => w !== LOOK));
    this.counts.events += taken.events.length;
    let stops = this.#out.sendStops(taken.effects);
    // still failing; the turn in which it resumes is on disk before anything that it lets move, or does not count
    if (before.recordFailing !== null && (stops || taken.show.recordFailing !== null))
      this.#record.keepFailing(taken.events, at);
    else if (mayWait(before, taken)) this.#record.keep(taken.events, DeskRecord.flushBy(at));
    // a stop is out already; its record follows with the next write, in the order performed
    else if (stops) this.#record.keep(taken.events, at);
    else if (!this.#record.write(taken.events)) {
      taken = this.#withoutRecord(before, facts, at);
      stops = this.#out.sendStops(taken.effects);
    }
    this.#show = taken.show;
    for (const l of taken.lines) this.#record.add(this.#line(l.entry, l.n, l.show), this.at);
    // of a turn that broke an invariant nothing goes out but the stop
    if (taken.breach !== null) return this.#broken(taken.breach);
    this.#out.perform(taken, stops);
    if (taken.show === before) return;
    // drawing takes a while, and a stop that has not left yet must not wait for it
    if (this.#out.leaving) void this.#out.kept.then(() => this.#tellTurn(this.#show, stops));
    else this.#tellTurn(taken.show, stops);
  }

  /** A picture that can't be drawn must not keep the desk from its next turn. */
  #tellTurn(show: Show, urgent: boolean): void {
    try {
      this.#parts.onTurn(show, urgent);
    } catch (error) {
      this.#parts.log.error(
        `what changed could not be told: ${error instanceof Error ? error.stack : String(error)}`,
      );
    }
  }

  /** The disk refused: the same facts, taken by a show that knows that nothing can be recorded. */
  #withoutRecord(before: Show, facts: readonly Waiting[], at: number): Taken {
    const { why } = this.#record;
    this.#parts.log.error(`the record can't be written: ${why}`);
    const still = facts.filter((w) => w.fact.kind !== 'recordResumed' && w.fact.kind !== 'recordFailed');
    const taken = takeSteps(
      before,
      [{ fact: { kind: 'recordFailed', why } }, ...still],
      at,
      this.#parts.word,
    );
    this.#record.keepFailing(taken.events, at);
    return taken;
  }

  #line(entry: Entry, n: number, show: Show): Line {
    return {
      n,
      at: wallOf(show, show.at),
      code: entry.reason.code,
      reason: JSON.stringify(entry.reason),
      text: this.#parts.tell(entry, show),
      prop: entry.prop ?? null,
      scene: entry.scene ?? null,
      run: entry.run ?? null,
    };
  }

  #flush(at: number): void {
    const came = this.#record.flush(at, this.#show.recordFailing !== null);
    if (came === 'resumed') {
      this.#parts.log.info('the record can be written again');
      this.now({ kind: 'recordResumed' });
      this.#record.snapshot(this.#show, this.at);
    } else if (came === 'failed') this.#turn([{ fact: { kind: 'recordFailed', why: this.#record.why } }]);
  }

  // the timer

  #arm(): void {
    if (this.#ended) return;
    const core = this.#started ? Math.max(nextDue(this.#show), this.#hearUntil) : Number.POSITIVE_INFINITY;
    const due = Math.min(core, this.#heartbeatAt, this.#record.dueAt);
    // never in the past twice running: what is overdue is looked at a millisecond on
    this.#armedFor = Math.max(due, this.#parts.clock.now() + 1);
    this.#parts.clock.wakeAt(this.#armedFor, () => this.#wake());
  }
  #armedFor = Number.POSITIVE_INFINITY;

  #wake(): void {
    if (!this.#stalled()) this.#look();
  }

  /**
   * Whether the loop stood still until now, by what was due first; then it says so, ahead of all that waits, sends the
   * heartbeat that is overdue, and judges no deadline until it has had time to hear what came meanwhile.
   */
  #stalled(): boolean {
    const forMs = this.#parts.clock.now() - Math.min(this.#armedFor, this.#heartbeatAt);
    if (forMs < STALL_MS) return false;
    this.counts.stalls += 1;
    this.#queue.addFirst({ fact: { kind: 'loopStalled', forMs } });
    this.#heartbeat(this.at);
    this.#armedFor = Number.POSITIVE_INFINITY;
    const now = this.#parts.clock.now();
    if (now >= this.#hearUntil + HEAR_AGAIN_MS) this.#hearUntil = now + HEAR_MS;
    this.#parts.clock.soon(() => this.#parts.clock.soon(() => this.#look()));
    return true;
  }

  #hearUntil = 0;

  #look(): void {
    if (this.#ended || this.#out.leaving) return;
    const at = this.at;
    if (at >= this.#heartbeatAt) this.#heartbeat(at);
    this.#watchWall();
    this.#turn(this.#queue.take());
    // a turn that stopped: looked at again once the stop has left
    if (this.#out.leaving) return;
    this.#flush(this.at);
    this.#out.answerOwed();
    this.#arm();
  }

  /** Leaves from the loop that takes events, so that a desk that hangs loses its props. */
  #heartbeat(at: number): void {
    const { desk, stop } = this.#show;
    this.#heartbeatAt = Math.max(this.#heartbeatAt + HEARTBEAT_MS, at + HEARTBEAT_MS / 2);
    if (!Number.isFinite(this.#heartbeatAt)) this.#heartbeatAt = at + HEARTBEAT_MS;
    if (!desk.connected || desk.standsDown) return;
    this.#heartbeatN += 1;
    this.#parts.bus.heartbeat(this.#who, this.#heartbeatN, stop.latched ? stop.n : 0);
  }

  #watchWall(): void {
    const { clock } = this.#parts;
    const from = clock.now();
    const offsetMs = clock.wall() - from;
    // taken off the processor between the two readings: that is no step of the wall clock
    if (clock.now() - from > CLOCK_READ_MS) return;
    if (Math.abs(offsetMs - this.#show.offsetMs) >= CLOCK_STEP_MS)
      this.#queue.add({ fact: { kind: 'clockStepped', offsetMs } });
  }

  /** An invariant is broken: stop everything, say which, write what can be written, and end. */
  #broken(breach: string): void {
    const stop = this.#show.stop.latched
      ? this.#show.stop.n
      : Math.max(this.#show.stop.n, this.#show.stop.clearedN) + 1;
    this.#parts.bus.stop(true, stop, this.#who);
    this.#ended = true;
    this.#parts.clock.stop();
    void (this.#parts.bus.flushed?.() ?? Promise.resolve()).then(() => this.#lastWords(breach, stop));
  }

  #lastWords(breach: string, stop: number): void {
    this.#parts.numbers.tryWrite({ stop });
    const line: Line = {
      n: this.#show.n,
      at: wallOf(this.#show, this.#show.at),
      code: 'breach',
      reason: JSON.stringify({ code: 'breach', breach }),
      text: `The yard computer stopped everything and itself: ${breach}`,
      prop: null,
      scene: null,
      run: null,
    };
    this.#record.add(line, this.at);
    this.#record.write();
    this.#parts.onBreach(breach);
  }
}

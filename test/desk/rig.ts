import type { BusPort, Identity } from '../../server/bus/port.ts';
import type { Clock } from '../../server/clock.ts';
import { Desk } from '../../server/desk.ts';
import { memoryJournal } from '../../server/journal/memory.ts';
import type { StopNumbers } from '../../server/journal/numbers.ts';
import type { Entry, StartMove } from '../../server/show/effects.ts';
import type { PersonFact } from '../../server/show/events.ts';
import type { Reason } from '../../server/show/reasons.ts';
import { saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { msOf } from '../show/time.ts';

/** Time that passes when told. `block` lets it pass while the loop stands still, as a slow disk does. */
export class TestClock implements Clock {
  #now: number;
  #stepped = 0;
  #wakeAt = Number.POSITIVE_INFINITY;
  #wake: (() => void) | null = null;
  #soon: (() => void)[] = [];

  constructor(at: number) {
    this.#now = at;
  }

  now(): number {
    return this.#now;
  }

  wall(): number {
    return this.#now + this.#stepped;
  }

  stepWall(ms: number): void {
    this.#stepped += ms;
  }

  wakeAt(at: number, wake: () => void): void {
    this.#wakeAt = at;
    this.#wake = wake;
  }

  soon(run: () => void): void {
    this.#soon.push(run);
  }

  stop(): void {
    this.#wake = null;
    this.#wakeAt = Number.POSITIVE_INFINITY;
  }

  block(ms: number): void {
    this.#now += ms;
  }

  settle(): void {
    for (let rounds = 0; this.#soon.length > 0; rounds++) {
      if (rounds > 1000) throw new Error('the loop never comes to rest');
      for (const run of this.#soon.splice(0)) run();
    }
  }

  pass(ms: number): void {
    const to = this.#now + ms;
    for (;;) {
      this.settle();
      if (this.#wakeAt > to || !this.#wake) break;
      this.#now = Math.max(this.#now, this.#wakeAt);
      const wake = this.#wake;
      this.stop();
      wake();
    }
    this.#now = Math.max(this.#now, to);
    this.settle();
  }
}

export interface Rig {
  readonly desk: Desk;
  readonly clock: TestClock;
  readonly journal: ReturnType<typeof memoryJournal>;
  /** What was done, in order: `append 3`, `do ferry.out`, `stop 1`, `numbers stop 1`, `heartbeat`. */
  readonly done: string[];
  readonly sent: { kind: string; at: number; stop?: number }[];
  readonly numbers: { -readonly [K in keyof StopNumbers]: number };
  readonly breaches: string[];
  readonly errors: string[];
  /** The disk refuses: the record, the small file. */
  failing: { record: string | null; numbers: boolean };
  /** How long each write of the record takes. */
  writeMs: number;
  connected: boolean;
  /** For each time the screens were told: what had been done last, and whether it was urgent. */
  readonly told: { after: string | undefined; urgent: boolean }[];
  /** Ends the waiting of `flushed`, where the rig was made with it. */
  leave(): Promise<void>;
  pass(time: string): void;
  ask(fact: PersonFact): Promise<readonly Reason[] | null>;
}

/** The real desk over a show, with a bus that takes down what it is given and a disk that can refuse or be slow. */
export function rigOf(
  show: Show,
  at: number,
  more: { flushed?: boolean; word?: string; tell?: (entry: Entry, show: Show) => string } = {},
): Rig {
  const clock = new TestClock(at);
  const journal = memoryJournal();
  journal.snapshot(show.n, 'rig', saveShow(show));
  const done: string[] = [];
  const sent: Rig['sent'] = [];
  let leave: (() => void) | null = null;
  const say = (kind: string, what = '', stop?: number): boolean => {
    if (!rig.connected) return false;
    done.push(what === '' ? kind : `${kind} ${what}`);
    sent.push({ kind, at: clock.now(), ...(stop === undefined ? {} : { stop }) });
    return true;
  };
  const bus: BusPort = {
    get connected() {
      return rig.connected;
    },
    startMove: (o: StartMove) => say('do', `${o.prop}.${o.move}`),
    haltProp: (prop) => say('halt', prop),
    stop: (latched, n) => say(latched ? 'stop' : 'cleared', `${n}`),
    announce: () => say('announce'),
    notice: () => say('notice'),
    desk: (who: Identity) => say('desk', `${who.epoch}`),
    heartbeat: (_who, _n, stop) => say('heartbeat', '', stop),
    ...(more.flushed
      ? {
          flushed: () =>
            new Promise<void>((left) => {
              leave = left;
            }),
        }
      : {}),
  };
  const rig: Rig = {
    desk: undefined as unknown as Desk,
    clock,
    journal,
    done,
    sent,
    numbers: { stop: show.stop.n, cleared: show.stop.clearedN, epoch: show.desk.epoch },
    breaches: [],
    errors: [],
    failing: { record: null, numbers: false },
    writeMs: 0,
    connected: true,
    told: [],
    async leave() {
      leave?.();
      await Promise.resolve();
      await Promise.resolve();
      await Promise.resolve();
      clock.settle();
    },
    pass: (time) => clock.pass(msOf(time)),
    async ask(fact) {
      const answer = rig.desk.ask(fact);
      clock.settle();
      const given = await answer;
      return given.ok ? null : given.refused;
    },
  };
  const desk = new Desk(
    {
      clock,
      bus,
      journal: {
        ...journal,
        append(events, lines) {
          clock.block(rig.writeMs);
          if (rig.failing.record !== null) throw new Error(rig.failing.record);
          journal.append(events, lines);
          done.push(`append ${events.map((e) => e.kind).join(' ')}`.trimEnd());
        },
      },
      numbers: {
        tryWrite(raised) {
          if (rig.failing.numbers) return false;
          Object.assign(rig.numbers, raised);
          for (const [name, n] of Object.entries(raised)) done.push(`numbers ${name} ${n}`);
          return true;
        },
      },
      yardHash: 'rig',
      word: more.word ?? show.desk.word,
      tell: more.tell ?? ((entry) => entry.reason.code),
      log: { info() {}, warn() {}, error: (text) => void rig.errors.push(text) },
      onTurn: (_show, urgent) => void rig.told.push({ after: done.at(-1), urgent }),
      onMend: () => {},
      onBreach: (text) => void rig.breaches.push(text),
    },
    show,
  );
  (rig as { desk: Desk }).desk = desk;
  desk.begin();
  return rig;
}

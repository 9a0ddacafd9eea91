import { Desk } from '../desk.ts';
import { memoryJournal } from '../journal/memory.ts';
import type { NightTimes } from '../plan/tonight.ts';
import { mendNow } from '../plan-keeper.ts';
import { seeded } from '../show/chance.ts';
import type { Entry } from '../show/effects.ts';
import { newShow } from '../show/fresh.ts';
import { saveShow } from '../show/save.ts';
import type { Show } from '../show/show.ts';
import { type VirtualFleet, virtualFleet } from '../standin/fleet.ts';
import { tellEntry } from '../words-of.ts';
import type { Yard } from '../yard/types.ts';
import { VirtualBus } from './virtual-bus.ts';
import { VirtualClock } from './virtual-clock.ts';

/** The desk, its bus and its boards in one virtual time: what the daemon is, without anything real around it. */
export interface Rehearsal {
  readonly desk: Desk;
  readonly fleet: VirtualFleet;
  readonly clock: VirtualClock;
  readonly bus: VirtualBus;
  readonly journal: ReturnType<typeof memoryJournal>;
  /** An invariant that was broken, in words; null while none is. */
  readonly breach: string | null;
  /** Runs until this instant. */
  runTo(atMs: number): void;
}

export interface RehearsalOptions {
  readonly yard: Yard;
  readonly startMs: number;
  readonly seed?: number;
  readonly night?: NightTimes | null;
  /** Looked at after every turn of the desk, with the true state of the props at hand. */
  readonly watch?: (r: Rehearsal) => void;
  /** Each line as it goes to the record, with the show as it then was. */
  readonly heard?: (entry: Entry, after: Show) => void;
}

/** The start of a desk and its boards at an instant of virtual time. Nothing in it knows that it is not real. */
export function rehearse(options: RehearsalOptions): Rehearsal {
  const { yard, startMs, seed = yard.seed } = options;
  const clock = new VirtualClock(startMs);
  const journal = memoryJournal();
  const show = newShow(yard);
  journal.snapshot(0, 'rehearsal', saveShow(show));
  let breach: string | null = null;
  let mending = false;
  const chance = seeded(`rehearsal ${seed}`);
  const word = Math.floor(chance() * 2 ** 32).toString(36);
  // both ways take a moment, as on a network; order is kept
  const toBoards: [number, string, unknown, boolean][] = [];
  const bus = new VirtualBus(yard, word, (topic, payload, retain) => {
    toBoards.push([clock.now() + LATENCY_MS, topic, payload, retain]);
  });
  const desk = new Desk(
    {
      clock,
      bus,
      journal,
      numbers: { tryWrite: () => true },
      yardHash: 'rehearsal',
      word,
      tell(entry, after) {
        options.heard?.(entry, after);
        return tellEntry(entry, after);
      },
      log: QUIET,
      onTurn: () => options.watch?.(rehearsal),
      onMend: () => {
        if (mending) return;
        mending = true;
        clock.soon(() => {
          mending = false;
          mendNow(desk);
        });
      },
      onBreach: (text) => {
        breach ??= text;
      },
    },
    show,
  );
  const fleet = virtualFleet({
    yard,
    seed,
    atMs: startMs,
    onMessage: (topic, payload) => bus.hear(desk, topic, payload, false),
  });
  const rehearsal: Rehearsal = {
    desk,
    fleet,
    clock,
    bus,
    journal,
    get breach() {
      return breach;
    },
    runTo(atMs) {
      for (;;) {
        clock.settle();
        const next = Math.min(
          clock.nextWake,
          fleet.nextDue() ?? Number.POSITIVE_INFINITY,
          toBoards[0]?.[0] ?? Number.POSITIVE_INFINITY,
        );
        if (next > atMs || breach !== null) break;
        const at = Math.max(next, clock.now());
        clock.goTo(at);
        fleet.advanceTo(at);
        while (toBoards.length > 0 && toBoards[0]![0] <= at) {
          const [, topic, payload, retain] = toBoards.shift()!;
          fleet.receive(at, topic, payload, retain);
        }
      }
      if (breach === null && atMs > clock.now()) clock.goTo(atMs);
      clock.settle();
    },
  };
  desk.now({
    kind: 'deskStarted',
    epoch: 1,
    word,
    offsetMs: 0,
    stop: 0,
    cleared: 0,
    night: options.night ?? null,
  });
  desk.tell({ kind: 'busConnected' });
  desk.begin();
  return rehearsal;
}

const LATENCY_MS = 2;
const QUIET = { info() {}, warn() {}, error() {} };

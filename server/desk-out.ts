import type { BusPort, Identity } from './bus/port.ts';
import type { Taken } from './desk-steps.ts';
import type { Numbers } from './journal/numbers.ts';
import type { Effect } from './show/effects.ts';
import type { Fact } from './show/events.ts';

export interface OutParts {
  readonly bus: BusPort;
  readonly numbers: Pick<Numbers, 'tryWrite'>;
  readonly log: { error(text: string): void };
  /** The rest of tonight's plan should be mended. */
  readonly onMend: () => void;
}

/** What it asks and tells of the desk. */
export interface OutEnds {
  /** As whom the desk speaks now. */
  readonly who: () => Identity;
  /** A fact that follows from what went out, or could not. */
  readonly tell: (fact: Fact) => void;
  /** Nothing is on its way out any more: the desk may go on. */
  readonly onGone: () => void;
}

/**
 * What leaves the desk: the stops of a turn ahead of everything, and the rest of it once it is written. Until a stop has
 * left the process nothing is written and no further turn is taken, but for another stop.
 */
export class DeskOut {
  readonly #parts: OutParts;
  readonly #ends: OutEnds;
  #onTheirWay = 0;
  #owed: Taken['answers'][number][] = [];
  /** Whether a bus took a stop; whoever asks that of one stop sets it false before. */
  handed = false;
  /** Resolves once the last stop has left and its number is on disk, or the disk has refused that. */
  kept: Promise<void> = Promise.resolve();

  constructor(parts: OutParts, ends: OutEnds) {
    this.#parts = parts;
    this.#ends = ends;
  }

  /** Whether a stop is on its way out of the process. */
  get leaving(): boolean {
    return this.#onTheirWay > 0;
  }

  /** Sends the stops among the effects; whether there were any. */
  sendStops(effects: readonly Effect[]): boolean {
    const { bus, numbers } = this.#parts;
    const { who } = this.#ends;
    for (const e of effects) {
      if (e.kind !== 'sendStop') continue;
      this.handed = bus.stop(true, e.stop, who()) || this.handed;
    }
    const fresh = effects.filter((e) => e.kind === 'sendStop').filter((e) => !e.repeat);
    if (fresh.length === 0) return effects.some((e) => e.kind === 'sendStop');
    const stop = Math.max(...fresh.map((e) => e.stop));
    const left = bus.flushed?.();
    if (left) this.#letOut(stop, left);
    else numbers.tryWrite({ stop });
    return true;
  }

  #letOut(stop: number, left: Promise<void>): void {
    this.#onTheirWay += 1;
    const gone = left.catch(() => {});
    this.kept = gone.then(() => {
      this.#onTheirWay -= 1;
      this.#parts.numbers.tryWrite({ stop });
    });
    void this.kept.then(() => {
      if (!this.leaving) this.#ends.onGone();
    });
  }

  /** All that a turn does but its stops, which `sendStops` has sent; then its answers. */
  perform({ effects, answers, show }: Taken, stops: boolean): void {
    for (const e of effects) {
      // nothing that moves goes out with a stop or after it
      if (e.kind === 'startMove' && stops) continue;
      this.#do(e, show.stop.latched);
    }
    // a turn that stopped is written once the stop has left; what else it was asked is answered then
    if (stops) this.#owed.push(...answers);
    else answerAll(answers);
  }

  /** Answers what was asked in a turn that stopped: its stop has left and its record is written. */
  answerOwed(): void {
    answerAll(this.#owed.splice(0));
  }

  #do(e: Effect, latched: boolean): void {
    const { bus } = this.#parts;
    const { who } = this.#ends;
    switch (e.kind) {
      case 'startMove':
        bus.startMove(e, who());
        break;
      case 'haltProp':
        bus.haltProp(e.prop, e.why, who());
        break;
      case 'clearStop':
        this.#clearStop(e.stop, latched);
        break;
      case 'announce':
        bus.announce(who());
        break;
      case 'giveNotice':
        bus.notice(e.inMs, who());
        break;
      case 'publishDesk':
        bus.desk(who());
        break;
      case 'takeEpoch':
        // it is written down, and nothing is while a stop is on its way out
        if (this.leaving) void this.kept.then(() => this.#takeEpoch(e.above));
        else this.#takeEpoch(e.above);
        break;
      case 'mendPlan':
        this.#parts.onMend();
        break;
    }
  }

  /** A clear is on disk before it is published; where the small file can't be written the boards stay stopped. */
  #clearStop(n: number, stoppedAgain: boolean): void {
    const { bus, numbers, log } = this.#parts;
    // overtaken in the same turn: the stop's number is above it, and must be the last word on the bus
    if (stoppedAgain) return;
    if (numbers.tryWrite({ cleared: n })) return void bus.stop(false, n, this.#ends.who());
    // the boards stay stopped, and the page must not say otherwise
    log.error(`the clear of stop ${n} could not be written, so it was not sent, and the yard stays stopped`);
    this.#ends.tell({ kind: 'stopPressed', by: 'clear-unwritten' });
  }

  #takeEpoch(above: number): void {
    const { numbers, log } = this.#parts;
    const epoch = above + 1;
    if (numbers.tryWrite({ epoch })) this.#ends.tell({ kind: 'epochTaken', epoch });
    else log.error(`epoch ${epoch} could not be written; this desk can't take over`);
  }
}

function answerAll(answers: Taken['answers']): void {
  for (const a of answers)
    a.answer(a.refused.length === 0 ? { ok: true } : { ok: false, refused: a.refused });
}

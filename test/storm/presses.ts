import type { Message } from './message.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

interface Press {
  readonly p: Process;
  stopOut: boolean;
  orders: number;
}

/** A loop that stood still may not have learned yet that its connection is gone. */
const isUp = (p: Process): boolean => p.line?.state === 'up' && p.line.conn !== null;

/** 10 and 11: a stop that is pressed leaves at once, before anything is written, and does nothing but stop. */
export class Presses {
  readonly #r: Referee;
  #now: Press | null = null;

  constructor(referee: Referee) {
    this.#r = referee;
  }

  pressed(p: Process, press: () => { n: number; bus: boolean }): void {
    const up = isUp(p) && p.driving;
    const mine: Press = { p, stopOut: false, orders: 0 };
    this.#now = mine;
    const said = press();
    this.#now = null;
    if (!p.alive) return;
    const { show } = p.desk;
    this.#r.ask(10);
    if (!show.stop.latched) this.#r.breach(10, 'a stop was pressed and is not latched');
    if (up && !mine.stopOut && isUp(p)) this.#r.breach(10, `stop ${said.n} was pressed and did not leave`);
    if (up && mine.stopOut && isUp(p) && !said.bus)
      this.#r.breach(10, `stop ${said.n} left, and the person was told otherwise`);
    this.#r.ask(11);
    if (mine.orders > 0) this.#r.breach(11, 'a stop that was pressed told something to move');
    if (show.mode !== 'stopped') this.#r.breach(11, `a stop was pressed and the mode is ${show.mode}`);
  }

  sent(m: Message): void {
    if (!this.#now) return;
    if (m.kind === 'stop' && m.data?.latched === true) this.#now.stopOut = true;
    if (m.kind === 'do') this.#now.orders += 1;
  }

  /** From when a stop is handed to the bus until it has left the process, nothing is written. */
  leaving(p: Process, left: boolean): void {
    const n = (this.#leaving.get(p) ?? 0) + (left ? -1 : 1);
    this.#leaving.set(p, n);
  }
  readonly #leaving = new WeakMap<Process, number>();

  writes(p: Process): void {
    if (!p.alive || p.ending) return;
    if (this.#now?.p === p && !this.#now.stopOut && isUp(p))
      this.#r.breach(10, 'the disk was written to before the stop that was pressed had left');
    else if ((this.#leaving.get(p) ?? 0) > 0)
      this.#r.breach(10, 'the disk was written to while a stop was still on its way out');
  }
}

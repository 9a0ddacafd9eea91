import type { Message } from './message.ts';
import type { Process } from './process.ts';
import type { Referee } from './referee.ts';

interface Press {
  readonly p: Process;
  /** Writes to the disk tried before the stop was handed to the bus. */
  writesBefore: number;
  stopOut: boolean;
  orders: number;
}

/** 10 and 11: a stop that is pressed leaves at once, before anything is written, and does nothing but stop. */
export class Presses {
  readonly #r: Referee;
  #now: Press | null = null;

  constructor(referee: Referee) {
    this.#r = referee;
  }

  pressed(p: Process, press: () => { n: number; bus: boolean }): void {
    const up = p.line?.state === 'up' && p.driving;
    const mine: Press = { p, writesBefore: 0, stopOut: false, orders: 0 };
    this.#now = mine;
    const said = press();
    this.#now = null;
    if (!p.alive) return;
    const { show } = p.desk;
    this.#r.ask(10);
    if (!show.stop.latched) this.#r.breach(10, 'a stop was pressed and is not latched');
    if (up && !mine.stopOut && p.line?.state === 'up')
      this.#r.breach(10, `stop ${said.n} was pressed and did not leave`);
    if (mine.writesBefore > 0) this.#r.breach(10, 'the disk was written to before the stop had left');
    this.#r.ask(11);
    if (mine.orders > 0) this.#r.breach(11, 'a stop that was pressed told something to move');
    if (show.mode !== 'stopped') this.#r.breach(11, `a stop was pressed and the mode is ${show.mode}`);
  }

  sent(m: Message): void {
    if (!this.#now) return;
    if (m.kind === 'stop' && m.data?.latched === true) this.#now.stopOut = true;
    if (m.kind === 'do') this.#now.orders += 1;
  }

  writes(): void {
    if (this.#now && !this.#now.stopOut) this.#now.writesBefore += 1;
  }
}

import { MESSAGES, type MessageKind, type Payload } from '../bus/contract.ts';
import { indexYard, readMessage, type YardIndex } from '../bus/intake.ts';
import type { BusListener, BusPort, Identity } from '../bus/port.ts';
import { readTopic, topicOf } from '../bus/topics.ts';
import type { StartMove } from '../show/effects.ts';
import type { Yard } from '../yard/types.ts';

/** Where the desk's messages go: the virtual boards. */
export type Deliver = (topic: string, payload: unknown, retain: boolean) => void;

/**
 * A bus without a broker, for rehearsals: what the desk says reaches every board at once, and what a board says goes
 * through the same reading as on the real bus. Beats take a short way, since a night has millions of them.
 */
export class VirtualBus implements BusPort {
  connected = true;
  readonly #root: string;
  readonly #own: { word: string; stop: number; cleared: number };
  readonly #index: YardIndex;
  readonly #deliver: Deliver;
  readonly #silenceMs: number;
  readonly #text = new TextEncoder();
  /** Every `do` handed over, for reports. */
  orders = 0;

  constructor(yard: Yard, word: string, deliver: Deliver) {
    this.#root = yard.bus.root;
    this.#own = { word, stop: 0, cleared: 0 };
    this.#index = indexYard(yard, this.#own);
    this.#deliver = deliver;
    this.#silenceMs = yard.bus.silenceMs;
  }

  /** Word of a board, as the broker gives it to the desk. */
  hear(listener: BusListener, topic: string, payload: unknown, retained: boolean): void {
    const address = readTopic(this.#root, topic);
    if (address?.kind === 'beat')
      return listener.beat(address.ids[0]!, (payload as { session: string }).session);
    const heard = readMessage(this.#index, topic, this.#text.encode(JSON.stringify(payload)), retained);
    if ('fact' in heard) listener.fact(heard.fact);
    else if ('beat' in heard) listener.beat(...heard.beat);
    else if ('dropped' in heard) listener.dropped(topic, heard.dropped);
  }

  startMove(o: StartMove, who: Identity): boolean {
    this.orders += 1;
    const { prop, run, step, move, session, limitMs, lastsMs } = o;
    const timed = lastsMs === undefined ? {} : { lastsMs };
    return this.#say('do', { prop, run, step, move, session, ...who, limitMs, ...timed }, prop);
  }

  haltProp(prop: string, why: string, who: Identity): boolean {
    return this.#say('halt', { prop, epoch: who.epoch, why }, prop);
  }

  stop(latched: boolean, n: number, who: Identity): boolean {
    const said = latched ? 'stop' : 'cleared';
    this.#own[said] = Math.max(this.#own[said], n);
    return this.#say('stop', { latched, n, ...who });
  }

  announce(who: Identity): boolean {
    return this.#say('announce', { ...who });
  }

  notice(inMs: number, who: Identity): boolean {
    return this.#say('notice', { epoch: who.epoch, inMs });
  }

  desk(who: Identity): boolean {
    return this.#say('desk', { up: true, ...who, contract: 1 });
  }

  heartbeat(who: Identity, n: number, stop: number): boolean {
    return this.#say('heartbeat', { ...who, n, silenceMs: this.#silenceMs, stop });
  }

  #say<K extends MessageKind>(kind: K, payload: Payload<K>, ...ids: string[]): boolean {
    if (!this.connected) return false;
    this.#deliver(topicOf(this.#root, kind, ...ids), payload, MESSAGES[kind].retain);
    return true;
  }
}

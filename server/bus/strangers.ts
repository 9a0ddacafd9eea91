import type { YardIndex } from './intake.ts';
import { readPayload } from './payload.ts';
import { readTopic } from './topics.ts';

/** A sensor that a board speaks of; `made` null where nothing of its present session has been said. */
export interface StrangerSensor {
  readonly id: string;
  readonly made: boolean | null;
}

/** A board that said `link` and has props that the yard file does not know. */
export interface StrangerBoard {
  readonly id: string;
  readonly firmware: string | null;
  readonly up: boolean;
  readonly props: readonly { readonly id: string; readonly sensors: readonly StrangerSensor[] }[];
}

interface Board {
  session: string;
  first: string;
  up: boolean;
  firmware: string | null;
  props: readonly string[];
}

/** More than any yard; a flood of invented names must not fill the memory. */
const BOARDS_MOST = 100;
const SENSORS_MOST = 2_000;
const PROPS_EACH = 50;
const FIRMWARE_CHARS = 40;

/**
 * Who is on the bus without being in the yard file, for a person who is writing one. It only listens: nothing here reaches
 * the core, and no board is told anything.
 */
export class Strangers {
  readonly #boards = new Map<string, Board>();
  readonly #sensors = new Map<string, { prop: string; id: string; made: boolean; session: string }>();

  /** A message that the desk had no use for. */
  hear({ root, controllers, props }: YardIndex, topic: string, payload: Uint8Array): void {
    const address = readTopic(root, topic);
    if (address?.kind === 'link') {
      const [id] = address.ids;
      if (!controllers.has(id!)) this.#link(id!, payload);
    } else if (address?.kind === 'sense') {
      const [prop, id] = address.ids;
      if (!props.has(prop!)) this.#sense(prop!, id!, payload);
    }
  }

  /** Those that this yard file does not know, and of each the props that it does not. */
  list({ controllers, props }: Pick<YardIndex, 'controllers' | 'props'>): StrangerBoard[] {
    const out: StrangerBoard[] = [];
    for (const [id, board] of this.#boards) {
      if (controllers.has(id)) continue;
      const unknown = board.props.filter((prop) => !props.has(prop));
      out.push({
        id,
        firmware: board.firmware,
        up: board.up,
        props: unknown.map((prop) => ({ id: prop, sensors: this.#of(prop, board.session) })),
      });
    }
    return out.sort((a, b) => (a.id < b.id ? -1 : 1));
  }

  #link(id: string, payload: Uint8Array): void {
    const read = readPayload('link', payload);
    if (!read.ok) return;
    const known = this.#boards.get(id);
    if (!read.value.up) {
      // a will counts only if it is of the connection that stands
      if (known?.first === read.value.session) known.up = false;
      return;
    }
    if (!known && this.#boards.size >= BOARDS_MOST) return;
    const { session, first, props, firmware } = read.value;
    this.#boards.set(id, {
      session,
      first,
      up: true,
      firmware: firmware?.slice(0, FIRMWARE_CHARS) ?? null,
      props: [...new Set(props)].slice(0, PROPS_EACH),
    });
  }

  #sense(prop: string, id: string, payload: Uint8Array): void {
    const read = readPayload('sense', payload);
    if (!read.ok || read.value.prop !== prop) return;
    const key = `${prop}/${id}`;
    if (!this.#sensors.has(key) && this.#sensors.size >= SENSORS_MOST) return;
    this.#sensors.set(key, { prop, id, made: read.value.made, session: read.value.session });
  }

  #of(prop: string, session: string): StrangerSensor[] {
    return [...this.#sensors.values()]
      .filter((s) => s.prop === prop)
      .map((s) => ({ id: s.id, made: s.session === session ? s.made : null }));
  }
}

import type { BusFact } from '../show/events.ts';
import type { Yard } from '../yard/types.ts';
import { MESSAGES, type Payload } from './contract.ts';
import { type Drop, type DropCode, drop } from './drop.ts';
import { readPayload } from './payload.ts';
import { type Address, readTopic } from './topics.ts';

/** What this desk has said itself, to tell its own echo from another's words. */
export interface Own {
  readonly word: string;
  /** The highest stop it has published, and the highest it has cleared. */
  readonly stop: number;
  readonly cleared: number;
}

/** What a message is judged against. */
export interface YardIndex {
  readonly root: string;
  readonly controllers: Yard['controllers'];
  readonly props: Yard['props'];
  readonly own: Own;
}

export type Heard =
  | { readonly fact: BusFact }
  /** Controller and session. */
  | { readonly beat: readonly [string, string] }
  | { readonly dropped: Drop }
  /** Our own echo, or an order of a desk that asks nothing of a desk. */
  | { readonly ours: true };

/**
 * Epochs and numbers of stops above this are dropped as planted: both are raised by one above the highest heard, and
 * whoever plants the greatest whole number there is must not leave us without a greater one.
 */
export const NUMBER_HEARD_MAX = 2 ** 48;
const TEXT_CHARS_MAX = 200;
const OURS: Heard = { ours: true };

/** The yard as `readMessage` wants it. `own` may be changed in place as the desk speaks. */
export function indexYard(yard: Yard, own: Own): YardIndex {
  return { root: yard.bus.root, controllers: yard.controllers, props: yard.props, own };
}

/**
 * A message to a fact, by every rule of the contract: whatever does not parse, is too large, names what is not in
 * the yard, disagrees with its topic or is retained where it may not be, is dropped with the reason. Pure; never throws,
 * whatever the bytes. `retained` is the flag as it arrived: true only for what the broker had kept from earlier.
 */
export function readMessage(index: YardIndex, topic: string, payload: Uint8Array, retained: boolean): Heard {
  const address = readTopic(index.root, topic);
  if (address === null) return dropped('unreadable', 'no topic of the contract');
  if (retained && !MESSAGES[address.kind].retain)
    return dropped('kept', `retained, which a ${address.kind} never is`);
  switch (address.kind) {
    case 'desk':
      return readDesk(index, payload, retained);
    case 'heartbeat':
      return readHeartbeat(index, payload);
    case 'stop':
      return readStop(index, payload);
    case 'announce':
    case 'do':
      return readOrder(index, address.kind, payload);
    case 'halt':
    case 'notice':
      // they bear no desk's word, and ask nothing of a desk
      return readPayloadOr(address.kind, payload, () => OURS);
    case 'link':
    case 'beat':
    case 'stopped':
      return readController(index, address, payload, retained);
    case 'did':
    case 'sense':
      return readProp(index, address, payload, retained);
  }
}

function readDesk(index: YardIndex, payload: Uint8Array, retained: boolean): Heard {
  return readPayloadOr('desk', payload, (said) => {
    // our own `up` is an echo; our own will is not: someone must put `desk` right again
    if (said.desk === index.own.word && said.up) return OURS;
    if (said.epoch > NUMBER_HEARD_MAX) return dropped('unreadable', `epoch ${said.epoch} can't be`);
    return fact({
      kind: 'deskHeard',
      desk: said.desk,
      epoch: said.epoch,
      up: said.up,
      by: 'desk',
      retained,
    });
  });
}

function readHeartbeat(index: YardIndex, payload: Uint8Array): Heard {
  return readPayloadOr('heartbeat', payload, (said) => {
    if (said.desk === index.own.word) return OURS;
    if (said.epoch > NUMBER_HEARD_MAX) return dropped('unreadable', `epoch ${said.epoch} can't be`);
    return fact({
      kind: 'deskHeard',
      desk: said.desk,
      epoch: said.epoch,
      up: true,
      by: 'heartbeat',
      retained: false,
    });
  });
}

/**
 * Our own `stop` comes back to us. Since anyone may copy our word from the bus, it only passes for our own while it
 * says what we have said: a higher stop under our word still stops, and a clear that we did not give is shown.
 */
function readStop(index: YardIndex, payload: Uint8Array): Heard {
  return readPayloadOr('stop', payload, (said) => {
    if (said.n > NUMBER_HEARD_MAX || said.epoch > NUMBER_HEARD_MAX) {
      return dropped('unreadable', `stop ${said.n} of epoch ${said.epoch} can't be`);
    }
    if (said.desk === index.own.word) {
      if (said.latched ? said.n <= index.own.stop : said.n <= index.own.cleared) return OURS;
      if (!said.latched)
        return dropped('barred', `cleared stop ${said.n} in this desk's name, which it did not`);
    }
    return fact({
      kind: 'stopHeard',
      latched: said.latched,
      stop: said.n,
      desk: said.desk,
      epoch: said.epoch,
    });
  });
}

function readOrder(index: YardIndex, kind: 'announce' | 'do', payload: Uint8Array): Heard {
  return readPayloadOr(kind, payload, (said) =>
    said.desk === index.own.word ? OURS : dropped('barred', `from another desk, ${said.desk.slice(0, 40)}`),
  );
}

function readController(index: YardIndex, address: Address, payload: Uint8Array, retained: boolean): Heard {
  const controller = address.ids[0]!;
  if (!index.controllers.has(controller))
    return dropped('unknown', `no controller ${controller} in the yard file`, controller);
  if (address.kind === 'link') {
    return readPayloadOr('link', payload, (said) => linkFact(index, controller, said, retained));
  }
  if (address.kind === 'beat') {
    return readPayloadOr('beat', payload, (said) => ({ beat: [controller, said.session] }));
  }
  return readPayloadOr('stopped', payload, (said) =>
    fact({ kind: 'stoppedHeard', controller, stop: said.n, session: said.session, safe: said.safe }),
  );
}

function linkFact(index: YardIndex, controller: string, said: Payload<'link'>, retained: boolean): Heard {
  if (!said.up) return fact({ kind: 'linkHeard', controller, up: false, session: said.session, retained });
  // A number that can't be counts as none. The link itself does count: where the highest number that can be was planted,
  // ours is above it, and boards that obeyed ours must go on being heard.
  const mine = Math.max(index.own.stop, index.own.cleared);
  const stop = said.stop > NUMBER_HEARD_MAX && said.stop > mine ? 0 : said.stop;
  const epoch = said.epoch > NUMBER_HEARD_MAX ? 0 : said.epoch;
  return fact({
    kind: 'linkHeard',
    controller,
    up: true,
    session: said.session,
    first: said.first,
    // a board may drive more than this yard names; what the yard does not know is no prop of ours
    props: [...new Set(said.props)].filter((prop) => index.props.has(prop)),
    stop,
    epoch,
    retained,
    ...(said.firmware === undefined ? {} : { firmware: said.firmware.slice(0, TEXT_CHARS_MAX) }),
  });
}

function readProp(index: YardIndex, address: Address, payload: Uint8Array, retained: boolean): Heard {
  const [id, sensor] = address.ids as [string, string | undefined];
  const prop = index.props.get(id);
  if (prop === undefined) return dropped('unknown', `no prop ${id} in the yard file`, id);
  if (sensor === undefined) {
    return readPayloadOr('did', payload, (said) => {
      if (said.prop !== id) return dropped('unreadable', `is of ${said.prop}, on the topic of ${id}`);
      if (said.is !== 'halted' && !prop.moves.has(said.move))
        return dropped('unknown', `${id} has no move ${said.move}`, `${id}.${said.move}`);
      return fact(moveFact(id, said));
    });
  }
  if (!prop.sensors.has(sensor))
    return dropped('unknown', `${id} has no sensor ${sensor} in the yard file`, `${id}.${sensor}`);
  return readPayloadOr('sense', payload, (said) => {
    if (said.prop !== id) return dropped('unreadable', `is of ${said.prop}, on the topic of ${id}`);
    return fact({
      kind: 'sensorChanged',
      prop: id,
      sensor,
      made: said.made,
      session: said.session,
      count: said.n,
      retained,
    });
  });
}

function moveFact(prop: string, said: Payload<'did'>): BusFact {
  const moved = { kind: 'moveReported', prop, session: said.session } as const;
  switch (said.is) {
    case 'halted':
      return { ...moved, run: said.run ?? '', step: said.step ?? 0, move: said.move ?? '', is: 'halted' };
    case 'started':
      return { ...moved, run: said.run, step: said.step, move: said.move, is: 'started' };
    case 'done':
      return { ...moved, run: said.run, step: said.step, move: said.move, is: 'done', ms: said.ms };
    case 'refused':
    case 'failed': {
      const why = said.why.slice(0, TEXT_CHARS_MAX);
      return { ...moved, run: said.run, step: said.step, move: said.move, is: said.is, why };
    }
  }
}

function readPayloadOr<K extends keyof typeof MESSAGES>(
  kind: K,
  payload: Uint8Array,
  then: (said: Payload<K>) => Heard,
): Heard {
  const read = readPayload(kind, payload);
  return read.ok ? then(read.value) : dropped('unreadable', read.why);
}

function fact(given: BusFact): Heard {
  return { fact: given };
}

function dropped(code: DropCode, why: string, what?: string): Heard {
  return { dropped: drop(code, why, what) };
}

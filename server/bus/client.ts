import { randomBytes } from 'node:crypto';
import type { StartMove } from '../show/effects.ts';
import type { Yard } from '../yard/types.ts';
import type { Broker } from './broker.ts';
import { CONTRACT, HEARTBEAT_EVERY_MS, MESSAGES, type MessageKind, type Payload } from './contract.ts';
import { dial } from './dial.ts';
import { indexYard, readMessage } from './intake.ts';
import type { Line, LineEnds, Log, Outgoing } from './line.ts';
import { writePayload } from './payload.ts';
import type { BusListener, BusPort, Identity } from './port.ts';
import { type Scouted, scoutLine } from './scout.ts';
import { type StrangerBoard, Strangers } from './strangers.ts';
import { filterOf, topicOf } from './topics.ts';

export interface BusOptions {
  readonly yard: Yard;
  /** The desk's own broker, already started under the same `word`, or the address of another. */
  readonly at: { readonly broker: Broker } | { readonly url: string };
  /** This start's random word. */
  readonly word: string;
  readonly listener: BusListener;
  /** The way to the broker stands, subscriptions and all; or is gone. What was heard comes after it. */
  readonly onConnection: (connected: boolean) => void;
  readonly log: Log;
}

export interface Bus extends BusPort {
  /**
   * Before beginning on another's broker: listens for so long, counted from the moment the subscriptions stand, and
   * says the highest epoch in what it retains of `desk` and `link`, and the desk whose heartbeat it heard. May be asked again.
   * On the own broker it answers at once, since nobody can have been there before. Rejects once the bus is closed.
   */
  scout(ms: number): Promise<Scouted>;
  /** Connects, with the will in this desk's name. From now on the listener hears, and the port says. */
  begin(who: Identity): void;
  /**
   * Resolves once what was handed over before has left this process, at most 50 ms later; never rejects. Whoever is to
   * write a stop to disk waits for this first: the write holds up the loop, and with it a stop not yet out.
   */
  flushed(): Promise<void>;
  /** Boards that speak here and are in no yard file, with their props and what their sensors say. */
  strangers(): StrangerBoard[];
  /** Another yard file holds: from here on its boards, props and sensors are known. Root and silence stay. */
  knows(yard: Yard): void;
  /** Says `desk` with `up` false, unless a higher desk has taken over, and leaves. The broker stays. */
  close(): Promise<void>;
}

/** What the desk listens to. `do` only to see planted ones; what it says itself comes back and proves the way. */
const HEARD = ['desk', 'heartbeat', 'stop', 'link', 'beat', 'stopped', 'do', 'did', 'sense'] as const;

/** So many heartbeats that did not come back, and the way is dead whatever TCP says: two seconds of them. */
const UNECHOED_MAX = 2000 / HEARTBEAT_EVERY_MS;

/**
 * The desk's bus: payloads and topics by the contract, over a line to a broker. Throws where `url` is no address of MQTT.
 */
export function openBus(options: BusOptions): Bus {
  const { yard, at, word, listener, log } = options;
  if ('url' in at) checkUrl(at.url);
  const root = yard.bus.root;
  const own = { word, stop: 0, cleared: 0 };
  let index = indexYard(yard, own);
  const strangers = new Strangers();
  const clientId = `desk-${randomBytes(8).toString('hex')}`;
  const heartbeatTopic = topicOf(root, 'heartbeat');
  const expirySeconds = Math.max(1, Math.ceil(yard.bus.silenceMs / 1000));
  let line: Line | null = null;
  let scouting: ReturnType<typeof scoutLine> | null = null;
  let identity: Identity = { desk: word, epoch: 0 };
  let outranked = false;
  let closed = false;
  /** Heartbeats said since one came back; null until one has: an access list may keep them from us. */
  let unechoed: number | null = null;

  const ends: LineEnds = {
    up() {
      unechoed = null;
      options.onConnection(true);
    },
    down: () => options.onConnection(false),
    get crowded() {
      return listener.crowded ?? false;
    },
    refused: (topic, drop) => listener.dropped(topic, drop),
    message(topic, payload, retained) {
      const heard = readMessage(index, topic, payload, retained);
      if ('beat' in heard) return listener.beat(...heard.beat);
      if ('dropped' in heard) {
        strangers.hear(index, topic, payload);
        return listener.dropped(topic, heard.dropped);
      }
      if ('ours' in heard) {
        if (topic === heartbeatTopic) unechoed = 0;
        return;
      }
      const { fact } = heard;
      if (fact.kind === 'deskHeard' && ranksAbove(fact, identity)) outranked = true;
      listener.fact(fact);
    },
  };

  function message<K extends MessageKind>(kind: K, payload: Payload<K>, ...ids: string[]): Outgoing {
    const { qos, retain } = MESSAGES[kind];
    return { topic: topicOf(root, kind, ...ids), payload: writePayload(kind, payload), qos, retain };
  }

  /** A `stop` goes out by any way there is; everything else only where the subscriptions stand. */
  function send(outgoing: Outgoing, urgent = false): boolean {
    if (line !== null) return line.send(outgoing, urgent);
    return urgent && scouting !== null ? scouting.send(outgoing) : false;
  }

  const upFalse = (who: Identity) => message('desk', { up: false, desk: who.desk, epoch: who.epoch });

  return {
    get connected() {
      return line?.state === 'up';
    },
    startMove(order, who) {
      return send({ ...message('do', doPayload(order, who), order.prop), expirySeconds });
    },
    haltProp: (prop, why, who) => send(message('halt', { prop, epoch: who.epoch, why }, prop)),
    stop(latched, n, who) {
      // before it goes out, for it may come back at once
      const said = own[latched ? 'stop' : 'cleared'];
      own[latched ? 'stop' : 'cleared'] = Math.max(said, n);
      return send(message('stop', { latched, n, desk: who.desk, epoch: who.epoch }), true);
    },
    announce: (who) => send(message('announce', { desk: who.desk, epoch: who.epoch })),
    notice: (inMs, who) => send(message('notice', { epoch: who.epoch, inMs })),
    desk(who) {
      identity = who;
      outranked = false;
      return send(message('desk', { up: true, desk: who.desk, epoch: who.epoch, contract: CONTRACT }));
    },
    heartbeat(who, n, stop) {
      const { silenceMs } = yard.bus;
      const sent = send(message('heartbeat', { desk: who.desk, epoch: who.epoch, n, silenceMs, stop }));
      // counted and not timed: a process that stood still for a minute has not proved its way dead
      if (sent && unechoed !== null && ++unechoed > UNECHOED_MAX) {
        line?.reset(`${UNECHOED_MAX} heartbeats did not come back from the broker`);
      }
      return sent;
    },
    scout(ms) {
      if (closed) return Promise.reject(new Error('the bus is closed'));
      if ('broker' in at) return Promise.resolve({ highestEpoch: 0, other: null });
      scouting ??= scoutLine({
        url: at.url,
        clientId: `${clientId}s`,
        index,
        log,
        onStop: (fact) => listener.fact(fact),
      });
      return scouting.listen(ms);
    },
    begin(who) {
      if (closed || line !== null) return;
      identity = who;
      void scouting?.close();
      scouting = null;
      if ('broker' in at) {
        line = at.broker.line(ends);
        return;
      }
      const filters = HEARD.map((kind) => filterOf(root, kind));
      line = dial({ url: at.url, clientId, filters, will: () => upFalse(identity), log }, ends);
    },
    flushed: () => line?.flushed() ?? Promise.resolve(),
    strangers: () => strangers.list(index),
    knows(changed) {
      index = indexYard(changed, own);
    },
    async close() {
      if (closed) return;
      closed = true;
      await scouting?.close();
      // a desk that stands down leaves the other's `desk` as it is
      await line?.close(outranked ? undefined : upFalse(identity));
    },
  };
}

function doPayload(order: StartMove, who: Identity): Payload<'do'> {
  const { prop, run, step, move, session, limitMs, lastsMs } = order;
  const timed = lastsMs === undefined ? {} : { lastsMs };
  return { prop, run, step, move, session, desk: who.desk, epoch: who.epoch, limitMs, ...timed };
}

/** The contract's order of desks: by epoch, and where two are equal, by word as text. */
function ranksAbove(heard: { desk: string; epoch: number }, who: Identity): boolean {
  return heard.epoch > who.epoch || (heard.epoch === who.epoch && heard.desk > who.desk);
}

function checkUrl(url: string): void {
  const protocol = URL.canParse(url) ? new URL(url).protocol : '';
  if (protocol !== 'mqtt:' && protocol !== 'mqtts:') {
    throw new Error(
      "bus: url in the yard file wants mqtt://host:1883 or mqtts://host:8883, and can't be read",
    );
  }
}

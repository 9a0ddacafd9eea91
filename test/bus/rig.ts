import { connect, type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt';
import { type Broker, startBroker } from '../../server/bus/broker.ts';
import type { Log } from '../../server/bus/line.ts';
import type { BusListener } from '../../server/bus/port.ts';
import type { BusFact } from '../../server/show/events.ts';
import type { Move, Prop, Yard } from '../../server/yard/types.ts';

/** What the rig's tests need of a yard: the ferry, the ferryman on it, a mat and the button at the gate. */
export function landing(bus: Partial<Yard['bus']> = {}): Yard {
  const props = new Map(
    [
      prop('ferry', 'ferry-board', ['near', 'far'], ['out', 'back']),
      prop('ferryman', 'ferry-board', [], ['row']),
      prop('path-mat', 'path-mat', ['step'], []),
      prop('gate-button', 'gate-button', ['button'], []),
    ].map((each) => [each.id, each]),
  );
  return {
    id: 'saltmarsh',
    title: 'Saltmarsh Landing',
    timezone: 'America/Chicago',
    latitude: 41.88,
    longitude: -87.63,
    seed: 7,
    restart: 'ask',
    bus: { root: 'yard', listen: { host: '127.0.0.1', port: 0 }, url: null, silenceMs: 1000, ...bus },
    nights: [],
    dark: [],
    circuits: new Map(),
    tanks: new Map(),
    zones: new Map(),
    props,
    scenes: new Map(),
    controllers: new Map([
      ['ferry-board', ['ferry', 'ferryman']],
      ['path-mat', ['path-mat']],
      ['gate-button', ['gate-button']],
    ]),
  };
}

function prop(id: string, controller: string, sensors: string[], moves: string[]): Prop {
  return {
    id,
    title: id,
    kind: id === 'gate-button' ? 'stop-station' : 'prop',
    zone: null,
    controller,
    sensors: new Map(sensors.map((each) => [each, { id: each, kind: 'plain' }])),
    home: null,
    homeMove: null,
    restMs: 0,
    duty: null,
    drive: null,
    serviceEvery: null,
    moves: new Map(moves.map((each) => [each, move(each)])),
    cable: null,
  };
}

function move(id: string): Move {
  return {
    id,
    lastsMs: 1000,
    until: null,
    usualMs: 1000,
    derived: false,
    limitMs: 3500,
    needs: [],
    loads: [],
    air: [],
    loud: false,
  };
}

/** The desk that speaks in these tests, and an order of its. */
export const who = { desk: 'q4x1', epoch: 12 };
export const START = {
  kind: 'startMove',
  prop: 'ferry',
  run: '2026-10-31.crossing.17',
  step: 0,
  move: 'out',
  session: 'm7q2',
  limitMs: 12_000,
} as const;

/** A listener that writes down what it is told, in one list, in order. */
export function notebook(): BusListener & {
  readonly facts: BusFact[];
  readonly beats: string[];
  readonly drops: string[];
} {
  const facts: BusFact[] = [];
  const beats: string[] = [];
  const drops: string[] = [];
  return {
    facts,
    beats,
    drops,
    fact: (fact) => void facts.push(fact),
    beat: (controller, session) => void beats.push(`${controller} ${session}`),
    dropped: (topic, { why }) => void drops.push(`${topic}: ${why}`),
  };
}

export const quietLog: Log = { info() {}, warn() {} };

export const ownBroker = (word = 'q4x1', log = quietLog): Promise<Broker> =>
  startBroker({ host: '127.0.0.1', port: 0, root: 'yard', word, log });

/** Waits for a real process or socket: looks every few ms, and says what it waited for when it does not come. */
export async function until(what: string, holds: () => boolean, ms = 8000): Promise<void> {
  const end = performance.now() + ms;
  while (!holds()) {
    if (performance.now() > end) throw new Error(`waited ${ms} ms in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}

export interface Stranger {
  readonly client: MqttClient;
  /** `topic text`, with `(retained)` behind it where the flag was set; in the order of arrival. */
  readonly heard: string[];
  readonly packets: IPublishPacket[];
  say(topic: string, payload: unknown, options?: { qos?: 0 | 1 | 2; retain?: boolean }): Promise<void>;
  leave(): Promise<void>;
}

/** Some other client of a broker: a plain MQTT client that knows nothing of the project's code. */
export async function stranger(
  url: string,
  filters: readonly string[] = [],
  options: IClientOptions = {},
): Promise<Stranger> {
  const client = connect(url, {
    protocolVersion: 4,
    clean: true,
    reconnectPeriod: 0,
    keepalive: 10,
    ...options,
  });
  const heard: string[] = [];
  const packets: IPublishPacket[] = [];
  client.on('message', (topic, payload, packet) => {
    heard.push(`${topic} ${payload.toString()}${packet.retain ? ' (retained)' : ''}`);
    packets.push(packet);
  });
  await new Promise<void>((resolve, reject) => {
    client.once('connect', () => resolve());
    client.once('error', reject);
  });
  client.on('error', () => {});
  if (filters.length > 0) await client.subscribeAsync([...filters], { qos: 1 });
  return {
    client,
    heard,
    packets,
    async say(topic, payload, how = {}) {
      const bytes =
        typeof payload === 'string' || Buffer.isBuffer(payload) ? payload : JSON.stringify(payload);
      await client.publishAsync(topic, bytes, { qos: how.qos ?? 1, retain: how.retain ?? false });
    },
    leave: () => client.endAsync(true),
  };
}

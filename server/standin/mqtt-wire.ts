import type { Socket } from 'node:net';
import mqtt, { type MqttClient } from 'mqtt';
import type { Board } from './board.ts';
import type { Wire } from './posts.ts';
import { readPayload } from './topics.ts';

/** Seconds; the most that the contract allows. */
const KEEP_ALIVE_S = 10;
const CONNECT_MS = 5000;

export interface WireEnds {
  /** Connected, and every subscription stands. */
  up(): void;
  /** Gone, or it never came up. Once for each `dial`, and not after `drop`. */
  down(why: string): void;
  heard(topic: string, payload: Record<string, unknown>, retained: boolean): void;
}

/**
 * A board's own MQTT 3.1.1 connection. Each `dial` makes a new client, so that each has its own will and nothing that an
 * earlier one still held is sent late.
 */
export function mqttWire(url: string, board: Board, ends: WireEnds): Wire & { gone(): Promise<void> } {
  let client: MqttClient | null = null;
  let going: Promise<void> = Promise.resolve();

  function leave(): void {
    const old = client;
    client = null;
    if (old) going = new Promise((resolve) => old.end(true, {}, () => resolve()));
  }

  return {
    dial(will) {
      leave();
      let why = 'connection closed';
      const mine = mqtt.connect(url, {
        clientId: board.controller,
        protocolVersion: 4,
        clean: true,
        keepalive: KEEP_ALIVE_S,
        connectTimeout: CONNECT_MS,
        reconnectPeriod: 0,
        resubscribe: false,
        queueQoSZero: false,
        will: {
          topic: will.topic,
          payload: Buffer.from(JSON.stringify(will.payload)),
          qos: will.qos,
          retain: will.retain,
        },
      });
      client = mine;
      const fail = (reason: string) => {
        if (client !== mine) return;
        leave();
        ends.down(reason);
      };
      mine.on('connect', () => {
        if (client !== mine) return;
        // What a board says is small and wanted at once; the wait for more to send with it is off.
        (mine.stream as unknown as Partial<Socket>).setNoDelay?.(true);
        const topics = Object.fromEntries(board.subscriptions.map(({ topic, qos }) => [topic, { qos }]));
        // `link` waits for this answer: whoever acts on it must find the board listening.
        mine.subscribe(topics, (error) => {
          if (error) fail(`the broker refuses its subscriptions: ${error.message}`);
          else if (client === mine) ends.up();
        });
      });
      mine.on('message', (topic, bytes, packet) => {
        const payload = client === mine ? readPayload(bytes) : null;
        if (payload) ends.heard(topic, payload, packet.retain);
      });
      mine.on('error', (error) => {
        why = reasonOf(error);
      });
      mine.on('close', () => fail(why));
    },
    send(out) {
      if (client?.connected)
        client.publish(out.topic, JSON.stringify(out.payload), { qos: out.qos, retain: out.retain });
    },
    drop: leave,
    gone: () => {
      leave();
      return going;
    },
  };
}

function reasonOf(error: Error & { code?: string | number }): string {
  return error.code === 'ECONNREFUSED' ? 'connection refused' : error.message || String(error.code ?? error);
}

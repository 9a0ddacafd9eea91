import { once } from 'node:events';
import { connect } from 'node:net';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { ownBroker, type Stranger, stranger, until } from '../bus/rig.ts';
import { mosquittoHere, startMosquitto } from '../real/mosquitto.ts';

/**
 * What the project relies on a broker for, by the numbers of the standards' normative statements: OASIS MQTT 3.1.1
 * (29 October 2014) and OASIS MQTT 5.0 (7 March 2019). The two number differently: the version stands beside each.
 * Asked of the embedded broker and, with both versions, of mosquitto.
 */
const BROKERS = [
  { name: 'the embedded broker, 3.1.1', protocolVersion: 4, real: false },
  { name: 'mosquitto, 3.1.1', protocolVersion: 4, real: true },
  { name: 'mosquitto, 5', protocolVersion: 5, real: true },
] as const;

const mosquitto = mosquittoHere();

describe.each(BROKERS)('$name', ({ protocolVersion, real }) => {
  let url: string;
  let stop: () => Promise<void>;
  const left: Stranger[] = [];

  beforeAll(async () => {
    if (real && !mosquitto) return;
    if (real) {
      const started = (await startMosquitto())!;
      url = started.url;
      stop = () => started.stop();
    } else {
      const started = await ownBroker();
      url = `mqtt://127.0.0.1:${started.port}`;
      stop = () => started.close();
    }
  });
  afterAll(async () => stop?.());
  afterEach(async () => {
    for (const client of left.splice(0)) await client.leave();
  });

  async function guest(filters: string[] = [], options = {}): Promise<Stranger> {
    const client = await stranger(url, filters, { protocolVersion, ...options });
    left.push(client);
    return client;
  }

  /** All that a new subscriber to `topic` is given of it. */
  async function found(topic: string): Promise<string[]> {
    const client = await guest([topic, `end/${topic}`]);
    // messages of one publisher to one subscriber keep their order [MQTT-4.6.0-6]; what is retained comes before
    await client.say(`end/${topic}`, 'end');
    await until('the end', () => client.heard.some((each) => each.startsWith('end/')));
    return client.heard.filter((each) => !each.startsWith('end/'));
  }

  const only = test.skipIf(real && !mosquitto);

  only(
    'the last retained message is kept and given to new subscribers [3.1.1: 3.3.1-5, -6; 5: 3.3.1-5]',
    async () => {
      const client = await guest();
      await client.say('a/kept', 'one', { retain: true });
      await client.say('a/kept', 'two', { retain: true });
      expect(await found('a/kept')).toEqual(['a/kept two (retained)']);
    },
  );

  only('one of QoS 0 replaces one of QoS 1 [3.1.1: 3.3.1-7]', async () => {
    const client = await guest();
    await client.say('b/kept', 'one', { retain: true, qos: 1 });
    await client.say('b/kept', 'two', { retain: true, qos: 0 });
    // the broker should keep the second and may not; the first it must not keep
    expect(await found('b/kept')).not.toContain('b/kept one (retained)');
  });

  only(
    'the flag is 1 on what a new subscription brings, 0 on what comes live [3.1.1: 3.3.1-8, -9]',
    async () => {
      const before = await guest(['c/kept']);
      const client = await guest();
      await client.say('c/kept', 'one', { retain: true });
      await until('the live one', () => before.heard.length > 0);
      expect(before.heard).toEqual(['c/kept one']);
      expect(await found('c/kept')).toEqual(['c/kept one (retained)']);
    },
  );

  only('an empty one takes it away and is not kept [3.1.1: 3.3.1-10, -11; 5: 3.3.1-6, -7]', async () => {
    const client = await guest(['d/kept']);
    await client.say('d/kept', 'one', { retain: true });
    await client.say('d/kept', '', { retain: true });
    await until('both, live', () => client.heard.length === 2);
    expect(client.heard).toEqual(['d/kept one', 'd/kept ']);
    expect(await found('d/kept')).toEqual([]);
  });

  only('one without the flag is not kept and replaces nothing [3.1.1: 3.3.1-12; 5: 3.3.1-8]', async () => {
    const client = await guest();
    await client.say('e/kept', 'one', { retain: true });
    await client.say('e/kept', 'two');
    await client.say('e/passing', 'three');
    expect(await found('e/kept')).toEqual(['e/kept one (retained)']);
    expect(await found('e/passing')).toEqual([]);
  });

  only(
    'a will is said when the connection ends without DISCONNECT, and retained as asked [3.1.2-8, -17]',
    async () => {
      const watcher = await guest(['f/will']);
      const will = { topic: 'f/will', payload: Buffer.from('gone'), qos: 1 as const, retain: true };
      const dying = await guest([], { will });
      dying.client.stream.destroy();
      await until('the will', () => watcher.heard.length > 0);
      expect(watcher.heard).toEqual(['f/will gone']);
      expect(await found('f/will')).toEqual(['f/will gone (retained)']);
    },
  );

  only('DISCONNECT takes the will away [3.1.2-10]', async () => {
    const watcher = await guest(['g/#']);
    const will = { topic: 'g/will', payload: Buffer.from('gone'), qos: 1 as const, retain: true };
    const leaving = await guest([], { will });
    await leaving.client.endAsync(false);
    await watcher.say('g/after', 'x');
    await until('what came after', () => watcher.heard.length > 0);
    expect(watcher.heard).toEqual(['g/after x']);
  });

  only('a second connection of one client id ends the first [3.1.1: 3.1.4-2; 5: 3.1.4-3]', async () => {
    const first = await guest([], { clientId: 'gull-board' });
    await guest([], { clientId: 'gull-board' });
    await until('the end of the first', () => !first.client.connected);
  });

  only('messages of one publisher keep their order [3.1.1: 4.6.0-6]', async () => {
    const watcher = await guest(['h/#']);
    const client = await guest();
    for (let n = 0; n < 200; n++) client.client.publish('h/order', `${n}`, { qos: 1 });
    await until('all', () => watcher.heard.length >= 200);
    expect(watcher.heard).toEqual(Array.from({ length: 200 }, (_, n) => `h/order ${n}`));
  });
});

// [3.1.1: 3.1.2-24; 5: 3.1.2-22]: one and a half times the keep-alive without a packet, and the server ends the connection
test('the embedded broker ends a connection that is silent for 1.5 times its keep-alive', async () => {
  const broker = await ownBroker();
  const socket = connect(broker.port, '127.0.0.1');
  // CONNECT: MQTT, level 4, clean session, keep-alive 1 s, client id 'ab'
  socket.write(Buffer.from('100e00044d5154540402000100026162', 'hex'));
  const [answer] = await once(socket, 'data');
  // CONNACK: no session present, accepted (3.2)
  expect([...answer]).toEqual([0x20, 2, 0, 0]);
  const began = performance.now();
  await once(socket, 'close');
  expect(performance.now() - began).toBeGreaterThan(1400);
  expect(performance.now() - began).toBeLessThan(6000);
  await broker.close();
});

describe.skipIf(!mosquitto)('message expiry [5: 3.3.2-5, -6], which a do bears', () => {
  test('what has expired is not delivered to who was away; what has not comes with what is left of it', async () => {
    const broker = (await startMosquitto())!;
    const session = {
      protocolVersion: 5 as const,
      clean: false,
      clientId: 'slow-board',
      properties: { sessionExpiryInterval: 60 },
    };
    const away = await stranger(broker.url, ['yard/#'], session);
    await away.client.endAsync(false);
    const desk = await stranger(broker.url, [], { protocolVersion: 5 });
    const send = (topic: string, seconds: number) =>
      desk.client.publishAsync(topic, 'x', { qos: 1, properties: { messageExpiryInterval: seconds } });
    await send('yard/prop/ferry/do', 1);
    await send('yard/prop/ferry/later', 60);
    // real time, for the broker's clock is real: two of its whole seconds
    await new Promise((resolve) => setTimeout(resolve, 2100));
    const back = await stranger(broker.url, [], session);
    await until('what was kept', () => back.heard.length > 0);
    await desk.say('yard/end', 'x');
    await until('the end', () => back.heard.length > 1);
    expect(back.heard).toEqual(['yard/prop/ferry/later x', 'yard/end x']);
    expect(back.packets[0]!.properties?.messageExpiryInterval).toBeLessThan(60);
    for (const client of [back, desk]) await client.leave();
    await broker.stop();
  });
});

import { connect as dialTcp, type Socket } from 'node:net';
import fc from 'fast-check';
import { generate, type Packet } from 'mqtt-packet';
import { afterEach, describe, expect, test } from 'vitest';
import { type Broker, BrokerError, startBroker } from '../../server/bus/broker.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { ownBroker, quietLog, type Stranger, stranger, until } from './rig.ts';

const left: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const leave of left.splice(0).reverse()) await leave();
});

async function broker(): Promise<{ broker: Broker; url: string; refused: string[]; heard: string[] }> {
  const started = await ownBroker();
  left.push(() => started.close());
  const refused: string[] = [];
  const heard: string[] = [];
  started.line({
    up() {},
    down() {},
    message: (topic, payload) => void heard.push(`${topic} ${Buffer.from(payload).toString()}`),
    refused: (topic, { why }) => void refused.push(`${topic}: ${why}`),
  });
  return { broker: started, url: `mqtt://127.0.0.1:${started.port}`, refused, heard };
}

async function guest(url: string, filters: string[] = [], options = {}): Promise<Stranger> {
  const client = await stranger(url, filters, options);
  left.push(() => client.leave());
  return client;
}

/** A bare TCP connection that has said CONNECT. */
async function bare(port: number, ...packets: Packet[]): Promise<Socket> {
  const socket = dialTcp(port, '127.0.0.1');
  socket.on('error', () => {});
  left.push(async () => socket.destroy());
  const hello: Packet = {
    cmd: 'connect',
    protocolId: 'MQTT',
    protocolVersion: 4,
    clean: true,
    clientId: `bare-${Math.random().toString(36).slice(2)}`,
    keepalive: 10,
  };
  socket.write(Buffer.concat([hello, ...packets].map((packet) => generate(packet))));
  await new Promise((resolve) => socket.once('data', resolve));
  return socket;
}

describe('who may connect', () => {
  test('MQTT 3.1.1 only: 5 and 3.1 are told 1, unacceptable protocol version (MQTT 3.1.1, 3.2.2.3)', async () => {
    const { url } = await broker();
    await guest(url);
    await expect(stranger(url, [], { protocolVersion: 5 })).rejects.toMatchObject({ code: 1 });
    await expect(stranger(url, [], { protocolVersion: 3, protocolId: 'MQIsdp' })).rejects.toMatchObject({
      code: 1,
    });
  });

  test('a kept session is not kept: nothing is queued for who is away', async () => {
    const { url } = await broker();
    const kept = { clean: false, clientId: 'gull-board' };
    const away = await stranger(url, ['yard/prop/gull/#'], kept);
    await away.leave();
    const other = await guest(url);
    await other.say('yard/prop/gull/did', EXAMPLES.did[0]);
    const back = await guest(url, ['yard/stop'], kept);
    await other.say('yard/stop', { latched: true, n: 1, desk: 'z', epoch: 1 });
    await until('the stop', () => back.heard.length > 0);
    expect(back.heard.map((each) => each.split(' ')[0])).toEqual(['yard/stop']);
  });

  test('a taken port is said so, with a code', async () => {
    const { broker: first } = await broker();
    const second = startBroker({
      host: '127.0.0.1',
      port: first.port,
      root: 'yard',
      word: 'z9z9',
      log: quietLog,
    });
    await expect(second).rejects.toBeInstanceOf(BrokerError);
    await expect(second).rejects.toMatchObject({ code: 'bus-port-taken' });
    await expect(second).rejects.toThrow(String(first.port));
  });

  test("an address of another machine is said so (192.0.2.1 is nobody's: RFC 5737)", async () => {
    const elsewhere = startBroker({ host: '192.0.2.1', port: 0, root: 'yard', word: 'z', log: quietLog });
    await expect(elsewhere).rejects.toMatchObject({ code: 'bus-no-address' });
  });

  test('closed, it cuts every connection and gives the port back', async () => {
    const started = await ownBroker();
    const client = await stranger(`mqtt://127.0.0.1:${started.port}`);
    const silent = dialTcp(started.port, '127.0.0.1').on('error', () => {});
    await until('both connections', () => started.clients === 2);
    await started.close();
    await until('both cut off', () => !client.client.connected && silent.destroyed);
    const again = await startBroker({
      host: '127.0.0.1',
      port: started.port,
      root: 'yard',
      word: 'z',
      log: quietLog,
    });
    await again.close();
  });
});

describe('planted messages', () => {
  test('a do from anyone reaches no board, is not kept, and is told; its sender stays connected', async () => {
    const { url, refused } = await broker();
    const board = await guest(url, ['yard/prop/ferry/do', 'yard/prop/ferry/halt', 'yard/stop']);
    const planter = await guest(url);
    await planter.say('yard/prop/ferry/do', EXAMPLES.do[0], { qos: 0 });
    await planter.say('yard/prop/ferry/do', EXAMPLES.do[0], { qos: 1, retain: true });
    await planter.say('yard/prop/ferry/do', EXAMPLES.do[0], { qos: 2, retain: true });
    await planter.say('yard/stop', { latched: true, n: 3, desk: 'z', epoch: 1 }, { retain: true });
    await until('the stop, which came after', () => board.heard.length > 0);
    expect(board.heard.map((each) => each.split(' ')[0])).toEqual(['yard/stop']);
    expect(refused).toHaveLength(3);
    const late = await guest(url, ['yard/#']);
    await until('what is retained', () => late.heard.length > 0);
    expect(late.heard.map((each) => each.split(' ')[0])).toEqual(['yard/stop']);
  });

  test('nor does one by will', async () => {
    const { url, refused } = await broker();
    const board = await guest(url, ['yard/prop/+/do']);
    const will = {
      topic: 'yard/prop/ferry/do',
      payload: Buffer.from(JSON.stringify(EXAMPLES.do[0])),
      qos: 1 as const,
      retain: true,
    };
    const planter = await stranger(url, [], { will });
    planter.client.stream.destroy();
    await until('the will to be refused', () => refused.length > 0);
    expect(refused[0]).toContain('yard/prop/ferry/do');
    expect(board.heard).toEqual([]);
  });

  test('a retained did is neither passed on nor kept', async () => {
    const { url, refused, heard } = await broker();
    const board = await guest(url);
    await board.say('yard/prop/ferry/did', EXAMPLES.did[0], { retain: true });
    await board.say('yard/prop/ferry/did', EXAMPLES.did[1]);
    await until('the second', () => heard.length > 0);
    expect(heard).toHaveLength(1);
    expect(heard[0]).toContain('"done"');
    expect(refused).toEqual(['yard/prop/ferry/did: retained, which a did never is']);
  });
});

describe('bounds', () => {
  test('a payload of 5000 bytes is acknowledged, told and thrown away; the next is heard', async () => {
    const { url, refused, heard } = await broker();
    const board = await guest(url);
    await board.say('yard/prop/ferry/sense/far', 'x'.repeat(5000), { retain: true });
    await board.say('yard/prop/ferry/sense/far', EXAMPLES.sense[0], { retain: true });
    await until('the reading', () => heard.length > 0);
    expect(refused).toEqual(['yard/prop/ferry/sense/far: 5000 bytes, at most 4096 are allowed']);
    expect(heard).toHaveLength(1);
  });

  test('a packet of a megabyte is cut off at its header', async () => {
    const { broker: started, refused } = await broker();
    const socket = await bare(started.port);
    // PUBLISH, QoS 0, remaining length 1 048 576, and nothing of it yet
    socket.write(Buffer.from('3080804000', 'hex'));
    await until('the cut', () => socket.destroyed);
    expect(refused[0]).toContain('1048580 bytes');
  });

  test('no more than 5000 retained topics', async () => {
    const { url, refused } = await broker();
    const client = await guest(url);
    for (let at = 0; at <= 5000; at++) client.client.publish(`weather/${at}`, 'x', { retain: true });
    await client.say('weather/0', 'y', { retain: true });
    expect(refused).toEqual(['weather/5000: more than 5000 retained topics']);
    await client.say('weather/7', '', { retain: true });
    await client.say('weather/5000', 'x', { retain: true });
    expect(refused).toHaveLength(1);
    await client.say('weather/5000', 'x'.repeat(4097), { retain: true });
    expect(refused[1]).toBe('weather/5000: 4097 bytes, at most 4096 are retained');
  });

  test('a client that does not read is cut, and nobody waits for it', async () => {
    const { broker: started, url } = await broker();
    const deaf = await bare(started.port, {
      cmd: 'subscribe',
      messageId: 1,
      subscriptions: [{ topic: 'flood', qos: 0 }],
    });
    deaf.pause();
    const reader = await guest(url, ['after']);
    const talker = await guest(url);
    const before = started.clients;
    // more than the kernel's buffers of a loopback connection hold
    for (let at = 0; at < 500; at++) talker.client.publish('flood', Buffer.alloc(32 * 1024));
    const began = performance.now();
    talker.client.publish('after', 'x');
    await until('what was said after the flood', () => reader.heard.length > 0);
    expect(performance.now() - began).toBeLessThan(6000);
    await until('the deaf one is cut', () => started.clients === before - 1);
  });

  test('any bytes on the port: the broker goes on', async () => {
    const { broker: started, url } = await broker();
    const bytes = fc.array(fc.uint8Array({ minLength: 1, maxLength: 200 }), { minLength: 1, maxLength: 4 });
    await fc.assert(
      fc.asyncProperty(bytes, fc.boolean(), async (chunks, greets) => {
        const socket = greets ? await bare(started.port) : dialTcp(started.port, '127.0.0.1');
        socket.on('error', () => {});
        for (const chunk of chunks) socket.write(chunk);
        await new Promise<void>((resolve) => socket.end(() => resolve()));
        socket.destroy();
      }),
      { numRuns: 60 },
    );
    const client = await guest(url, ['still']);
    await client.say('still', 'here');
    await until('an echo', () => client.heard.length > 0);
    expect(client.heard).toEqual(['still here']);
  });
});

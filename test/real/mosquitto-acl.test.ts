import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { openBus } from '../../server/bus/client.ts';
import { MESSAGES, type MessageKind } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { topicOf } from '../../server/bus/topics.ts';
import { landing, notebook, quietLog, type Stranger, stranger, until } from '../bus/rig.ts';
import { type Mosquitto, mosquittoHere, startMosquitto } from './mosquitto.ts';

/** The settings in deploy/ as they stand, on a real mosquitto: who may say what. */
const USERS = ['desk', 'ferry-board', 'gate-button'];
const DEPLOY = new URL('../../deploy/', import.meta.url);

async function passwords(): Promise<string> {
  const dir = await mkdtemp(join(tmpdir(), 'dusklatch-passwd-'));
  const file = join(dir, 'passwd');
  for (const [at, user] of USERS.entries()) {
    execFileSync('mosquitto_passwd', ['-b', ...(at === 0 ? ['-c'] : []), file, user, `of-${user}`]);
  }
  const text = await readFile(file, 'utf8');
  await rm(dir, { recursive: true });
  return text;
}

describe.skipIf(!mosquittoHere())('deploy/mosquitto.conf and mosquitto.acl', () => {
  let broker: Mosquitto;
  const left: Stranger[] = [];

  beforeAll(async () => {
    const lines = readFileSync(new URL('mosquitto.conf', DEPLOY), 'utf8')
      .split('\n')
      // the rig has a port and a folder of its own
      .filter((line) => line.trim() !== '' && !line.startsWith('#') && !line.startsWith('listener'))
      .filter((line) => !line.startsWith('persistence'))
      .map((line) => line.replace('/etc/mosquitto/yard.', '{dir}/'));
    const files = {
      passwd: await passwords(),
      acl: readFileSync(new URL('mosquitto.acl', DEPLOY), 'utf8'),
    };
    broker = (await startMosquitto({ lines, files }))!;
  });
  afterAll(() => broker?.stop());
  afterEach(async () => {
    for (const client of left.splice(0)) await client.leave();
  });

  async function guest(user: string | null, filters: string[] = []): Promise<Stranger> {
    const login = user === null ? {} : { username: user, password: `of-${user}` };
    const client = await stranger(broker.url, filters, login);
    left.push(client);
    return client;
  }

  const SAYS: [MessageKind, string[], (string | null)[]][] = [
    ['do', ['ferry'], ['desk']],
    ['halt', ['ferry'], ['desk']],
    ['desk', [], ['desk']],
    ['heartbeat', [], ['desk']],
    ['announce', [], ['desk']],
    ['notice', [], ['desk']],
    ['stop', [], ['desk', 'ferry-board', 'gate-button', null]],
    ['link', ['ferry-board'], ['desk', 'ferry-board']],
    ['beat', ['ferry-board'], ['desk', 'ferry-board']],
    ['stopped', ['ferry-board'], ['desk', 'ferry-board']],
    ['did', ['ferry'], ['desk', 'ferry-board']],
    ['sense', ['ferry', 'far'], ['desk', 'ferry-board']],
    ['sense', ['gate-button', 'button'], ['desk', 'gate-button']],
    ['link', ['gate-button'], ['desk', 'gate-button']],
  ];

  test.each(SAYS)('%s %j is said by %j alone', async (kind, ids, who) => {
    const topic = topicOf('yard', kind, ...ids);
    const desk = await guest('desk', [topic, 'yard/end']);
    const heard: (string | null)[] = [];
    for (const user of [...USERS, null]) {
      const speaker = await guest(user);
      await speaker.say(topic, { ...EXAMPLES[kind][0], by: user }, { qos: MESSAGES[kind].qos });
      // acknowledged either way, as 3.1.1 has it; the desk's own word after it tells that it has been judged
      await speaker.say('yard/stop', EXAMPLES.stop[0]);
      await desk.say('yard/end', 'x');
      await until('the end', () => desk.heard.at(-1) === 'yard/end x');
      if (desk.heard.some((each) => each.includes(`"by":${JSON.stringify(user)}`))) heard.push(user);
      desk.heard.length = 0;
    }
    expect(heard).toEqual(who);
  });

  test('each board hears its own orders and those to all, and no other', async () => {
    const all = ['desk', 'ferry-board', 'gate-button', null] as const;
    const listeners = await Promise.all(all.map((user) => guest(user, ['yard/#'])));
    const desk = listeners[0]!;
    for (const kind of ['announce', 'heartbeat', 'notice'] as const) {
      await desk.say(topicOf('yard', kind), EXAMPLES[kind][0]);
    }
    await desk.say('yard/prop/ferry/do', EXAMPLES.do[0]);
    await desk.say('yard/prop/gate-button/halt', EXAMPLES.halt[0]);
    await desk.say('yard/stop', EXAMPLES.stop[0]);
    await until('the stop, by all', () =>
      listeners.every((each) => each.heard.at(-1)?.startsWith('yard/stop') === true),
    );
    const topics = listeners.map((each) => each.heard.map((one) => one.split(' ')[0]!.slice(5)));
    const common = ['announce', 'heartbeat', 'notice'];
    expect(topics).toEqual([
      [...common, 'prop/ferry/do', 'prop/gate-button/halt', 'stop'],
      [...common, 'prop/ferry/do', 'stop'],
      [...common, 'prop/gate-button/halt', 'stop'],
      [...common, 'stop'],
    ]);
  });

  test('the desk itself, with its password in the url', async () => {
    const told = notebook();
    const bus = openBus({
      yard: landing(),
      at: { url: broker.url.replace('//', '//desk:of-desk@') },
      word: 'q4x1',
      listener: told,
      onConnection() {},
      log: quietLog,
    });
    bus.begin({ desk: 'q4x1', epoch: 1 });
    await until('the bus', () => bus.connected);
    const board = await guest('ferry-board', ['yard/prop/ferry/do', 'yard/desk']);
    await board.say('yard/prop/ferry/sense/far', EXAMPLES.sense[0]);
    await until('the reading', () => told.facts.length > 0);
    bus.desk({ desk: 'q4x1', epoch: 1 });
    await until('its word', () => board.heard.length > 0);
    await bus.close();
  });

  test('a wrong password is refused and said so', async () => {
    const said: string[] = [];
    const bus = openBus({
      yard: landing(),
      at: { url: broker.url.replace('//', '//desk:guess@') },
      word: 'q4x1',
      listener: notebook(),
      onConnection() {},
      log: { info() {}, warn: (details) => void said.push(JSON.stringify(details)) },
    });
    bus.begin({ desk: 'q4x1', epoch: 1 });
    await until('the refusal', () => said.length > 0);
    expect(said[0]).toMatch(/not authori[sz]ed|user name or password/i);
    expect(said[0]).not.toContain('guess');
    await bus.close();
  });

  test('more than 4 KiB goes nowhere', async () => {
    const desk = await guest('desk', ['yard/prop/#', 'yard/stop']);
    const board = await guest('ferry-board');
    board.client.publish('yard/prop/ferry/sense/far', 'x'.repeat(4097));
    await desk.say('yard/stop', EXAMPLES.stop[0]);
    await until('the stop', () => desk.heard.length > 0);
    const good = await guest('ferry-board');
    await good.say('yard/prop/ferry/sense/far', 'x'.repeat(4096));
    await until('the one of 4 KiB', () => desk.heard.length > 1);
    expect(desk.packets.map((packet) => packet.payload.length)).toEqual([
      JSON.stringify(EXAMPLES.stop[0]).length,
      4096,
    ]);
  });
});

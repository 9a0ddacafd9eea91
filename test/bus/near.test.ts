import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Broker } from '../../server/bus/broker.ts';
import { type Bus, openBus } from '../../server/bus/client.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { landing, notebook, ownBroker, quietLog, START, type Stranger, stranger, until, who } from './rig.ts';

/** The desk on its own broker, with boards on real connections to it. */

let broker: Broker;
let bus: Bus;
let told: ReturnType<typeof notebook>;
let connection: boolean[];
const guests: Stranger[] = [];

async function guest(...filters: string[]): Promise<Stranger> {
  const client = await stranger(`mqtt://127.0.0.1:${broker.port}`, filters);
  guests.push(client);
  return client;
}

beforeEach(async () => {
  broker = await ownBroker(who.desk);
  told = notebook();
  connection = [];
  bus = openBus({
    yard: landing(),
    at: { broker },
    word: who.desk,
    listener: told,
    onConnection: (connected) => void connection.push(connected),
    log: quietLog,
  });
});

afterEach(async () => {
  for (const client of guests.splice(0)) await client.leave();
  await bus.close();
  await broker.close();
});

async function begun(): Promise<void> {
  bus.begin(who);
  await until('the bus', () => bus.connected);
}

test('before it began nothing is sent, and it says so', () => {
  expect(bus.connected).toBe(false);
  expect(bus.startMove(START, who)).toBe(false);
  expect(bus.heartbeat(who, 1, 0)).toBe(false);
});

test('on the own broker there is nobody to listen for', async () => {
  expect(await bus.scout(2000)).toEqual({ highestEpoch: 0, other: null });
});

test('everything the desk says: topic, payload, QoS; and retained only desk and stop', async () => {
  await begun();
  expect(connection).toEqual([true]);
  const board = await guest('yard/#');
  expect(bus.desk(who)).toBe(true);
  expect(bus.stop(true, 8, who)).toBe(true);
  expect(bus.announce(who)).toBe(true);
  expect(bus.heartbeat(who, 4711, 8)).toBe(true);
  expect(bus.notice(30_000, who)).toBe(true);
  expect(bus.startMove(START, who)).toBe(true);
  expect(bus.startMove({ ...START, prop: 'ferryman', move: 'row', lastsMs: 45_000 }, who)).toBe(true);
  expect(bus.haltProp('ferry', 'interlock', who)).toBe(true);
  await until('all eight', () => board.heard.length === 8);
  expect(board.heard).toEqual([
    'yard/desk {"up":true,"desk":"q4x1","epoch":12,"contract":1}',
    'yard/stop {"latched":true,"n":8,"desk":"q4x1","epoch":12}',
    'yard/announce {"desk":"q4x1","epoch":12}',
    'yard/heartbeat {"desk":"q4x1","epoch":12,"n":4711,"silenceMs":1000,"stop":8}',
    'yard/notice {"epoch":12,"inMs":30000}',
    'yard/prop/ferry/do {"prop":"ferry","run":"2026-10-31.crossing.17","step":0,"move":"out","session":"m7q2","desk":"q4x1","epoch":12,"limitMs":12000}',
    'yard/prop/ferryman/do {"prop":"ferryman","run":"2026-10-31.crossing.17","step":0,"move":"row","session":"m7q2","desk":"q4x1","epoch":12,"limitMs":12000,"lastsMs":45000}',
    'yard/prop/ferry/halt {"prop":"ferry","epoch":12,"why":"interlock"}',
  ]);
  expect(board.packets.map((packet) => packet.qos)).toEqual([1, 1, 1, 0, 0, 0, 0, 1]);
  const late = await guest('yard/#');
  await until('what is retained', () => late.heard.length >= 2);
  expect(late.heard.map((each) => each.split(' ')[0]).sort()).toEqual(['yard/desk', 'yard/stop']);
  expect(late.packets.every((packet) => packet.retain)).toBe(true);
  // its own words are no news to it
  expect(told.facts).toEqual([]);
  expect(told.drops).toEqual([]);
});

test('a stop is not lost to the heartbeat said right after it, to a board that hears both', async () => {
  await begun();
  const board = await guest('yard/stop', 'yard/heartbeat');
  for (let n = 1; n <= 200; n++) {
    bus.stop(true, n, who);
    bus.heartbeat(who, n, n);
  }
  await until('all of them', () => board.heard.length >= 400);
  expect(board.heard.filter((each) => each.startsWith('yard/stop'))).toHaveLength(200);
});

test('what boards say comes as facts, in order; beats apart; rubbish counted', async () => {
  await begun();
  const board = await guest();
  const say = board.client.publish.bind(board.client);
  say('yard/controller/ferry-board/link', JSON.stringify(EXAMPLES.link[0]), { qos: 1, retain: true });
  say('yard/prop/ferry/sense/near', '{"prop":"ferry","made":true,"session":"m7q2","n":1}', { qos: 1 });
  say('yard/controller/ferry-board/beat', '{"session":"m7q2","n":1}');
  say('yard/prop/gull/sense/near', '{"prop":"gull","made":true,"session":"m7q2","n":1}', { qos: 1 });
  say('yard/prop/ferry/sense/near', 'made!', { qos: 1 });
  for (let n = 2; n <= 300; n++) {
    say('yard/prop/ferry/sense/far', JSON.stringify({ prop: 'ferry', made: n % 2 > 0, session: 'm7q2', n }), {
      qos: 1,
      retain: true,
    });
  }
  await until('the last edge', () => told.facts.length >= 301);
  expect(told.facts[0]).toMatchObject({ kind: 'linkHeard', up: true, retained: false });
  const counts = told.facts.slice(1).map((fact) => (fact.kind === 'sensorChanged' ? fact.count : -1));
  expect(counts).toEqual(Array.from({ length: 300 }, (_, at) => at + 1));
  expect(told.beats).toEqual(['ferry-board m7q2']);
  expect(told.drops).toEqual([
    'yard/prop/gull/sense/near: no prop gull in the yard file',
    'yard/prop/ferry/sense/near: not JSON',
  ]);
});

test('what was retained before it began is told after, as retained', async () => {
  const board = await guest();
  await board.say('yard/controller/ferry-board/link', EXAMPLES.link[0], { retain: true });
  await board.say('yard/stop', { latched: true, n: 5, desk: 'z9z9', epoch: 3 }, { retain: true });
  await board.say('yard/prop/ferry/did', EXAMPLES.did[0]);
  await begun();
  expect(told.facts).toMatchObject([
    { kind: 'linkHeard', controller: 'ferry-board', retained: true },
    { kind: 'stopHeard', latched: true, stop: 5 },
  ]);
});

test('a board that goes away without a word: its will', async () => {
  await begun();
  const board = await stranger(`mqtt://127.0.0.1:${broker.port}`, [], {
    will: {
      topic: 'yard/controller/ferry-board/link',
      payload: Buffer.from('{"up":false,"session":"k3f9"}'),
      qos: 1,
      retain: true,
    },
  });
  board.client.stream.destroy();
  await until('the will', () => told.facts.length > 0);
  expect(told.facts).toEqual([
    { kind: 'linkHeard', controller: 'ferry-board', up: false, session: 'k3f9', retained: false },
  ]);
});

test('a planted do is shown and told to no board', async () => {
  await begun();
  const board = await guest('yard/prop/ferry/do');
  const planter = await guest();
  await planter.say('yard/prop/ferry/do', EXAMPLES.do[0], { retain: true });
  bus.startMove(START, who);
  await until("the desk's own", () => board.heard.length > 0);
  expect(board.heard).toHaveLength(1);
  expect(board.packets[0]!.retain).toBe(false);
  expect(told.drops).toEqual(['yard/prop/ferry/do: retained, which a do never is']);
});

describe('its end', () => {
  test('tells boards that the desk is down, then sends nothing more', async () => {
    await begun();
    const board = await guest('yard/desk');
    bus.desk(who);
    await bus.close();
    await until('its last word', () => board.heard.length === 2);
    expect(board.heard[1]).toBe('yard/desk {"up":false,"desk":"q4x1","epoch":12}');
    expect(bus.connected).toBe(false);
    expect(bus.stop(true, 1, who)).toBe(false);
    expect(connection).toEqual([true]);
    await expect(bus.scout(10)).rejects.toThrow('closed');
  });

  test('leaves the word of a higher desk alone', async () => {
    await begun();
    bus.desk(who);
    const other = await guest('yard/desk');
    await other.say('yard/desk', { up: true, desk: 'z9z9', epoch: 13, contract: 1 }, { retain: true });
    await until('the other desk', () => told.facts.length > 0);
    await bus.close();
    const late = await guest('yard/desk');
    await until('what is retained', () => late.heard.length > 0);
    expect(late.heard).toEqual(['yard/desk {"up":true,"desk":"z9z9","epoch":13,"contract":1} (retained)']);
  });

  test('two desks of one epoch: the greater word counts as higher', async () => {
    await begun();
    bus.desk(who);
    const other = await guest('yard/desk');
    await other.say('yard/desk', { up: true, desk: 'a1a1', epoch: 12, contract: 1 }, { retain: true });
    await until('the lesser desk', () => told.facts.length > 0);
    await bus.close();
    await until('our last word', () => other.heard.length >= 2);
    expect(other.heard.at(-1)).toBe('yard/desk {"up":false,"desk":"q4x1","epoch":12}');
  });
});

import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Broker } from '../../server/bus/broker.ts';
import { type Bus, openBus } from '../../server/bus/client.ts';
import { landing, notebook, ownBroker, quietLog, START, type Stranger, stranger, until, who } from './rig.ts';

/** A flood on the desk's own broker: nobody fills a turn of the loop alone, and only who floods has to wait. */

let broker: Broker;
let bus: Bus;
let told: ReturnType<typeof notebook> & { crowded: boolean };
const guests: Stranger[] = [];

async function guest(...filters: string[]): Promise<Stranger> {
  const client = await stranger(`mqtt://127.0.0.1:${broker.port}`, filters);
  guests.push(client);
  return client;
}

beforeEach(async () => {
  broker = await ownBroker(who.desk);
  told = Object.assign(notebook(), { crowded: false });
  bus = openBus({
    yard: landing(),
    at: { broker },
    word: who.desk,
    listener: told,
    onConnection: () => {},
    log: quietLog,
  });
  bus.begin(who);
  await until('the bus', () => bus.connected);
});

afterEach(async () => {
  told.crowded = false;
  for (const client of guests.splice(0)) await client.leave();
  await bus.close();
  await broker.close();
});

const reading = (n: number) => JSON.stringify({ prop: 'ferry', made: n % 2 > 0, session: 'm7q2', n });

function flood(from: Stranger, most: number): void {
  for (let n = 1; n <= most; n++) from.client.publish('yard/prop/ferry/sense/far', reading(n), { qos: 0 });
}

/** So many turns of the loop as a message may take. */
const turns = async (n: number): Promise<void> => {
  for (let i = 0; i < n; i++) await new Promise((resolve) => setImmediate(resolve));
};

const edges = () => told.facts.flatMap((f) => (f.kind === 'sensorChanged' ? [f.count] : []));

test('a flood comes whole and in order, though in pieces', async () => {
  const board = await guest();
  flood(board, 20_000);
  await until('the last edge', () => told.facts.length >= 20_000);
  expect(edges()).toEqual(Array.from({ length: 20_000 }, (_, at) => at + 1));
  expect(told.drops).toEqual([]);
});

test('messages larger than a piece come whole, one after another, and to others too', async () => {
  const board = await guest();
  const other = await guest('somewhere/else');
  for (let n = 1; n <= 8; n++) {
    // on no topic of the contract, so that only the size of a packet bounds it
    board.client.publish('somewhere/else', 'x'.repeat(n * 7000), { qos: 1 });
    board.client.publish('yard/prop/ferry/sense/far', reading(n), { qos: 1 });
  }
  await until('all of them', () => told.facts.length >= 8 && other.heard.length >= 8);
  expect(edges()).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
  expect(other.heard.map((each) => each.length - 'somewhere/else '.length)).toEqual(
    [1, 2, 3, 4, 5, 6, 7, 8].map((n) => n * 7000),
  );
});

test('while it is crowded one who floods waits with the rest of it, and is heard out afterwards', async () => {
  told.crowded = true;
  const board = await guest();
  flood(board, 20_000);
  await until('its first piece', () => told.facts.length > 0);
  await turns(200);
  // one piece of 16 KiB, at some 90 bytes a reading
  expect(told.facts.length).toBeLessThan(400);
  told.crowded = false;
  await until('the rest', () => told.facts.length >= 20_000);
  expect(edges()).toEqual(Array.from({ length: 20_000 }, (_, at) => at + 1));
});

test('while it is crowded by one, the stop of another is heard, and what boards are told goes out', async () => {
  told.crowded = true;
  const flooder = await guest();
  const board = await guest('yard/stop', 'yard/heartbeat', 'yard/prop/ferry/do');
  flood(flooder, 20_000);
  await until('the first piece', () => told.facts.length > 0);
  await board.say('yard/stop', { latched: true, n: 5, desk: 'z9z9', epoch: 3 }, { retain: true });
  await until('the stop', () => told.facts.some((f) => f.kind === 'stopHeard'));
  expect(bus.startMove(START, who)).toBe(true);
  expect(bus.stop(true, 6, who)).toBe(true);
  expect(bus.heartbeat(who, 1, 6)).toBe(true);
  // and it is known at once that it has left, since the record of a stop waits for that
  const left = await Promise.race([bus.flushed().then(() => true), turns(200).then(() => false)]);
  expect(left).toBe(true);
  await until('all three', () => board.heard.length >= 4);
  expect(board.heard.slice(-3).map((each) => each.split(' ')[0])).toEqual([
    'yard/prop/ferry/do',
    'yard/stop',
    'yard/heartbeat',
  ]);
});

test('an order to move never comes after the stop that was said after it, said at once or one by one', async () => {
  const board = await guest('yard/stop', 'yard/prop/ferry/do', 'yard/prop/ferry/halt');
  for (let n = 1; n <= 100; n++) {
    if (n % 2 > 0) bus.haltProp('ferry', 'interlock', who);
    bus.startMove({ ...START, step: n }, who);
    if (n % 3 > 0) await turns(1);
    bus.stop(true, n, who);
    if (n % 5 > 0) await turns(n % 3);
  }
  await until('all of them', () => board.heard.length >= 250);
  const order = board.heard.flatMap((each) => {
    const [topic, text] = each.split(' ') as [string, string];
    const said = JSON.parse(text) as { step?: number; n?: number };
    return topic.endsWith('halt')
      ? []
      : [`${said.step === undefined ? 'stop' : 'do'} ${said.step ?? said.n}`];
  });
  expect(order).toEqual(Array.from({ length: 100 }, (_, at) => [`do ${at + 1}`, `stop ${at + 1}`]).flat());
});

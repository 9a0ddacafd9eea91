import { type ChildProcess, spawn } from 'node:child_process';
import { afterEach, describe, expect, test } from 'vitest';
import { openBus } from '../../server/bus/client.ts';
import { landing, notebook, ownBroker, quietLog, until } from '../bus/rig.ts';
import { mosquittoHere, startMosquitto } from './mosquitto.ts';

/** A board in a process of its own, which notes by the machine's clock when a stop came. */
const BOARD = `
  const client = require('mqtt').connect(process.argv[1], { protocolVersion: 4 });
  client.on('connect', () => client.subscribe('yard/stop', { qos: 1 }, () => console.log('here')));
  client.on('message', () => console.log(String(Date.now())));
`;
const HELD_UP_MS = 1500;
const who = { desk: 'q4x1', epoch: 12 };
const left: (() => unknown)[] = [];
afterEach(async () => {
  for (const leave of left.splice(0).reverse()) await leave();
});

async function board(url: string): Promise<string[]> {
  const child: ChildProcess = spawn(process.execPath, ['-e', BOARD, url], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  left.push(() => child.kill('SIGKILL'));
  let said = '';
  child.stdout!.on('data', (chunk) => {
    said += chunk;
    lines.splice(0, lines.length, ...said.trim().split('\n'));
  });
  const lines: string[] = [];
  await until('the board', () => lines[0] === 'here');
  return lines;
}

/** What a disk that hangs does to a process: its loop stands still. */
function holdUp(): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, HELD_UP_MS);
}

/** How long after its process hung a stop that was said just before came to the board. */
async function stopThenHang(
  at: Parameters<typeof openBus>[0]['at'],
  url: string,
  waits: boolean,
): Promise<number> {
  const bus = openBus({
    yard: landing(),
    at,
    word: who.desk,
    listener: notebook(),
    onConnection() {},
    log: quietLog,
  });
  left.push(() => bus.close());
  bus.begin(who);
  await until('the bus', () => bus.connected);
  const lines = await board(url);
  bus.stop(true, 1, who);
  if (waits) await bus.flushed();
  const began = Date.now();
  holdUp();
  await until('the stop', () => lines.length > 1);
  return Number(lines[1]) - began;
}

describe('a stop is out before the disk can hold it up', () => {
  test('on the own broker', async () => {
    const broker = await ownBroker();
    left.push(() => broker.close());
    const lateMs = await stopThenHang({ broker }, `mqtt://127.0.0.1:${broker.port}`, true);
    expect(lateMs).toBeLessThan(HELD_UP_MS / 2);
  });

  test.skipIf(!mosquittoHere()).each([true, false])('on mosquitto, waited for: %s', async (waits) => {
    const broker = (await startMosquitto())!;
    left.push(() => broker.stop());
    expect(await stopThenHang({ url: broker.url }, broker.url, waits)).toBeLessThan(HELD_UP_MS / 2);
  });

  test('with nothing to say, and asked twice at once, it resolves all the same', async () => {
    const broker = await ownBroker();
    left.push(() => broker.close());
    const bus = openBus({
      yard: landing(),
      at: { broker },
      word: who.desk,
      listener: notebook(),
      onConnection() {},
      log: quietLog,
    });
    left.push(() => bus.close());
    await bus.flushed();
    bus.begin(who);
    await until('the bus', () => bus.connected);
    for (let n = 1; n <= 50; n++) bus.heartbeat(who, n, 0);
    const began = performance.now();
    await Promise.all([bus.flushed(), bus.flushed()]);
    expect(performance.now() - began).toBeLessThan(2000);
  });
});

import { type ChildProcess, fork, spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type ExamBroker, examBroker } from '../../server/standin/exam-bus.ts';
import { type LiveFleet, startFleet } from '../../server/standin/fleet.ts';
import { move, prop, saltmarsh, yardOf } from '../standin/saltmarsh.ts';

/** Stand-ins over a real broker and as a real process, in real time. */

const MAIN = join(import.meta.dirname, '../../dist/server/standin/main.js');
const CLI = join(import.meta.dirname, '../../dist/server/cli.js');

class Broker {
  #open!: ExamBroker;
  port = 0;

  async open(): Promise<this> {
    this.#open = await examBroker('127.0.0.1', this.port);
    this.port = Number(new URL(this.#open.url).port);
    return this;
  }

  close(): Promise<void> {
    return this.#open.close();
  }

  get url(): string {
    return this.#open.url;
  }
}

/** A desk's ear and mouth on the bus. */
class Desk {
  readonly heard: { topic: string; payload: Record<string, unknown> }[] = [];
  readonly #client: MqttClient;
  #beat: NodeJS.Timeout | undefined;

  constructor(client: MqttClient) {
    this.#client = client;
    client.on('error', () => {});
    client.on('message', (topic, bytes) => this.heard.push({ topic, payload: JSON.parse(bytes.toString()) }));
  }

  static async on(url: string): Promise<Desk> {
    const client = await mqtt.connectAsync(url, { reconnectPeriod: 0 });
    const desk = new Desk(client);
    await client.subscribeAsync('yard/#', { qos: 1 });
    return desk;
  }

  beat(): void {
    let n = 0;
    this.#beat = setInterval(() => {
      n += 1;
      this.say('heartbeat', { desk: 'q4x1', epoch: 12, n, silenceMs: 1000, stop: 0 });
    }, 250);
  }

  say(topic: string, payload: object, retain = false): void {
    this.#client.publish(`yard/${topic}`, JSON.stringify(payload), { retain, qos: 1 });
  }

  on(topic: string): Record<string, unknown>[] {
    return this.heard.filter((h) => h.topic === `yard/${topic}`).map((h) => h.payload);
  }

  links(): Set<string> {
    return new Set(this.heard.filter((h) => h.topic.endsWith('/link') && h.payload.up).map((h) => h.topic));
  }

  close(): void {
    clearInterval(this.#beat);
    this.#client.end(true);
  }
}

const until = async (what: () => boolean, ms = 10_000): Promise<void> => {
  const end = performance.now() + ms;
  while (!what()) {
    if (performance.now() > end) throw new Error(`not within ${ms} ms: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
};

let broker: Broker;
const open: { close(): unknown }[] = [];
beforeEach(async () => {
  broker = await new Broker().open();
});
afterEach(async () => {
  for (const each of open.splice(0).reverse()) await each.close();
  await broker.close();
});

function fleetOf(yard = saltmarsh(), log: (line: string) => void = () => {}): LiveFleet {
  const fleet = startFleet({ yard, url: broker.url, log });
  open.push(fleet);
  return fleet;
}
async function deskOf(): Promise<Desk> {
  const desk = await Desk.on(broker.url);
  open.push(desk);
  return desk;
}

describe('stand-ins over a real broker', () => {
  it('link, move by a do, and are told dead by their wills', async () => {
    const desk = await deskOf();
    desk.beat();
    const quick = prop('cart', {
      sensors: { near: 'end', far: 'end' },
      home: 'near',
      moves: [move('out', { until: 'far', usual: 300, limit: 2000 })],
    });
    const fleet = fleetOf(yardOf([quick]));
    await until(() => desk.on('controller/cart/link').some((l) => l.epoch === 12));
    const { session, first } = desk.on('controller/cart/link').at(-1)!;
    const order = {
      prop: 'cart',
      run: 'r1',
      step: 0,
      move: 'out',
      session,
      desk: 'q4x1',
      epoch: 12,
      limitMs: 2000,
    };
    desk.say('prop/cart/do', order);
    await until(() => desk.on('prop/cart/did').some((d) => d.is === 'done'));
    expect(desk.on('prop/cart/did').map((d) => d.is)).toEqual(['started', 'done']);
    expect(desk.on('prop/cart/sense/far').at(-1)).toMatchObject({ made: true, n: 1, session });
    await fleet.close();
    await until(() => desk.on('controller/cart/link').at(-1)!.up === false);
    expect(desk.on('controller/cart/link').at(-1)!.session).toBe(first);
  });

  it('keep trying while the bus is away, say so once, and begin new sessions when it is back', async () => {
    const said: string[] = [];
    const fleet = fleetOf(saltmarsh(), (line) => said.push(line));
    await until(() => fleet.linked === 6);
    const desk = await deskOf();
    await until(() => desk.links().size === 6);
    const before = desk.on('controller/hatch/link').at(-1)!.session;
    await broker.close();
    await until(() => fleet.linked === 0);
    await new Promise((resolve) => setTimeout(resolve, 2500));
    await broker.open();
    await until(() => fleet.linked === 6);
    const again = await deskOf();
    await until(() => again.links().size === 6);
    expect(again.on('controller/hatch/link').at(-1)!.session).not.toBe(before);
    expect(said).toHaveLength(3);
    expect(said[0]).toMatch(/^6 boards are on the bus at mqtt:/);
    expect(said[1]).toMatch(/lost the bus|No bus/);
    expect(said[2]).toBe(said[0]);
  });

  it('hang and are cut off as told', async () => {
    const desk = await deskOf();
    const fleet = fleetOf();
    await until(() => desk.links().size === 6);
    fleet.say('cut hatch');
    await until(() => desk.on('controller/hatch/link').at(-1)!.up === false);
    fleet.say('mend hatch');
    await until(() => desk.on('controller/hatch/link').at(-1)!.up === true);
    fleet.say('silence bell');
    await new Promise((resolve) => setTimeout(resolve, 300));
    const beats = desk.on('controller/bell/beat').length;
    await new Promise((resolve) => setTimeout(resolve, 1000));
    expect(desk.on('controller/bell/beat')).toHaveLength(beats);
  });

  it('200 of them answer a stop, each once', { timeout: 30_000 }, async () => {
    const many = Array.from({ length: 200 }, (_, i) =>
      prop(`p${i}`, { moves: [move('go', { lasts: 1000 })] }),
    );
    const fleet = fleetOf(yardOf(many));
    const desk = await deskOf();
    desk.beat();
    await until(() => fleet.linked === 200 && desk.links().size === 200, 20_000);
    desk.say('stop', { latched: true, n: 3, desk: 'q4x1', epoch: 12 }, true);
    const stopped = () => desk.heard.filter((h) => h.topic.endsWith('/stopped'));
    await until(() => stopped().length >= 200);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(new Set(stopped().map((h) => h.topic)).size).toBe(200);
    expect(stopped()).toHaveLength(200);
  });
});

describe('the program', () => {
  let folder: string;
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'standin-'));
    await writeFile(join(folder, 'yard.yaml'), FILE);
  });
  afterEach(() => rm(folder, { recursive: true }));

  const ended = (child: ChildProcess) => new Promise<number | null>((resolve) => child.once('exit', resolve));

  it.each([
    ['by itself', [MAIN], 0],
    ['as a command, with a caution', [CLI, 'standins'], 1],
  ])('stands in for the boards of a file and answers each line by one: %s', async (_, program, cautions) => {
    const args = [...program, join(folder, 'yard.yaml'), '--bus', broker.url];
    const child = spawn(process.execPath, args, { stdio: 'pipe' });
    open.push({ close: () => child.kill('SIGKILL') });
    const answers: string[] = [];
    const said: string[] = [];
    createInterface({ input: child.stdout! }).on('line', (line) => answers.push(line));
    createInterface({ input: child.stderr! }).on('line', (line) => said.push(line));
    const desk = await deskOf();
    await until(() => desk.links().size === 2);
    child.stdin!.write('jam ferry\nlist ferry\nwhat\n');
    await until(() => answers.length === 3);
    expect(answers).toEqual([
      'Ferry is jammed where it stands.',
      'ferry at near at rest reads near made jam',
      expect.stringMatching(/^No: no 'what' here/),
    ]);
    const cautioned = said.filter((line) => line.includes('a real figure would trust it'));
    expect(cautioned).toHaveLength(cautions);
    expect(said.filter((line) => !cautioned.includes(line))).toEqual([
      `2 boards are on the bus at ${broker.url}.`,
    ]);
    child.stdin!.write('quit\n');
    expect(await ended(child)).toBe(0);
    await until(() => desk.on('controller/ferry-board/link').at(-1)!.up === false);
  });

  it('takes its lines from a parent process too, only some controllers, and goes with the parent', async () => {
    const args = [join(folder, 'yard.yaml'), '--bus', broker.url, '--only', 'bell', '--seed', '3'];
    const child = fork(MAIN, args, { stdio: 'ignore', execArgv: [] });
    open.push({ close: () => child.kill('SIGKILL') });
    const answers: unknown[] = [];
    child.on('message', (message) => answers.push(message));
    const desk = await deskOf();
    await until(() => desk.links().size === 1);
    child.send('list');
    await until(() => answers.length === 1);
    expect(answers).toEqual(['bell at rest']);
    const exit = ended(child);
    child.disconnect();
    expect(await exit).toBe(0);
  });

  it.each([
    [['none.yaml'], 2, /There is no file none\.yaml/],
    [['{}', '--only', 'frry'], 2, /no controller 'frry'\. It has: ferry-board, bell/],
    [['{}', '--bus', 'nowhere'], 2, /'nowhere' is no address of a bus/],
    [['{}', '--seed', 'x'], 2, /whole number/],
    [[], 2, /missing required argument/],
  ])('%j: exit %i with a sentence', async (args, code, wanted) => {
    const file = join(folder, 'yard.yaml');
    const child = spawn(process.execPath, [MAIN, ...args.map((a) => a.replace('{}', file))], {
      stdio: 'pipe',
    });
    let said = '';
    child.stderr!.on('data', (chunk) => {
      said += chunk;
    });
    expect(await ended(child)).toBe(code);
    expect(said).toMatch(wanted);
  });
});

const FILE = `
yard: {id: landing, title: Saltmarsh Landing, timezone: America/Chicago, latitude: 41.88, longitude: -87.63}
nights:
  - {prepare: "0 16 * 10 fri,sat", open: "18:00", close: "22:00", opens: by hand}
props:
  ferry:
    title: Ferry
    controller: ferry-board
    sensors: {near: end, far: end}
    home: near
    moves:
      out: {until: far, usual: 7 s, limit: 12 s}
      back: {until: near, usual: 7 s, limit: 12 s}
  bell: {title: Bell, moves: {toll: {lasts: 6 s}}}
scenes:
  crossing: {title: The crossing, steps: [ferry.out, bell.toll, ferry.back]}
`;

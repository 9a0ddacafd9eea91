import { once } from 'node:events';
import { connect } from 'node:net';
import fc from 'fast-check';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { soon, TestYard } from './harness.ts';
import { ScriptedDemo } from './scripted-demo.ts';

let yard: TestYard;
let keeper: string;
beforeAll(async () => {
  yard = await TestYard.start({
    demonstration: new ScriptedDemo(),
  });
  keeper = await yard.keeper();
});
afterAll(() => yard.end());
beforeEach(() => {
  yard.door.asked.length = 0;
});

const COMMANDS = [
  '/api/stop/clear',
  '/api/open',
  '/api/hold',
  '/api/close',
  '/api/scenes/crossing/run',
  '/api/props/ferry/lockout',
  '/api/props/ferry/release',
  '/api/props/ferry/acknowledge',
  '/api/props/ferry/bench',
];
const TAKING = [
  ...COMMANDS,
  '/api/session',
  '/api/people',
  '/api/demo/fault',
  '/api/demo/press',
  '/api/demo/run',
  '/api/demo/keeper',
  '/api/demo/reset',
];

const word = fc.constantFrom(
  '__proto__',
  'constructor',
  'prototype',
  'toString',
  'hasOwnProperty',
  'issued',
  'seq',
  'up',
  'press',
  'move',
  'why',
  'for',
  'plan',
  'pin',
  'name',
  'role',
  'prop',
  'fault',
  'on',
);
const value = fc.oneof(
  fc.jsonValue(),
  fc.constantFrom(1e308, -0, 2 ** 53, '2 h', true, null, '', '\u0000', '\ud800', [], {}, '1'.repeat(5_000)),
);
const body = fc.oneof(
  {
    weight: 3,
    arbitrary: fc
      .array(fc.tuple(word, value), { maxLength: 8 })
      .map((pairs) => `{${pairs.map(([k, v]) => `${JSON.stringify(k)}:${JSON.stringify(v)}`).join(',')}}`),
  },
  { weight: 1, arbitrary: fc.json() },
  { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 300 }) },
  {
    weight: 1,
    arbitrary: fc.integer({ min: 1, max: 20_000 }).map((n) => `${'['.repeat(n)}${']'.repeat(n)}`),
  },
);
const type = fc.constantFrom(
  'application/json',
  'application/json; charset=utf-8',
  'application/JSON;charset="x',
  'text/plain',
  'application/vnd.x+json',
  ';',
  '*/*',
);

const REFUSALS = [400, 401, 403, 404, 405, 409, 413, 415, 421, 422, 429];

describe('anything at all as a body', () => {
  it('is refused with a problem, or is a command that parses and is fresh', {
    timeout: 120_000,
  }, async () => {
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...TAKING), body, type, async (path, raw, contentType) => {
        yard.door.asked.length = 0;
        const said = await yard.send('POST', path, {
          raw,
          cookie: keeper,
          headers: { 'content-type': contentType },
        });
        if (said.status < 300)
          return void expect(COMMANDS.includes(path) ? yard.door.asked.length : 0).toBeLessThan(2);
        expect(REFUSALS).toContain(said.status);
        expect(said.headers['content-type']).toBe('application/problem+json');
        expect(said.json).toMatchObject({ type: 'about:blank', status: said.status });
        expect(said.json.detail).toBe(
          said.json.reasons.map((r: { sentence: string }) => r.sentence).join(' '),
        );
        expect(said.text.length).toBeLessThan(2_000);
        expect(yard.door.asked).toEqual([]);
      }),
      { numRuns: 250 },
    );
    expect(yard.lines.filter((l) => l.level === 'error')).toEqual([]);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  it('never becomes a command by fields that it inherits', async () => {
    for (const raw of [
      `{"__proto__":{"issued":${yard.now},"seq":100}}`,
      `{"constructor":{"prototype":{"issued":${yard.now},"seq":100}}}`,
      `{"issued":${yard.now},"__proto__":{"seq":100}}`,
    ]) {
      const said = await yard.send('POST', '/api/hold', { raw, cookie: keeper });
      expect(said.status).toBe(422);
    }
    expect(yard.door.asked).toEqual([]);
  });
});

describe('anything at all as an address', () => {
  it('is answered without a fault of ours', { timeout: 120_000 }, async () => {
    const piece = fc.oneof(
      word,
      fc.constantFrom(
        '..',
        '.',
        '%2e%2e',
        '%00',
        '%',
        '%zz',
        'api',
        'props',
        'nights',
        'scenes',
        'people',
        'assets',
        'socket.io',
        '\\',
        ';',
        '~',
      ),
      fc.webSegment(),
    );
    const target = fc
      .tuple(fc.array(piece, { maxLength: 6 }), fc.webQueryParameters())
      .map(([parts, query]) => `/${parts.join('/')}?${query}`);
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom('GET', 'POST', 'PUT', 'DELETE', 'OPTIONS', 'HEAD'),
        target,
        async (method, path) => {
          const said = await yard.send(method, path, { cookie: keeper });
          expect(said.status).not.toBe(500);
          expect(yard.door.stops).toEqual([]);
        },
      ),
      { numRuns: 200 },
    );
    expect(yard.lines.filter((l) => l.level === 'error')).toEqual([]);
  });
});

describe('anything at all as bytes', () => {
  it('leaves the yard answering', { timeout: 120_000 }, async () => {
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 400 }).map((b) => Buffer.from(b)),
      fc.string({ maxLength: 200 }).map((h) => Buffer.from(`GET / HTTP/1.1\r\nHost: ${h}\r\n\r\n`)),
      fc
        .string({ maxLength: 200 })
        .map((h) =>
          Buffer.from(
            `POST /api/open HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: ${h}\r\n\r\n{}`,
          ),
        ),
      fc
        .string({ maxLength: 200 })
        .map((h) =>
          Buffer.from(
            `GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: x\r\nConnection: upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: ${h}\r\n\r\n`,
          ),
        ),
    );
    await fc.assert(
      fc.asyncProperty(bytes, async (sent) => {
        await new Promise<void>((resolve) => {
          const socket = connect(yard.api.port, '127.0.0.1');
          socket.on('error', () => {}).resume();
          socket.on('close', () => resolve());
          socket.end(sent);
        });
        expect((await yard.get('/healthz')).status).toBe(200);
      }),
      { numRuns: 100 },
    );
    expect(yard.lines.filter((l) => l.level === 'error')).toEqual([]);
    expect(yard.door.asked).toEqual([]);
  });
});

describe('very many connections', () => {
  it('push out the oldest, never the newest, which may be a stop', async () => {
    const idle = Array.from({ length: 600 }, () => connect(yard.api.port, '127.0.0.1'));
    let closed = 0;
    for (const socket of idle) {
      socket.on('error', () => {}).resume();
      socket.on('close', () => {
        closed += 1;
      });
    }
    await Promise.all(idle.map((socket) => socket.connecting && once(socket, 'connect').catch(() => {})));
    expect((await yard.post('/api/stop')).status).toBe(200);
    const figures = (await yard.get('/metrics')).text;
    const open = Number(/^dusklatch_http_connections (\d+)$/m.exec(figures)?.[1]);
    expect(open).toBeGreaterThan(400);
    expect(open).toBeLessThanOrEqual(512);
    await soon(() => closed).toBeGreaterThanOrEqual(88);
    expect(idle.at(-1)?.destroyed).toBe(false);
    for (const socket of idle) socket.destroy();
    yard.door.stops.length = 0;
  });
});

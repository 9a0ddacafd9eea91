import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';
import { Registry } from 'prom-client';
import { io } from 'socket.io-client';
import { afterEach, describe, expect, it } from 'vitest';
import { ApiStartError, startApi } from '../../server/api/http.ts';
import { soon, TestYard } from './harness.ts';
import { ScriptedDoor } from './scripted-door.ts';

const open: { end(): unknown }[] = [];
afterEach(async () => {
  for (const o of open.splice(0)) await o.end();
});

/** Starts where a yard's port and host are changed; the rest is the yard's. */
async function startBeside(yard: TestYard, host: string, port: number) {
  const door = new ScriptedDoor();
  const started = startApi({
    door,
    past: yard.past,
    host,
    port,
    people: yard.people,
    names: [],
    webDir: yard.folder,
    demonstration: null,
    log: { info() {}, warn() {}, error() {} },
    metrics: new Registry(),
    clock: () => 0,
    asyncapi: null,
  });
  return started.then(
    (api) => ({ api, door, error: null }),
    (error: unknown) => ({ api: null, door, error }),
  );
}

describe('a start', () => {
  it('says which port is taken, with a code, and leaves nothing behind', async () => {
    const other = createServer().listen(0, '127.0.0.1');
    open.push({ end: () => other.close() });
    await once(other, 'listening');
    const { port } = other.address() as AddressInfo;
    const yard = await TestYard.start();
    open.push(yard);
    const { error, door } = await startBeside(yard, '127.0.0.1', port);
    expect(error).toBeInstanceOf(ApiStartError);
    expect(error).toMatchObject({
      code: 'port-taken',
      message: expect.stringContaining(`Port ${port} is taken`),
    });
    expect(door.listening).toBe(0);
  });

  it('says that an address is not this computer’s', async () => {
    const yard = await TestYard.start();
    open.push(yard);
    // 192.0.2.0/24 is for documentation (RFC 5737): no computer has it.
    const { error } = await startBeside(yard, '192.0.2.1', 0);
    expect(error).toMatchObject({ code: 'no-such-address', message: expect.stringContaining('192.0.2.1') });
  });

  it('tells 404 for the bus where nothing describes it', async () => {
    const yard = await TestYard.start({ asyncapi: null });
    open.push(yard);
    expect((await yard.get('/api/asyncapi.json')).status).toBe(404);
  });
});

describe('an end', () => {
  it('comes within a second, with idle, half-sent, waiting and listening callers', async () => {
    const yard = await TestYard.start();
    open.push({ end: () => yard.end().catch(() => {}) });
    const helper = await yard.helper();
    let waits = false;
    yard.door.answer = () => {
      waits = true;
      return new Promise(() => {});
    };
    const sockets: Socket[] = [];
    for (const bytes of [
      '',
      'GET /api/yard HTTP/1.1\r\nHost: x',
      `POST /api/hold HTTP/1.1\r\nHost: ${yard.host}\r\nContent-Length: 9\r\n\r\n{`,
    ]) {
      const socket = connect(yard.api.port, '127.0.0.1');
      socket.on('error', () => {}).resume();
      socket.write(bytes);
      sockets.push(socket);
    }
    yard.post('/api/hold', yard.fresh(), helper).catch(() => {});
    const client = io(`http://${yard.host}`, { transports: ['websocket'], reconnection: false });
    const polling = io(`http://${yard.host}`, { transports: ['polling'], reconnection: false });
    await Promise.all([client, polling].map((c) => new Promise((resolve) => c.once('picture', resolve))));
    await soon(() => waits).toBe(true);
    const gone = Promise.all(sockets.map((s) => new Promise((resolve) => s.once('close', resolve))));
    const before = performance.now();
    await yard.api.close();
    expect(performance.now() - before).toBeLessThan(1_000);
    await gone;
    expect(yard.door.listening).toBe(0);
    client.close();
    polling.close();
  });

  it('may be asked for twice', async () => {
    const yard = await TestYard.start();
    await Promise.all([yard.api.close(), yard.api.close()]);
    await yard.end();
  });
});

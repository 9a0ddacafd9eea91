import { connect, type Socket } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { USUAL_COST } from '../../server/api/pin-hash.ts';
import { isStopPath } from '../../server/api/stop.ts';
import { soon, TestYard } from './harness.ts';

let yard: TestYard;
beforeEach(async () => {
  yard = await TestYard.start();
});
afterEach(() => yard.end());

/** Writes bytes and gives back the socket with all that has come so far. */
function raw(bytes: string): { socket: Socket; got: () => string; until: (what: RegExp) => Promise<string> } {
  const socket = connect(yard.api.port, '127.0.0.1');
  let text = '';
  socket.on('error', () => {});
  socket.write(bytes);
  const until = (what: RegExp) =>
    new Promise<string>((resolve, reject) => {
      const look = () => what.test(text) && resolve(text);
      socket.on('data', (part) => {
        text += part;
        look();
      });
      socket.on('close', () =>
        what.test(text) ? resolve(text) : reject(new Error(`closed after: ${text}`)),
      );
      look();
    });
  return { socket, got: () => text, until };
}

describe('a stop', () => {
  it('is handed to the desk and told with its number', async () => {
    const said = await yard.post('/api/stop');
    expect(said.status).toBe(200);
    expect(said.json).toEqual({ n: 8, bus: true });
    expect(yard.door.stops).toEqual(['http']);
    expect(yard.lines.filter((l) => l.text === 'Stop asked for.')).toHaveLength(1);
  });

  it('says 503 and the red button where there is no bus', async () => {
    yard.door.stopAnswer = () => ({ n: 8, bus: false });
    const said = await yard.post('/api/stop');
    expect(said.status).toBe(503);
    expect(said.json).toMatchObject({ n: 8, bus: false, status: 503 });
    expect(said.json.detail).toMatch(/red button/);
    expect(said.headers['content-type']).toBe('application/problem+json');
  });

  it('is told as failed, with the red button, where the desk itself fails', async () => {
    yard.door.stopAnswer = () => {
      throw new Error('planted');
    };
    const said = await yard.post('/api/stop');
    expect(said.status).toBe(503);
    expect(said.json.detail).toMatch(/red button/);
    expect(yard.lines.some((l) => l.level === 'error')).toBe(true);
  });

  it('is told as done once it has left and is on disk, and in any case a moment later', async () => {
    let keep = () => {};
    yard.door.stopAnswer = () => ({ n: 8, bus: true, kept: new Promise((done) => (keep = done)) });
    let told = false;
    const said = yard.post('/api/stop').then((answer) => {
      told = true;
      return answer;
    });
    await soon(() => yard.door.stops.length).toBe(1);
    expect(told).toBe(false);
    keep();
    expect((await said).status).toBe(200);
    yard.door.stopAnswer = () => ({ n: 8, bus: true, kept: new Promise(() => {}) });
    expect((await yard.post('/api/stop')).status).toBe(200);
  });

  it('may be pressed again and again', async () => {
    for (let i = 0; i < 30; i += 1) expect((await yard.post('/api/stop')).status).toBe(200);
    expect(yard.door.stops).toHaveLength(30);
    const logged = () => yard.lines.filter((l) => l.text === 'Stop asked for.').length;
    expect(logged()).toBe(1);
    yard.door.stopAnswer = () => ({ n: 9, bus: true });
    await yard.post('/api/stop');
    expect(logged()).toBe(2);
  });

  it.each([
    ['malformed JSON', '{"stop', 'application/json'],
    ['a list', '[1,2', 'application/json'],
    ['no type', 'x', ''],
    ['a strange type', '\u0000\u0001', 'application/x-nothing; charset=utf-99'],
    ['a form', 'a=b', 'application/x-www-form-urlencoded'],
    ['a broken multipart', '--x', 'multipart/form-data'],
    ['300 KB', 'x'.repeat(300_000), 'application/json'],
  ])('takes a body of %s', async (_what, body, type) => {
    const said = await yard.send('POST', '/api/stop', { raw: body, headers: { 'content-type': type } });
    expect(said.status).toBe(200);
    expect(yard.door.stops).toHaveLength(1);
  });

  it.each([
    ['a foreign host', { host: 'evil.example' }],
    ['a foreign host and origin', { host: 'evil.example', origin: 'http://evil.example' }],
    ['a foreign origin', { origin: 'http://evil.example' }],
    ['an origin of null', { origin: 'null' }],
    ['a broken cookie', { cookie: 'dusklatch-1=%E0%A4%A; =;;' }],
    ['an expectation of something unheard of', { expect: 'tea' }],
    ['an encoding unheard of', { 'content-encoding': 'tea' }],
  ])('takes %s', async (_what, headers) => {
    const said = await yard.post('/api/stop', {}, undefined, headers as Record<string, string>);
    expect(said.status).toBe(200);
    expect(yard.door.stops).toHaveLength(1);
  });

  it('is done while its body is still on the way, and answered', async () => {
    const head = `POST /api/stop HTTP/1.1\r\nHost: ${yard.host}\r\nContent-Length: 1000000\r\n\r\n{"why":"`;
    const { until, socket } = raw(head);
    expect(await until(/"bus":true}/)).toMatch(/^HTTP\/1\.1 200 /);
    expect(yard.door.stops).toHaveLength(1);
    socket.destroy();
  });

  it('is done and answered while a chunked body never ends, and the sender is let go after', async () => {
    const head = `POST /api/stop HTTP/1.1\r\nHost: ${yard.host}\r\nTransfer-Encoding: chunked\r\n\r\n`;
    const { until, socket } = raw(head);
    const feed = setInterval(() => socket.writable && socket.write(`400\r\n${'x'.repeat(1024)}\r\n`), 5);
    try {
      expect(await until(/"bus":true}/)).toMatch(/^HTTP\/1\.1 200 /);
      expect(yard.door.stops).toHaveLength(1);
      // Well before the 10 s that a whole request may take.
      const answered = performance.now();
      await new Promise((resolve) => socket.once('close', resolve));
      expect(performance.now() - answered).toBeLessThan(7_000);
    } finally {
      clearInterval(feed);
    }
    expect(yard.door.stops).toHaveLength(1);
  });

  it('needs no Host at all, in HTTP/1.1 and 1.0', async () => {
    const one = raw('POST /api/stop HTTP/1.1\r\n\r\n');
    expect(await one.until(/"bus":true}/)).toMatch(/^HTTP\/1\.1 200 /);
    const two = raw('POST /api/stop HTTP/1.0\r\n\r\n');
    expect(await two.until(/"bus":true}/)).toMatch(/^HTTP\/1\.1 200 /);
    one.socket.destroy();
    expect(yard.door.stops).toHaveLength(2);
  });

  it('is taken from a caller that offers another protocol', async () => {
    const { until } = raw(
      `POST /api/stop HTTP/1.1\r\nHost: ${yard.host}\r\nConnection: Upgrade, HTTP2-Settings\r\n` +
        'Upgrade: h2c\r\nHTTP2-Settings: AAMAAABkAAQCAAAAAAIAAAAA\r\nContent-Length: 2\r\n\r\n{}',
    );
    expect(await until(/"bus":true}/)).toMatch(/^HTTP\/1\.1 200 /);
    expect(yard.door.stops).toHaveLength(1);
  });

  it('is taken behind requests on the same connection that are still waited for', async () => {
    let release: (() => void) | undefined;
    yard.door.answer = () =>
      new Promise((resolve) => {
        release = () => resolve({ ok: true });
      });
    const cookie = await yard.helper();
    const body = JSON.stringify(yard.fresh());
    const { until, socket } = raw(
      `POST /api/hold HTTP/1.1\r\nHost: ${yard.host}\r\nCookie: ${cookie}\r\nContent-Type: application/json\r\n` +
        `Content-Length: ${body.length}\r\n\r\n${body}POST /api/stop HTTP/1.1\r\nHost: ${yard.host}\r\n\r\n`,
    );
    await soon(() => yard.door.stops.length).toBe(1);
    await soon(() => release).toBeDefined();
    release?.();
    expect(await until(/"bus":true}/)).toMatch(/ 202 [\s\S]* 200 /);
    socket.destroy();
  });

  it('gives a page to a plain form', async () => {
    const said = await yard.send('POST', '/api/stop', {
      raw: '',
      headers: {
        accept: 'text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8',
        'content-type': 'application/x-www-form-urlencoded',
        'sec-fetch-mode': 'navigate',
      },
    });
    expect(said.status).toBe(200);
    expect(said.headers['content-type']).toMatch(/^text\/html/);
    expect(said.text).toMatch(/Stop 8 sent/);
    expect(said.text).toMatch(/<form method="post" action="\/api\/stop">/);
    expect(yard.door.stops).toEqual(['page']);
    yard.door.stopAnswer = () => ({ n: 8, bus: false });
    const failed = await yard.send('POST', '/api/stop', { raw: '', headers: { accept: 'text/html' } });
    expect(failed.status).toBe(503);
    expect(failed.text).toMatch(/PRESS THE RED BUTTON/);
  });

  it.each(['GET', 'HEAD', 'PUT', 'DELETE', 'PATCH'])('is not %s', async (method) => {
    const said = await yard.send(method, '/api/stop');
    expect(said.status).toBe(405);
    expect(said.headers.allow).toBe('POST, OPTIONS');
    expect(yard.door.stops).toHaveLength(0);
  });

  it('may be asked about beforehand by any page, which stops nothing', async () => {
    const said = await yard.send('OPTIONS', '/api/stop', { headers: { origin: 'http://evil.example' } });
    expect(said.status).toBe(204);
    expect(said.headers['access-control-allow-origin']).toBe('*');
    expect(said.headers['access-control-allow-methods']).toBe('POST');
    expect(yard.door.stops).toHaveLength(0);
  });

  it('is answered while sign-ins from many addresses and large bodies are still being dealt with', async () => {
    await yard.end();
    // PINs hashed as slowly as in earnest: about a tenth of a second each.
    yard = await TestYard.start({}, USUAL_COST);
    const done: string[] = [];
    const wrong = Array.from({ length: 40 }, (_, i) =>
      yard.send('POST', '/api/session', { body: { pin: String(100_000 + i) }, from: `127.0.0.${i + 2}` }),
    );
    const large = Array.from({ length: 20 }, () => yard.post('/api/session', { pin: 'x'.repeat(200_000) }));
    const flood = Promise.all([...wrong, ...large]).finally(() => done.push('flood'));
    await Promise.race(wrong);
    const said = await yard.post('/api/stop');
    done.push('stop');
    expect(said.status).toBe(200);
    const all = await flood;
    expect(done).toEqual(['stop', 'flood']);
    const statuses = all.map((s) => s.status);
    const number = (status: number) => statuses.filter((s) => s === status).length;
    expect(number(413)).toBe(20);
    expect(number(401) + number(429)).toBe(40);
    expect(number(429)).toBeGreaterThan(0);
  });

  it('is held back by no limit of calls', async () => {
    await yard.end();
    // One of the four goes to the test's own reading of the document.
    yard = await TestYard.start({ pace: { callsAtMost: 4 } });
    const seen: number[] = [];
    for (let i = 0; i < 6; i += 1) seen.push((await yard.get('/api/plan')).status);
    expect(seen).toEqual([200, 200, 200, 429, 429, 429]);
    for (let i = 0; i < 6; i += 1) expect((await yard.post('/api/stop')).status).toBe(200);
  });
});

describe('the address of a stop', () => {
  it.each([
    '/api/stop',
    '/api/stop/',
    '/API/Stop',
    '//api//stop',
    '/api/stop?by=phone#x',
    '/api/%73top',
    'http://10.0.0.5:10310/api/stop',
    'HTTPS://yard/api/stop?',
  ])('is %s', (target) => {
    expect(isStopPath(target)).toBe(true);
  });

  it.each([
    '/api/stop/clear',
    '/api/stopp',
    '/',
    '',
    '*',
    '/x?/api/stop',
    '/%E0%A4%A/api/stop',
    '/apistop',
    `/${'/'.repeat(300)}api/stop`,
  ])('is not %s', (target) => {
    expect(isStopPath(target)).toBe(false);
  });
});

import { connect } from 'node:net';
import { describe, it } from 'vitest';
import { BOARDS, NOTICE_MS } from './landing.ts';
import { mosquittoHere } from './mosquitto.ts';
import { heeded, moving, obeyed, onShore, still } from './shore.ts';
import { clear, clearedAndReplayed, nothingMovesAfter, numbersIn, reasons } from './stopped.ts';
import { replayOf, sleep, until, type Yard } from './yard-rig.ts';

/** Stops of a real yard: who may press, what still passes on the bus, what a dead broker changes. */

/** Bytes to the daemon's port, and what came back until it hung up or 5 s had passed. */
function raw(yard: Yard, bytes: string, hangUp = false): Promise<string> {
  return new Promise((resolve) => {
    const socket = connect(yard.port, '127.0.0.1', () => {
      socket.write(bytes, () => hangUp && socket.end());
    });
    let text = '';
    const late = setTimeout(() => socket.destroy(), 5000);
    socket.on('data', (part) => {
      text += part.toString();
      if (/\r\n\r\n.*[}>]\s*$/s.test(text)) socket.destroy();
    });
    socket.on('error', () => {});
    socket.on('close', () => {
      clearTimeout(late);
      resolve(text);
    });
  });
}

/** Ways of pressing that no other call would be let through with. */
const PRESSES: Readonly<Record<string, (yard: Yard) => Promise<unknown>>> = {
  'signed out, without a body': (yard) => fetch(`${yard.url}/api/stop`, { method: 'POST' }),
  'a foreign Host': (yard) =>
    raw(yard, 'POST /api/stop HTTP/1.1\r\nHost: evil.example\r\nContent-Length: 0\r\n\r\n'),
  'no Host at all': (yard) => raw(yard, 'POST /api/stop HTTP/1.0\r\n\r\n'),
  'a foreign Origin and a cookie that is none': (yard) =>
    raw(
      yard,
      `POST /api/stop HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://evil.example\r\nCookie: dusklatch-${yard.port}=\u00ff;;=\r\n` +
        'Content-Length: 0\r\n\r\n',
    ),
  'JSON that is broken': (yard) =>
    raw(
      yard,
      'POST /api/stop HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n{"broken:',
    ),
  'a body that is hung up on': (yard) =>
    raw(yard, 'POST /api/stop HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1000000\r\n\r\nabc', true),
  'chunks that are none': (yard) =>
    raw(yard, 'POST /api/stop HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\nzzz\r\n\r\n'),
  'a plain form': (yard) =>
    raw(
      yard,
      'POST /api/stop HTTP/1.1\r\nHost: yard.local\r\nAccept: text/html\r\nContent-Type: application/x-www-form-urlencoded\r\n' +
        'Content-Length: 3\r\n\r\na=b',
    ),
  'ten megabytes': (yard) =>
    fetch(`${yard.url}/api/stop`, { method: 'POST', body: Buffer.alloc(10_000_000) }).catch(
      () => 'hung up on',
    ),
};

describe.concurrent('a stop', { timeout: 60_000 }, () => {
  it('from HTTP reaches every board, however it is sent; nothing moves until clear and open', ({ expect }) =>
    onShore({}, async (shore) => {
      const { yard, ear } = shore;
      let n = 0;
      let stopAt = 0;
      for (const [how, press] of Object.entries(PRESSES)) {
        if (n === 0) await moving(shore);
        else expect(ear.orders(stopAt), how).toEqual([]);
        await press(yard);
        n += 1;
        await obeyed(shore, n);
        expect(await yard.picture(), how).toMatchObject({ mode: 'stopped', stop: { latched: true, n } });
        const from = nothingMovesAfter(shore, n);
        if (n === 1) {
          stopAt = from;
          await still(shore);
          // whoever asks for a movement now is refused, and the reason is the stop
          for (const path of ['/api/open', '/api/scenes/bell-tolls/run', '/api/scenes/crossing/run']) {
            const answer = await yard.command(path);
            expect(answer.status, path).toBe(409);
            if (path === '/api/open') expect(await reasons(answer)).toMatchObject([{ code: 'stopped' }]);
          }
          const bench = await yard.command('/api/props/bell/bench', { move: 'toll', press: 'p1' });
          expect(bench.status).toBe(409);
        }
        await clear(yard);
      }
      expect(n).toBe(9);
      // again and again: the same stop
      const [first, ...more] = await Promise.all(
        Array.from({ length: 20 }, async () => (await (await yard.post('/api/stop', {})).json()) as object),
      );
      expect(first).toEqual({ n: 10, bus: true });
      expect(new Set(more.map((m) => JSON.stringify(m)))).toEqual(new Set([JSON.stringify(first)]));
      await obeyed(shore, 10);
      await clear(yard);
      await sleep(1000);
      expect(ear.orders(stopAt)).toEqual([]);
      const opened = performance.now();
      expect((await yard.command('/api/open')).status).toBe(202);
      const order = await until('the yard to move again', () => ear.orders(stopAt)[0]);
      expect(order.at - opened).toBeGreaterThanOrEqual(NOTICE_MS);
      await yard.kill('SIGTERM');
      expect(await replayOf(yard.dataDir)).toMatchObject({ difference: null, gaps: [] });
    }));

  it('from a station reaches every board; clear is refused with all reasons while the button is in', ({
    expect,
  }) =>
    onShore({}, async (shore) => {
      const { yard, boards, ear } = shore;
      await moving(shore);
      await boards.say('hold gate-button.button');
      await obeyed(shore, 1);
      await still(shore);
      const from = nothingMovesAfter(shore, 1);
      expect((await yard.picture()).stop.by).toMatch(/red button at the gate/i);
      await boards.say('silence pier-button');
      await until(
        'the other button to be silent',
        async () => (await yard.picture()).props['pier-button']!.state === 'silent',
      );
      const both = await yard.command('/api/stop/clear');
      expect(both.status).toBe(409);
      expect(await reasons(both)).toEqual([
        { code: 'station-in', sentence: expect.stringMatching(/red button at the gate/i) },
        { code: 'station-silent', sentence: expect.stringMatching(/red button on the pier/i) },
      ]);
      expect((await yard.picture()).stop.bars).toHaveLength(2);
      await boards.say('release gate-button.button');
      await until('one reason less', async () => (await yard.picture()).stop.bars.length === 1);
      const one = await yard.command('/api/stop/clear');
      expect([one.status, await reasons(one)]).toEqual([
        409,
        [expect.objectContaining({ code: 'station-silent' })],
      ]);
      expect((await yard.picture()).mode).toBe('stopped');
      await boards.say('mend pier-button');
      await until('nothing to bar it', async () => (await yard.picture()).stop.bars.length === 0);
      await clear(yard);
      await sleep(1000);
      expect(ear.orders(from)).toEqual([]);
      // a button whose board falls silent is a stop as well
      expect((await yard.command('/api/open')).status).toBe(202);
      await moving(shore);
      await boards.say('cut gate-button');
      await until('the silence to stop the yard', async () => (await yard.picture()).mode === 'stopped');
      await heeded(
        shore,
        2,
        BOARDS.filter((b) => b !== 'gate-button'),
      );
      nothingMovesAfter(shore, 2);
      expect((await yard.picture()).stop).toMatchObject({ n: 2, silent: ['gate-button'] });
    }));

  it.runIf(mosquittoHere())(
    'with the broker dead: 503 and the red button, latched all the same, and sent once there is a bus',
    ({ expect }) =>
      onShore({ bus: 'mosquitto' }, async (shore) => {
        const { yard, ear, broker } = shore;
        await moving(shore);
        await broker!.kill();
        const answer = await yard.post('/api/stop', {});
        expect(answer.status).toBe(503);
        expect(answer.headers.get('content-type')).toMatch(/^application\/problem\+json/);
        expect(await answer.json()).toMatchObject({
          n: 1,
          bus: false,
          detail: expect.stringMatching(/red button/i),
        });
        expect(await yard.picture()).toMatchObject({
          mode: 'stopped',
          bus: { connected: false },
          stop: { latched: true, n: 1 },
        });
        expect(numbersIn(yard)).toMatch(/stop 1, cleared 0/);
        expect((await fetch(`${yard.url}/readyz`)).status).toBe(503);
        await still(shore);
        const refused = await yard.command('/api/stop/clear');
        expect([refused.status, await reasons(refused)]).toEqual([
          409,
          expect.arrayContaining([expect.objectContaining({ code: 'no-bus' })]),
        ]);
        const from = ear.mark();
        await broker!.restart();
        await obeyed(shore, 1);
        expect(ear.on('stop', from)[0]!.payload).toMatchObject({ latched: true, n: 1 });
        const again = await yard.post('/api/stop', {});
        expect([again.status, await again.json()]).toEqual([200, { n: 1, bus: true }]);
        await clearedAndReplayed(shore);
        expect(ear.orders(from)).toEqual([]);
      }),
  );
});

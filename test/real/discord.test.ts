import { request } from 'node:http';
import { io } from 'socket.io-client';
import { describe, expect, it } from 'vitest';
import { landing } from './landing.ts';
import { mosquittoHere } from './mosquitto.ts';
import { lookedAfter, night, openAgain, ready, SCENES, SEED, SHAKEN_BOARDS, shaken } from './shaken.ts';
import { goOn, obeyed, onShore } from './shore.ts';
import { type StallingWay, stallingWay } from './stalling-way.ts';
import { wrongOnTheBus } from './watch.ts';
import { openFor, replayOf, sleep, startYard, until, type Yard } from './yard-rig.ts';

/** A network that holds back and floods, two desks, pages that do not read, a wall clock that jumps. */

const STEPPING = new URL('./stepping-clock.mjs', import.meta.url).href;
/** What a board is out for that could not be told, or could not be heard. */
const UNHEARD = ['no-answer', 'travel-slow', 'overrun', 'no-departure', 'link-lost', 'failed', 'dead-halt'];

describe.runIf(mosquittoHere()).concurrent('a night in which', { timeout: 120_000 }, () => {
  it(`the way to the boards stalls with orders in it, floods, and is swallowed (seed ${SEED})`, async () => {
    let way: StallingWay | null = null;
    const boardsDial = async (busUrl: string) => {
      way = await stallingWay(busUrl);
      return way.url;
    };
    try {
      await shaken('stalls', { boardsDial }, async ({ yard, boards, moment }) => {
        let lateUntil = Number.POSITIVE_INFINITY;
        await moment(1500);
        for (const direction of ['to-boards', 'from-boards', 'both'] as const) {
          if (direction !== 'to-boards') lateUntil = Math.min(lateUntil, performance.now());
          way!.stall(direction);
          await until(
            'no prop to move',
            async () => !/ moving| driven/.test(await boards.say('list')),
            12_000,
          );
          // long enough for an order in the stalled way to have become dangerous
          await sleep(1500);
          way!.flush();
          // whoever could not be told, or could not answer, may be out for that
          await lookedAfter(yard, UNHEARD);
          await goOn(yard, ['gull-calls', 'below-stairs']);
        }
        way!.swallow('both');
        await until('every board to be missed', async () =>
          Object.values((await yard.picture()).props).every(
            (p) => p.lockout !== null || p.state === 'silent',
          ),
        );
        way!.flush();
        await lookedAfter(yard, UNHEARD);
        return { lateUntil };
      });
    } finally {
      await way!.close();
    }
  });

  it('two desks are on one bus: the second waits and says so, and takes over when the first is gone', () =>
    onShore({ bus: 'mosquitto' }, async (shore) => {
      const { yard, ear, busUrl } = shore;
      const second = await startYard({ text: landing({ url: busUrl }), until: 'alive' });
      try {
        const first = (await yard.picture()).bus.epoch;
        const word = String(ear.on('heartbeat').at(-1)!.payload.desk);
        const waits = await until('the second to say why it waits', async () => {
          const said = await fetch(`${second.url}/readyz`);
          const text = await said.text();
          return said.status === 503 && text.includes(word) && text;
        });
        expect(waits).toMatch(/Another yard computer.*drives this bus.*moves nothing/);
        expect((await second.picture()).notes.join(' ')).toContain(word);
        const open = await second.command('/api/open', { for: '10 min' });
        expect(open.status).toBe(409);
        const others = () => new Set(ear.on('heartbeat').map((h) => h.payload.desk));
        expect(others()).toEqual(new Set([word]));
        // its stop goes out all the same, and stops the first
        const stop = await second.post('/api/stop', {});
        expect([stop.status, await stop.json()]).toEqual([200, { n: 1, bus: true }]);
        await obeyed(shore, 1);
        expect((await yard.picture()).mode).toBe('stopped');
        expect((await yard.command('/api/stop/clear')).status).toBe(200);
        await openAgain(yard);
        await goOn(yard, ['gull-calls']);
        // the first is gone: the second takes over, above it; what it stopped itself stays stopped until a person clears it
        await yard.kill('SIGKILL');
        const from = ear.mark();
        await ready(second);
        const taken = await second.picture();
        expect(taken.bus.epoch).toBeGreaterThan(first);
        expect(['closed', 'stopped']).toContain(taken.mode);
        await sleep(1500);
        expect(ear.orders(from)).toEqual([]);
        if ((await second.picture()).mode === 'stopped') {
          await until('nothing to bar a clear', async () => (await second.picture()).stop.bars.length === 0);
          expect((await second.command('/api/stop/clear')).status).toBe(200);
        }
        await openFor(second, '10 min');
        await goOn(second, ['gull-calls']);
        // and the first, back, is now the one that waits
        await yard.start('alive');
        await until('the first to say why it waits', async () => {
          const said = await fetch(`${yard.url}/readyz`);
          return said.status === 503 && /Another yard computer/.test(await said.text());
        });
        await goOn(second, ['gull-calls']);
        expect(wrongOnTheBus(ear.heard, { twoRecords: true })).toEqual([]);
        await second.kill('SIGTERM');
        await yard.kill('SIGTERM');
        for (const each of [yard, second]) {
          expect(await replayOf(each.dataDir)).toMatchObject({ difference: null, gaps: [] });
        }
      } finally {
        await second.close();
      }
    }));

  night('a higher desk speaks up, and falls silent', {}, async ({ yard, ear }) => {
    const epoch = (await yard.picture()).bus.epoch + 40;
    let n = 0;
    const other = setInterval(
      () => ear.say('heartbeat', { desk: 'zzzz', epoch, n: ++n, silenceMs: 1000, stop: 0 }, { qos: 0 }),
      250,
    );
    try {
      const down = await until('it to stand down', async () => {
        const picture = await yard.picture();
        return picture.bus.standsDown !== null && picture;
      });
      expect(down.bus.standsDown).toContain('zzzz');
      expect(down.mode).toBe('held');
      const ready = await fetch(`${yard.url}/readyz`);
      expect([ready.status, await ready.text()]).toEqual([503, expect.stringMatching(/zzzz.*taken over/)]);
      const from = ear.mark();
      await sleep(2000);
      expect(ear.orders(from)).toEqual([]);
      expect(ear.on('heartbeat', from).filter((h) => h.payload.desk !== 'zzzz')).toEqual([]);
      expect((await yard.command('/api/open')).status).toBe(409);
    } finally {
      clearInterval(other);
    }
    const from = ear.mark();
    await ready(yard);
    expect((await yard.picture()).bus).toMatchObject({ epoch: epoch + 1, standsDown: null });
    expect((await yard.picture()).mode).toBe('held');
    await sleep(1000);
    expect(ear.orders(from)).toEqual([]);
  });

  night('pages do not read what they are sent', { bus: 'own' }, async ({ yard, moment, ...shore }) => {
    const slow = await Promise.all(Array.from({ length: 30 }, () => deafPage(yard)));
    const beats: number[] = [];
    const page = io(yard.url, { transports: ['websocket'], reconnection: false });
    page.on('beat', () => beats.push(performance.now()));
    try {
      await until('a page that reads to be told', () => beats.length > 0);
      await goOn(yard, SCENES);
      const pressed = performance.now();
      const stop = await yard.post('/api/stop', {});
      expect(stop.status).toBe(200);
      expect(performance.now() - pressed).toBeLessThan(1000);
      await obeyed({ yard, ...shore }, 1, SHAKEN_BOARDS);
      const gaps = beats.slice(1).map((at, i) => at - beats[i]!);
      expect(Math.max(...gaps)).toBeLessThan(2500);
      expect((await yard.command('/api/stop/clear')).status).toBe(200);
    } finally {
      page.close();
      for (const close of slow) close();
    }
  });

  night(
    'the wall clock jumps forth and back',
    { bus: 'own', nodeArgs: ['--import', STEPPING], env: { STEPS: '60000,-40000,40000' } },
    async ({ yard, ear }) => {
      const startsOf = async () =>
        (await yard.lines()).filter((l) => l.code === 'run-started').map((l) => l.run);
      const step = async (by: number) => {
        const { at } = await yard.picture();
        const from = ear.mark();
        yard.signal('SIGWINCH');
        await until(
          'the step to be told',
          async () => Math.abs((await yard.picture()).at - at - by) < 30_000,
        );
        await until('a line of it', async () => (await yard.lines()).some((l) => l.code === 'clock-stepped'));
        return from;
      };
      const before = (await startsOf()).length;
      // a minute forth: what was planned for them is skipped with why, and not made up for
      const from = await step(60_000);
      await sleep(1500);
      const began = (await startsOf()).slice(before);
      expect(began.length).toBeLessThanOrEqual(2 * Object.keys((await yard.picture()).scenes).length);
      await until('what is too late to be skipped', async () => {
        const skipped = (await yard.lines()).filter(
          (l) => l.code === 'run-skipped' && l.scene !== 'bell-tolls',
        );
        return skipped.length > 10;
      });
      await goOn(yard, ['gull-calls']);
      // most of it back: nothing that ran runs again
      await step(-40_000);
      const ask = await until('a scene by hand', async () => {
        const answer = await yard.command('/api/scenes/gull-calls/run');
        return answer.status === 200 && answer;
      });
      expect(ask.status).toBe(200);
      await step(40_000);
      await goOn(yard, ['gull-calls']);
      const all = await startsOf();
      expect(new Set(all).size).toBe(all.length);
      expect(ear.orders(from).length).toBeGreaterThan(0);
      expect((await yard.picture()).mode).toBe('open');
    },
  );
});

/** A page that joins the feed and then reads nothing more. Resolves to how it is closed. */
function deafPage(yard: Yard): Promise<() => void> {
  return new Promise((joined, failed) => {
    const asked = request(`${yard.url}/socket.io/?EIO=4&transport=websocket`, {
      headers: {
        connection: 'Upgrade',
        upgrade: 'websocket',
        // the sample nonce of RFC 6455, section 1.3
        'sec-websocket-key': 'dGhlIHNhbXBsZSBub25jZQ==',
        'sec-websocket-version': '13',
      },
    });
    asked.on('upgrade', (_answer, socket) => {
      socket.on('error', () => {});
      // a text frame of '40' (join), masked as RFC 6455 section 5.3 asks of clients, with a mask of zeros
      socket.write(Buffer.from([0x81, 0x82, 0, 0, 0, 0, 0x34, 0x30]));
      socket.pause();
      joined(() => socket.destroy());
    });
    asked.on('response', (answer) => failed(new Error(`no page: ${answer.statusCode}`)));
    asked.on('error', failed);
    asked.end();
  });
}

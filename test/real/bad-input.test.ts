import { describe, expect, it } from 'vitest';
import { type HostileBus, hostile } from './hostile-bus.ts';
import { landing, NOTICE_MS } from './landing.ts';
import { mosquittoHere, startMosquitto } from './mosquitto.ts';
import { obeyed, onShore, type Shore, still } from './shore.ts';
import { PIN, replayOf, sleep, startStandins, startYard, until } from './yard-rig.ts';

/** What a guest or a bad night may feed a daemon that runs: it is told and counted, and changes nothing. */

describe.concurrent('a daemon that runs', { timeout: 90_000 }, () => {
  it('refuses bodies and heads that are too large, and takes no harm', () =>
    onShore({ open: false }, async (shore) => {
      const { yard } = shore;
      const before = await steady(shore);
      const big = 'x'.repeat(10_000_000);
      for (const path of ['/api/open', '/api/session', '/api/props/bell/lockout', '/api/people']) {
        const answer = await fetch(`${yard.url}${path}`, {
          method: 'POST',
          headers: { 'content-type': 'application/json' },
          body: JSON.stringify({ pin: big }),
        }).catch((error: Error) => error);
        // cut off in mid-body; or told that it is too much, or first that nobody is signed in
        if (!(answer instanceof Error)) expect([401, 413], path).toContain(answer.status);
      }
      const told = await yard.command('/api/props/bell/lockout', { why: 'y'.repeat(70_000) });
      expect([told.status, await told.json()]).toMatchObject([413, { reasons: [{ code: 'too-large' }] }]);
      const deep = await fetch(`${yard.url}/api/session`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: `{"pin":${'['.repeat(20_000)}${']'.repeat(20_000)}}`,
      });
      expect(deep.status).toBe(422);
      const head = await fetch(`${yard.url}/api/yard`, { headers: { 'x-long': 'z'.repeat(100_000) } }).catch(
        () => null,
      );
      if (head) expect(head.status).toBe(431);
      expect(await steady(shore)).toEqual(before);
    }));

  it('slows wrong PINs and then bars them, while a stop and whoever is signed in still work', () =>
    onShore({ open: false }, async (shore) => {
      const { yard } = shore;
      // signed in from before: a command as the keeper works
      expect((await yard.command('/api/close')).status).toBe(202);
      const took: number[] = [];
      const statuses: number[] = [];
      for (let i = 0; i < 5; i += 1) {
        const begun = performance.now();
        statuses.push((await yard.post('/api/session', { pin: `99000${i}` })).status);
        took.push(performance.now() - begun);
      }
      expect(statuses).toEqual([401, 401, 401, 401, 401]);
      // each waits twice as long as the one before; the times are floors, since hashing comes on top
      for (const [i, least] of [0, 250, 500, 1000, 2000].entries())
        expect(took[i]).toBeGreaterThanOrEqual(least);
      const barred = await yard.post('/api/session', { pin: PIN });
      expect(barred.status).toBe(429);
      expect(Number(barred.headers.get('retry-after'))).toBeGreaterThan(30);
      const flood = Array.from({ length: 50 }, () => yard.post('/api/session', { pin: PIN }));
      const pressed = performance.now();
      const stop = await yard.post('/api/stop', {});
      expect([stop.status, await stop.json()]).toEqual([200, { n: 1, bus: true }]);
      // Wrong PINs are slowed by seconds; a stop is not. (How quick it is, the bench measures.)
      expect(performance.now() - pressed).toBeLessThan(2000);
      expect(new Set((await Promise.all(flood)).map((r) => r.status))).toEqual(new Set([429]));
      await obeyed(shore, 1);
      expect((await yard.command('/api/stop/clear')).status).toBe(200);
    }));

  for (const bus of ['own', 'mosquitto'] as const) {
    it.runIf(bus === 'own' || mosquittoHere())(
      `${bus} bus: survives thousands of hostile messages, counts them, and believes none`,
      () =>
        // mosquitto drops what waits for a desk that stands still beyond a thousand messages; here all must be counted
        onShore({ bus, open: false, brokerLines: ['max_queued_messages 0'] }, async (shore) => {
          const { yard } = shore;
          const before = await steady(shore);
          // what was heard at first is put down within a second
          await sleep(1500);
          const linesBefore = await yard.lines();
          const dropped = await counted(yard.url);
          const evil: HostileBus = await hostile(shore.busUrl, 20_261_031, bus === 'own');
          try {
            const sent = await evil.plant(3000);
            // on a broker of another's only what the desk subscribes to reaches it
            const least = bus === 'own' ? sent.all : sent.heard;
            await until(
              `${least} to be counted`,
              async () => (await counted(yard.url)) - dropped >= least,
              30_000,
            );
            expect((await counted(yard.url)) - dropped).toBe(least);
            await evil.stale(300);
            await evil.huge();
          } finally {
            evil.close();
          }
          expect(yard.ended()).toBeNull();
          expect((await fetch(`${yard.url}/readyz`)).status).toBe(200);
          const after = await until(
            'the picture to be as it was',
            async () => {
              const now = await steady(shore);
              return JSON.stringify(now) === JSON.stringify(before) && now;
            },
            5000,
          ).catch(() => steady(shore));
          expect(after).toEqual(before);
          expect((await yard.picture()).notes.join(' ')).toMatch(
            /messages on the bus could not be used\. Most often: .*`/,
          );
          // a flood may hold up heartbeats, and then a board begins anew, which moves nothing
          const since = (await yard.lines()).slice(linesBefore.length);
          expect(since.filter((l) => !/^link-|^loop-/.test(l.code)).map((l) => l.text)).toEqual([]);
          // and it still does what it is there for
          expect((await yard.post('/api/stop', {})).status).toBe(200);
          await obeyed(shore, 1);
          await yard.kill('SIGTERM');
          expect(await replayOf(yard.dataDir)).toMatchObject({ difference: null, gaps: [] });
        }),
    );
  }
});

/** The picture without what changes by itself from second to second, once every board is heard. */
async function steady({ yard }: Shore): Promise<unknown> {
  await until('every board', async () =>
    Object.values((await yard.picture()).props).every((p) => p.state !== 'silent'),
  );
  const { seq: _seq, at: _at, notes: _notes, props, ...rest } = await yard.picture();
  return {
    ...rest,
    props: Object.fromEntries(Object.entries(props).map(([id, p]) => [id, { ...p, heard: null }])),
  };
}

async function counted(url: string): Promise<number> {
  const text = await (await fetch(`${url}/metrics`)).text();
  return Number(/^dusklatch_bus_dropped_total (\d+)/m.exec(text)![1]);
}

describe.runIf(mosquittoHere()).concurrent('a broker that is away', { timeout: 60_000 }, () => {
  it('at the start: the page and the stop are there before it; with it the yard is, still stopped', async () => {
    const broker = (await startMosquitto())!;
    await broker.kill();
    const yard = await startYard({ text: landing({ url: broker.url }), until: 'alive' });
    const boards = await startStandins(yard.file, broker.url);
    try {
      const ready = await fetch(`${yard.url}/readyz`);
      expect([ready.status, await ready.text()]).toEqual([503, expect.stringMatching(/bus/i)]);
      expect((await fetch(`${yard.url}/`)).status).toBe(200);
      expect(await yard.picture()).toMatchObject({ mode: 'closed', bus: { connected: false } });
      const open = await yard.command('/api/open', { for: '10 min' });
      expect([open.status, await open.json()]).toMatchObject([
        409,
        { reasons: expect.arrayContaining([expect.objectContaining({ code: 'no-bus' })]) },
      ]);
      const stop = await yard.post('/api/stop', {});
      expect([stop.status, await stop.json()]).toMatchObject([503, { n: 1, bus: false }]);
      await broker.restart();
      await until('the yard to be ready', async () => (await fetch(`${yard.url}/readyz`)).ok);
      await until(
        'every board to have answered',
        async () => (await yard.picture()).stop.silent.length === 0,
      );
      expect(await yard.picture()).toMatchObject({ mode: 'stopped', stop: { latched: true, n: 1 } });
      expect((await yard.command('/api/stop/clear')).status).toBe(200);
    } finally {
      await boards.close();
      await yard.close();
      await broker.stop();
    }
  });

  it('for a while in the midst of a show: boards stop by themselves, nobody is locked out, and the show goes on', () =>
    onShore({ bus: 'mosquitto', stations: false }, async (shore) => {
      const { yard, ear, broker } = shore;
      await until(
        'the ferry to be on its way',
        () => ear.made('ferry', 'near') === false && ear.made('ferry', 'far') === false,
      );
      await broker!.kill();
      const gone = await until('the picture to say so', async () => {
        const picture = await yard.picture();
        return !picture.bus.connected && picture;
      });
      expect(gone.modeWhy).toMatch(/no link to the bus/);
      expect((await fetch(`${yard.url}/readyz`)).status).toBe(503);
      await still(shore);
      const from = ear.mark();
      await broker!.restart();
      await until('the yard to be ready', async () => (await fetch(`${yard.url}/readyz`)).ok);
      const { at } = await until('the ferry to be brought home', () => ear.orders(from, 'ferry')[0]);
      expect(ear.orders(from, 'ferry')[0]).toMatchObject({
        move: 'back',
        run: expect.stringMatching(/^home\./),
      });
      const linked = ear.on('controller/ferry/link', from).find((h) => h.payload.up === true)!;
      expect(at - linked.at).toBeGreaterThanOrEqual(NOTICE_MS - 50);
      await until('a crossing after it', async () =>
        ear.on('prop/ferryman/did', from).some((h) => h.payload.is === 'done'),
      );
      const { props, mode } = await yard.picture();
      expect(mode).toBe('open');
      expect(Object.values(props).filter((p) => p.lockout !== null)).toEqual([]);
      const lines = await yard.lines();
      expect(lines.filter((l) => l.code === 'lockout-raised')).toEqual([]);
      expect(lines.some((l) => l.code === 'run-abandoned')).toBe(true);
      await yard.kill('SIGTERM');
      expect(await replayOf(yard.dataDir)).toMatchObject({ difference: null, gaps: [] });
    }));
});

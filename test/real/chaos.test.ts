import { request } from 'node:http';
import { io } from 'socket.io-client';
import { describe, expect, it } from 'vitest';
import { BOARDS, landing } from './landing.ts';
import { mosquittoHere } from './mosquitto.ts';
import { seeded } from './seeded.ts';
import { goOn, obeyed, onShore, type Shore, type ShoreOptions, still } from './shore.ts';
import { type StallingWay, stallingWay } from './stalling-way.ts';
import { type WatchOptions, wrongOnTheBus } from './watch.ts';
import { openFor, replayOf, sleep, startYard, until, type Yard } from './yard-rig.ts';

/*
 * Daemon, broker and boards killed, frozen, cut off and set against each other at moments by chance, in a night that
 * goes on meanwhile. The seed stands in the name of a failing run; DUSKLATCH_CHAOS_SEED gives another.
 */

const SEED = Number(process.env.DUSKLATCH_CHAOS_SEED ?? 31);
const WHY = 'Its rope is frayed';
const STEPPING = new URL('./stepping-clock.mjs', import.meta.url).href;
const BOARDS_WITHOUT_STATIONS = BOARDS.filter((b) => !b.endsWith('-button'));
/** What a board is out for that could not be told, or could not be heard. */
const UNHEARD = ['no-answer', 'travel-slow', 'overrun', 'no-departure', 'link-lost', 'failed', 'dead-halt'];
const SCENES = ['gull-calls', 'below-stairs'];

interface Shaken extends Shore {
  /** Waits up to so many ms, by chance. */
  moment(mostMs: number): Promise<void>;
}

/**
 * A night with the bell out of service by hand, shaken by `act`. After it the bell is still out, in the same words, and
 * nobody else is; the show goes on; nothing on the bus was told to move that should not have been; and the record gives
 * the state that memory had.
 */
function shaken(name: string, options: ShoreOptions, act: (shore: Shaken) => Promise<WatchOptions>) {
  return onShore({ bus: 'mosquitto', stations: false, ...options, open: false }, async (shore) => {
    const { yard, ear } = shore;
    const chance = seeded(SEED * 1000 + [...name].reduce((sum, c) => sum + c.charCodeAt(0), 0));
    await until('the bell to be heard', async () => (await yard.picture()).props.bell!.state !== 'silent');
    expect((await yard.command('/api/props/bell/lockout', { why: WHY })).status).toBe(200);
    await openFor(yard, '10 min');
    const watch = await act({ ...shore, moment: (mostMs) => sleep(chance() * mostMs) });
    if ((await yard.picture()).mode === 'held') await openAgain(yard);
    await goOn(yard, SCENES);
    const { props } = await yard.picture();
    const out = Object.entries(props).filter(([, p]) => p.lockout !== null);
    expect(out.map(([id, p]) => [id, p.lockout!.code])).toEqual([['bell', 'by-hand']]);
    expect(out[0]![1].lockout!.text).toContain(WHY);
    expect(wrongOnTheBus(ear.heard, { ...watch, out: ['bell'] })).toEqual([]);
    expect((await yard.lines()).filter((l) => l.code === 'breach')).toEqual([]);
    await yard.kill('SIGTERM');
    expect(await replayOf(yard.dataDir)).toMatchObject({ difference: null, gaps: [] });
  });
}

/**
 * A person looks at whoever is out for one of these faults and releases it, and clears the stop that it may have led to.
 * Any other fault is one too many.
 */
async function lookedAfter(yard: Yard, faults: readonly string[]): Promise<void> {
  const silent = async () => Object.values((await yard.picture()).props).some((p) => p.state === 'silent');
  await until('every board to be heard again', async () => !(await silent()));
  for (const [id, { lockout }] of Object.entries((await yard.picture()).props)) {
    // who only followed is released with the one that came first
    if (id === 'bell' || !lockout || lockout.first !== null) continue;
    expect(faults, lockout.text).toContain(lockout.code);
    const released = await until(`${id} to be released`, async () => {
      const answer = await yard.command(`/api/props/${id}/release`);
      return answer.status === 200 && answer;
    });
    expect(released.status).toBe(200);
  }
  if ((await yard.picture()).mode !== 'stopped') return;
  await until('the clear to be taken', async () => (await yard.command('/api/stop/clear')).status === 200);
  await openAgain(yard);
}

/** A person opens, inside the night that is under way. */
async function openAgain(yard: Yard): Promise<void> {
  const answer = await until('an open to be taken', async () => {
    const said = await yard.command('/api/open');
    return said.status === 202 && said;
  });
  expect(answer.status).toBe(202);
  await until('the yard to be open', async () => (await yard.picture()).mode === 'open');
}

const ready = (yard: Yard) =>
  until('the yard to be ready', () =>
    fetch(`${yard.url}/readyz`).then(
      (r) => r.ok,
      () => false,
    ),
  );

/** A night that is shaken; its name stands for its moments. */
function night(name: string, options: ShoreOptions, act: (shore: Shaken) => Promise<void>): void {
  it(`${name} (seed ${SEED})`, () =>
    shaken(name, options, async (shore) => {
      await act(shore);
      return {};
    }));
}

describe.runIf(mosquittoHere()).concurrent('a night in which', { timeout: 120_000 }, () => {
  night('the daemon is killed', {}, async (shore) => {
    const { yard, ear, moment } = shore;
    for (let i = 0; i < 2; i += 1) {
      await moment(2500);
      await yard.kill('SIGKILL');
      await still(shore);
      const from = ear.mark();
      await yard.start();
      const { mode, modeWhy } = await yard.picture();
      expect(mode).toBe('held');
      expect(modeWhy).toMatch(/came back|started again|restart/i);
      await sleep(1500);
      expect(ear.orders(from)).toEqual([]);
      await openAgain(yard);
      expect(ear.orders(from)[0]?.run ?? 'home').toMatch(/^home/);
    }
  });

  night('the daemon is killed in the moment of a stop', {}, async (shore) => {
    const { yard, ear, moment } = shore;
    for (let i = 0; i < 2; i += 1) {
      await moment(1000);
      const told = yard.post('/api/stop', {}).then(
        (r) => r.status,
        () => null,
      );
      await moment(12);
      await yard.kill('SIGKILL');
      const status = await told;
      const from = ear.mark();
      await yard.start();
      const { mode, stop } = await yard.picture();
      // who was told that it is done finds it so; who was not, perhaps
      if (status === 200) expect(mode).toBe('stopped');
      expect(mode).toMatch(/^(stopped|held)$/);
      await sleep(1500);
      expect(ear.orders(from)).toEqual([]);
      const { latched, n } = (await yard.picture()).stop;
      if (mode === 'stopped') expect({ latched, n }).toEqual({ latched: true, n: stop.n });
      if (latched) {
        await obeyed(shore, n, BOARDS_WITHOUT_STATIONS);
        const clear = await until('the clear to be taken', async () => {
          const answer = await yard.command('/api/stop/clear');
          return answer.status === 200 && answer;
        });
        expect(clear.status).toBe(200);
      }
      expect((await yard.picture()).mode).toBe('held');
      expect(ear.orders(from)).toEqual([]);
      await openAgain(yard);
    }
  });

  night('the broker is killed, and is back without what it kept', {}, async (shore) => {
    const { yard, broker, moment } = shore;
    for (let i = 0; i < 2; i += 1) {
      await moment(2500);
      await broker!.kill();
      const gone = await until('the picture to say so', async () => {
        const picture = await yard.picture();
        return !picture.bus.connected && picture;
      });
      expect(gone.modeWhy).toMatch(/no link to the bus/);
      await still(shore);
      await moment(1500);
      await broker!.restart();
      await ready(yard);
      await goOn(yard, ['gull-calls']);
    }
  });

  night(
    'the power goes everywhere, and the broker is back with all that it kept',
    { brokerLines: ['persistence true', 'persistence_location {dir}/'] },
    async ({ yard, boards, broker, ear, moment }) => {
      await moment(2500);
      broker!.save();
      await sleep(200);
      await Promise.all([broker!.kill(), yard.kill('SIGKILL'), boards.kill('SIGKILL')]);
      const from = ear.mark();
      await broker!.restart();
      expect(broker!.log()).not.toMatch(/Error/);
      await yard.start();
      // what the broker kept of the boards tells of sessions that are over: nobody is there
      await until('the bystander to hear what was kept', () => ear.heard.slice(from).some((h) => h.retained));
      await sleep(1500);
      const { mode, props } = await yard.picture();
      expect(mode).toBe('held');
      expect(Object.values(props).filter((p) => p.lockout === null && p.state !== 'silent')).toEqual([]);
      expect(Object.values(props).flatMap((p) => Object.values(p.sensors).filter((s) => s.fresh))).toEqual(
        [],
      );
      boards.start();
      await until('every board', async () =>
        Object.values((await yard.picture()).props).every((p) => p.lockout !== null || p.state !== 'silent'),
      );
      expect(ear.orders(from)).toEqual([]);
    },
  );

  night('the boards are killed', {}, async ({ yard, boards, ear, moment }) => {
    for (let i = 0; i < 2; i += 1) {
      await moment(2500);
      await boards.kill('SIGKILL');
      const dark = await until('every board to be missed', async () => {
        const { props } = await yard.picture();
        return Object.values(props).every((p) => p.lockout !== null || p.state === 'silent') && props;
      });
      expect(dark.ferry!.why).toMatch(/ferry is not heard/i);
      const from = ear.mark();
      await moment(1000);
      expect(ear.orders(from)).toEqual([]);
      boards.start();
      await lookedAfter(yard, ['dead-halt']);
      await goOn(yard, ['gull-calls']);
    }
  });

  night('the daemon is frozen', {}, async (shore) => {
    const { yard, ear, moment } = shore;
    await moment(2500);
    yard.signal('SIGSTOP');
    // the boards stop by themselves, each within the silence and its own stopping time
    await still(shore);
    await sleep(2000);
    const from = ear.mark();
    yard.signal('SIGCONT');
    await until('the daemon to own up', async () =>
      (await yard.lines()).some((l) => l.code === 'loop-stalled'),
    );
    await goOn(yard, SCENES);
    // the silence was its own: no board is blamed for it
    const blamed = (await yard.lines()).filter((l) => l.code === 'lockout-raised');
    expect(blamed.map((l) => l.text)).toEqual([expect.stringContaining(WHY)]);
    // what it had on its way when it was frozen went nowhere
    const stale = ear.heard.slice(from).filter((h) => /\/did$/.test(h.topic) && h.payload.is === 'started');
    const ordered = new Set(ear.orders(from).map((o) => `${o.run} ${o.step}`));
    expect(stale.filter((h) => !ordered.has(`${h.payload.run} ${h.payload.step}`))).toEqual([]);
  });

  night('the broker is frozen', {}, async (shore) => {
    const { yard, broker, moment } = shore;
    await moment(2500);
    broker!.pause();
    await until('the way to be found dead', async () => !(await yard.picture()).bus.connected);
    await still(shore);
    const stop = await yard.post('/api/stop', {});
    expect([stop.status, await stop.json()]).toMatchObject([503, { n: 1, bus: false }]);
    broker!.resume();
    await ready(yard);
    await obeyed(shore, 1, BOARDS_WITHOUT_STATIONS);
    // what was being halted when the broker froze never answered, which is told as such
    await lookedAfter(yard, ['dead-halt']);
  });

  night('the boards are frozen', {}, async ({ yard, boards, ear, moment }) => {
    await moment(2500);
    boards.signal('SIGSTOP');
    await until('every board to be missed', async () =>
      Object.values((await yard.picture()).props).every((p) => p.lockout !== null || p.state === 'silent'),
    );
    const from = ear.mark();
    await moment(1000);
    expect(ear.orders(from)).toEqual([]);
    boards.signal('SIGCONT');
    // what was told to halt just before it froze could not answer
    await lookedAfter(yard, ['dead-halt']);
  });

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
      await obeyed({ yard, ...shore }, 1, BOARDS_WITHOUT_STATIONS);
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

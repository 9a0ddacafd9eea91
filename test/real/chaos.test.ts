import { describe, expect } from 'vitest';
import { mosquittoHere } from './mosquitto.ts';
import { lookedAfter, night, openAgain, ready, SCENES, SHAKEN_BOARDS, WHY } from './shaken.ts';
import { goOn, obeyed, still } from './shore.ts';
import { sleep, until } from './yard-rig.ts';

/** Daemon, broker and boards killed and frozen in the midst of a night. */

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
        await obeyed(shore, n, SHAKEN_BOARDS);
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
    await obeyed(shore, 1, SHAKEN_BOARDS);
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
});

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { examine } from '../../server/standin/exam.ts';
import { type ExamBroker, examBroker } from '../../server/standin/exam-bus.ts';
import { type LiveFleet, startFleet } from '../../server/standin/fleet.ts';
import { move, prop, yardOf } from '../standin/saltmarsh.ts';

/** The examination of a controller over a real broker, in real time: a file of its own, since it waits for more than a minute. */
describe('the examination', () => {
  let broker: ExamBroker;
  let fleet: LiveFleet | null = null;
  beforeEach(async () => {
    broker = await examBroker('127.0.0.1', 0);
  });
  afterEach(async () => {
    await fleet?.close();
    fleet = null;
    await broker.close();
  });

  it('is passed by the stand-ins, power cycle and all', { timeout: 180_000 }, async () => {
    const cart = prop('cart', {
      title: 'Cart',
      sensors: { near: 'end', far: 'end' },
      home: 'near',
      moves: [
        move('out', { until: 'far', usual: 1500, limit: 4000 }),
        move('back', { until: 'near', usual: 1500, limit: 4000 }),
      ],
    });
    fleet = startFleet({ yard: yardOf([cart]), url: broker.url, log: () => {} });
    await expect.poll(() => fleet!.linked, { timeout: 10_000 }).toBe(1);
    const result = await examine('cart', [cart], broker.url, {
      mayMove: true,
      // A third of it is how long a beat may be late: other files keep the machine busy meanwhile.
      silenceMs: 2000,
      powerCycle: async () => {
        fleet!.say('reboot cart');
      },
    });
    expect(result.checks.filter((c) => c.verdict !== 'kept')).toEqual([]);
    expect(result).toMatchObject({ ok: true, refused: null });
    expect(fleet.say('list cart')).toBe('cart at near at rest reads near made');
  });

  it('says that a port is taken', async () => {
    await expect(examBroker('127.0.0.1', Number(new URL(broker.url).port))).rejects.toThrow(
      'it is taken. Is the yard computer running?',
    );
  });

  it('says where it finds no bus', async () => {
    await expect(examine('cart', [], 'mqtt://127.0.0.1:1', { mayMove: true })).rejects.toThrow(
      'No bus at mqtt://127.0.0.1:1',
    );
  });
});

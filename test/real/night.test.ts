import mqtt from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Mosquitto, mosquittoHere, startMosquitto } from './mosquitto.ts';
import {
  openFor,
  type Standins,
  shrunkYard,
  sleep,
  startStandins,
  startYard,
  until,
  type Yard,
} from './yard-rig.ts';

/** Everything that passed on the bus, in order, as a bystander hears it. */
interface Passed {
  readonly topic: string;
  readonly payload: Record<string, unknown>;
}

describe.runIf(mosquittoHere())(
  'a shortened night on an external mosquitto, boards as a process of their own',
  () => {
    let broker: Mosquitto;
    let yard: Yard;
    let boards: Standins;
    const passed: Passed[] = [];
    let ear: mqtt.MqttClient;

    beforeAll(async () => {
      broker = (await startMosquitto())!;
      ear = mqtt.connect(broker.url, { clean: true });
      ear.on('message', (topic, bytes, packet) => {
        if (!packet.retain) passed.push({ topic, payload: JSON.parse(bytes.toString()) });
      });
      await ear.subscribeAsync('yard/prop/#', { qos: 1 });
      yard = await startYard({ text: await shrunkYard('saltmarsh.yaml', broker.url) });
      boards = await startStandins(yard.file, broker.url);
    }, 60_000);

    afterAll(async () => {
      await boards?.close();
      await yard?.close();
      ear?.end(true);
      await broker?.stop();
    });

    it('runs every scene at least three times and breaks nothing', async () => {
      await openFor(yard, '10 min');
      const made = async (): Promise<Record<string, number>> =>
        Object.fromEntries(Object.entries((await yard.picture()).scenes).map(([id, s]) => [id, s.made]));
      const { scenes: planned } = await until(
        'the plan',
        async () =>
          (await (await fetch(`${yard.url}/api/plan`)).json()) as { scenes: Record<string, unknown> } | null,
      );
      const thrice = async (wanted: (id: string) => boolean): Promise<boolean> =>
        Object.entries(await made()).every(([id, n]) => !wanted(id) || n >= 3);
      await until('three runs of every planned scene', () => thrice((id) => id in planned), 120_000);
      // what no plan holds is run by hand, in a yard that is opened again with nothing planned
      expect((await yard.command('/api/hold')).status).toBe(202);
      await until('the runs under way to end', async () => (await yard.picture()).now.length === 0);
      expect((await yard.command('/api/open', { plan: false })).status).toBe(202);
      await until('the yard to be open again', async () => (await yard.picture()).mode === 'open');
      await until(
        'three runs of every other scene',
        async () => {
          for (const [id, n] of Object.entries(await made()))
            if (n < 3) await yard.command(`/api/scenes/${id}/run`);
          await sleep(300);
          return thrice(() => true);
        },
        60_000,
      );
      const { props } = await yard.picture();
      expect(Object.entries(props).filter(([, p]) => p.lockout !== null)).toEqual([]);
      const lines = await yard.lines();
      expect(
        lines.filter((l) => l.code === 'breach' || l.code === 'lockout-raised' || l.code === 'run-failed'),
      ).toEqual([]);
      expect((await fetch(`${yard.url}/readyz`)).status).toBe(200);
    }, 300_000);

    it('never told the figure to move before its carriage had reached its far sensor', () => {
      let far = false;
      let rowed = 0;
      for (const { topic, payload } of passed) {
        if (topic === 'yard/prop/ferry/sense/far') far = payload.made === true;
        if (topic !== 'yard/prop/ferryman/do' || payload.move !== 'row') continue;
        rowed += 1;
        expect(far).toBe(true);
      }
      expect(rowed).toBeGreaterThanOrEqual(3);
    });

    it('kept the record so that a replay gives the same state', async () => {
      await yard.kill('SIGTERM');
      const { execFileSync } = await import('node:child_process');
      const { fileURLToPath } = await import('node:url');
      const cli = fileURLToPath(new URL('../../dist/server/cli.js', import.meta.url));
      const told = execFileSync(process.execPath, [cli, 'replay', '--data', yard.dataDir, '--json'], {
        encoding: 'utf8',
      });
      const report = JSON.parse(told) as {
        events: number;
        compared: number;
        difference: unknown;
        gaps: unknown[];
      };
      expect(report.events).toBeGreaterThan(500);
      expect(report.compared).toBeGreaterThanOrEqual(1);
      expect(report.difference).toBeNull();
      expect(report.gaps).toEqual([]);
    });
  },
);

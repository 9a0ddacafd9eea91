import { describe, expect, it } from 'vitest';
import { seeded } from '../../server/show/chance.ts';
import { newShow } from '../../server/show/fresh.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import { step } from '../../server/show/step.ts';
import { FAULTS, type FaultName } from '../../server/standin/faults.ts';
import { landing, OPEN_MS, withGate } from '../show/landing.ts';
import { EVER, Script } from './script.ts';

const MIN = 60_000;
const LENGTH_MS = 40 * MIN;
const SHORT = { closeMs: OPEN_MS + LENGTH_MS, quietMs: OPEN_MS + 35 * MIN, noticeScene: 'lanterns-up' };

const runs = [
  ...Array.from({ length: 18 }, (_, i) => ({ scene: 'crossing', startMs: OPEN_MS + i * 2 * MIN, n: i + 1 })),
  ...Array.from({ length: 30 }, (_, i) => ({
    scene: 'porch-scare',
    startMs: OPEN_MS + 7000 + i * MIN,
    n: i + 1,
  })),
].map(({ scene, startMs, n }) => ({ id: `2026-10-31.${scene}.${n}`, scene, startMs }));

/** Forty minutes in which something goes wrong every half minute, is mended, and people put it right again. */
async function stormy(s: Script, seed: number): Promise<string[]> {
  const chance = seeded(`replay ${seed}`);
  const pick = <T>(from: readonly T[]): T => from[Math.floor(chance() * from.length)]!;
  const props = [...s.yard.props.keys()];
  const what: string[] = [];
  const end = OPEN_MS + LENGTH_MS - MIN;
  s.until(OPEN_MS);
  while (s.r.clock.now() < end) {
    s.advance(`${Math.round(1000 + 20_000 * chance())} ms`);
    const prop = s.yard.props.get(pick(props))!;
    const fault = pick(Object.keys(FAULTS) as FaultName[]);
    const act = chance();
    if (act < 0.7) {
      const line = `${fault} ${FAULTS[fault].of === 'controller' ? prop.controller : prop.id}`;
      if (!s.r.fleet.say(s.r.clock.now(), line).startsWith('No:')) what.push(line);
    } else if (act < 0.8) s.stop('ann');
    else if (act < 0.9) await s.run(pick([...s.yard.scenes.keys()]));
    else s.standin('press path-mat.step');
    s.advance(`${Math.round(15_000 * chance())} ms`);
    s.standin('mend all').advance('2 s');
    if (s.r.desk.show.stop.latched) await s.clear();
    for (const id of props) if (s.fault(id)) await s.release(id);
    if (s.r.desk.show.mode === 'held') await s.open();
  }
  s.until(OPEN_MS + LENGTH_MS + 4 * MIN);
  return what;
}

describe('A stormy night', () => {
  for (const [seed, yard] of [
    [1, landing()],
    [2, withGate()],
    [3, landing()],
    [4, withGate()],
  ] as const) {
    it(`folded again from its record is the same at every snapshot and in between (seed ${seed})`, async () => {
      const seen = new Map<number, string>();
      const s = new Script(yard, {
        night: SHORT,
        runs,
        seed,
        watch: ({ desk }) => {
          if (desk.show.n % 97 === 0) seen.set(desk.show.n, saveShow(desk.show));
        },
      });
      const what = await stormy(s, seed);
      expect(what.length).toBeGreaterThan(20);
      s.expectMode('closed');
      const { events, compared } = s.expectReplays();
      expect(compared).toBeGreaterThan(1);
      let show = newShow(yard);
      let looked = 0;
      for (const event of s.r.journal.events(0, EVER)) {
        show = step(show, event).show;
        const memory = seen.get(show.n);
        if (memory === undefined) continue;
        looked += 1;
        expect(saveShow(show)).toBe(memory);
        // what is saved is what is loaded
        expect(saveShow(loadShow(memory, yard))).toBe(memory);
      }
      expect(looked).toBeGreaterThan(events / 1000);
    }, 60_000);
  }
});

import type { Curves } from '../../server/curves.ts';
import type { PropTravels } from '../../server/prop-travels.ts';
import type { FatedPlan } from '../../web/store.ts';
import { at, EVENING } from './hand-pictures.ts';

/** Tonight's plan with what became of it. */
export function plan(): FatedPlan {
  const openMs = at('18:06:00');
  const runs: FatedPlan['runs'] = [];
  const add = (sceneId: string, n: number, startMs: number, lasts: number) => {
    const start = (startMs - openMs) / 1000;
    runs.push({
      id: `2026-10-31.${sceneId}.${n}`,
      scene: sceneId,
      start,
      end: start + lasts,
      steps: [],
      state: startMs + lasts * 1000 < EVENING ? 'done' : startMs < EVENING ? 'running' : 'planned',
      actualStart: startMs < EVENING ? startMs + 4 : null,
      actualEnd: startMs + lasts * 1000 < EVENING ? startMs + lasts * 1000 : null,
      why: null,
    });
  };
  for (let n = 0; n < 43; n += 1) add('crossing', n + 1, at('18:08:06') + n * 366_000, 59);
  for (let n = 0; n < 65; n += 1) add('porch-scare', n + 1, at('18:06:40') + n * 240_000, 29);
  runs.sort((a, b) => a.start - b.start);
  const past = runs.filter((run) => run.state === 'done');
  Object.assign(past.at(-3)!, {
    state: 'skipped',
    actualStart: null,
    actualEnd: null,
    why: 'Ferry is locked out.',
  });
  Object.assign(past.at(-6)!, {
    actualStart: past.at(-6)!.actualStart! + 21_000,
    why: 'Waited for the pond.',
  });
  return {
    night: '2026-10-31',
    yard: 'saltmarsh',
    open: '2026-10-31T18:06:00-05:00',
    close: '2026-10-31T22:30:00-05:00',
    quiet: '2026-10-31T22:00:00-05:00',
    runs,
    unplanned: unplanned(),
    scenes: {},
    circuits: { dock: { peakAmps: 11.3, limitAmps: 12, peakSurgeAmps: 13.6, breakerAmps: 15 } },
    tanks: {},
    expects: {},
    level: 1,
    worth: 108,
    bound: { level: 1, worth: 110 },
  };
}

/** What ran besides: for the notice, by hand, for guests; one for a guest fails, one by hand runs still. */
function unplanned(): FatedPlan['unplanned'] {
  const ran = (
    n: number,
    scene: string,
    origin: 'hand' | 'trigger' | 'notice',
    [from, to]: readonly [string, string | null],
    how: Partial<FatedPlan['unplanned'][number]> = {},
  ): FatedPlan['unplanned'][number] => ({
    id: `2026-10-31.${scene}.${n}`,
    scene,
    origin,
    state: to === null ? 'running' : 'done',
    actualStart: at(from),
    actualEnd: to === null ? null : at(to),
    why: null,
    ...how,
  });
  return [
    ran(66, 'porch-scare', 'notice', ['18:05:35', '18:06:00']),
    ran(67, 'porch-scare', 'trigger', ['20:49:05', '20:49:34']),
    ran(68, 'porch-scare', 'trigger', ['21:05:10', '21:05:31'], {
      state: 'failed',
      why: 'Scarecrow took too long.',
    }),
    ran(44, 'crossing', 'hand', ['21:07:05', '21:08:04']),
    ran(69, 'porch-scare', 'trigger', ['21:09:42', '21:10:11']),
    ran(45, 'crossing', 'hand', ['21:13:52', null]),
  ];
}

/** Loads and pressure of that night: a step for each crossing, a draw every few minutes; real until now. */
export function curves(): Curves {
  const openMs = at('18:06:00');
  const closeMs = at('22:30:00');
  const amps = { at: [openMs], amps: [4.2] };
  const psi = { at: [openMs], psi: [125] };
  for (let start = at('18:08:06'), n = 0; start < closeMs; start += 366_000, n += 1) {
    amps.at.push(start, start + 59_000);
    amps.amps.push(n === 20 ? 11.3 : 6.4 + (n % 4), 4.2);
    psi.at.push(start, start + 1000, start + 120_000);
    psi.psi.push(125, n === 12 ? 91.6 : 101, 125);
  }
  const until = <T extends { at: number[] }>(curve: T): T => {
    const count = curve.at.filter((ms) => ms < EVENING).length;
    return Object.fromEntries(Object.entries(curve).map(([key, list]) => [key, list.slice(0, count)])) as T;
  };
  return {
    night: '2026-10-31',
    circuits: { dock: { limitAmps: 12, breakerAmps: 15, planned: amps, soFar: until(amps) } },
    tanks: { shed: { workingPsi: 70, cutOutPsi: 125, planned: psi, soFar: until(psi) } },
  };
}

/** The ferry's way out grows slower by the night. */
export function travels(): PropTravels {
  const lastMs = Array.from({ length: 40 }, (_, n) => 8700 + 8 * n + 160 * Math.sin(n * 2.4));
  const nightsMs = [7000, 7060, 7310, 7490, 7800, 8120, 8390];
  const timed = { usualMs: 7100, limitMs: 12_000 };
  return {
    moves: [
      { move: 'out', ...timed, lastMs, nightsMs },
      { move: 'back', ...timed, lastMs: [], nightsMs: [] },
    ],
    drift: { move: 'out', nightsLeft: 4, nowMs: 9100 },
  };
}

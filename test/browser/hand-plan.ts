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
    scenes: {},
    circuits: {},
    tanks: {},
    expects: {},
    level: 1,
    worth: 108,
    bound: { level: 1, worth: 110 },
  };
}

import { describe, expect, it } from 'vitest';
import { nightLines } from '../../web/night-lines.ts';
import { EVENING } from '../browser/hand-pictures.ts';
import { plan } from '../browser/hand-plan.ts';

describe('tonight as a list', () => {
  it('is in order of time, with open, quiet, close and now in their places', () => {
    const lines = nightLines(plan(), EVENING);
    const times = lines.map(({ at }) => at);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    const edges = lines.filter((line) => line.kind === 'edge').map(({ edge }) => edge);
    expect(edges).toEqual(['open', 'now', 'quiet', 'close']);
    expect(lines).toHaveLength(plan().runs.length + plan().unplanned.length + 4);
  });

  it('counts a run’s seconds from open, on the offset that the plan names', () => {
    const first = nightLines(plan(), EVENING).find((line) => line.key === '2026-10-31.crossing.1')!;
    // 126 s after 18:06:00 at five hours behind UTC.
    expect(new Date(first.at).toISOString()).toBe('2026-10-31T23:08:06.000Z');
  });

  it('folds away only what is past and went as planned', () => {
    for (const line of nightLines(plan(), EVENING)) {
      if (line.kind !== 'run' || !line.over) continue;
      expect(line.run.state).toBe('done');
      expect(line.run.why).toBeNull();
    }
    const skipped = nightLines(plan(), EVENING).find(
      (line) => line.kind === 'run' && line.run.state === 'skipped',
    );
    expect(skipped).toMatchObject({ over: false, more: true });
  });

  it('has what ran by hand and for guests when it began, and folds what went well', () => {
    const besides = nightLines(plan(), EVENING).flatMap((line) =>
      line.kind === 'run' && 'origin' in line.run ? [{ ...line, ...line.run }] : [],
    );
    expect(besides.map(({ origin }) => origin)).toEqual([
      'notice',
      'trigger',
      'trigger',
      'hand',
      'trigger',
      'hand',
    ]);
    for (const { at, actualStart, over, state, more, why } of besides) {
      expect(at).toBe(actualStart);
      expect(over).toBe(state === 'done');
      expect(more).toBe(why !== null);
    }
    expect(besides.filter(({ over }) => !over).map(({ state }) => state)).toEqual(['failed', 'running']);
  });

  it('says when a run started, where that was not when planned', () => {
    const late = nightLines(plan(), EVENING).filter(
      (line) => line.kind === 'run' && line.startedLate !== null,
    );
    expect(late).toHaveLength(1);
  });

  it('goes on over the end of daylight time', () => {
    const night = {
      ...plan(),
      open: '2026-10-31T22:00:00-05:00',
      close: '2026-11-01T02:00:00-06:00',
      quiet: null,
      unplanned: [],
      runs: [{ ...plan().runs[0]!, id: 'x', start: 5 * 3600 - 1 }],
    };
    // 22:00 to 02:00 is five hours on that night.
    const lines = nightLines(night, 0);
    expect(lines.at(-1)).toMatchObject({ edge: 'close' });
    expect(lines.at(-2)).toMatchObject({ key: 'x' });
  });
});

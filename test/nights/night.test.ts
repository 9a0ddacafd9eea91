import { describe, expect, it } from 'vitest';
import { landing, OPEN_MS } from '../show/landing.ts';
import { Script } from './script.ts';

const MIN = 60_000;
const SHORT = { closeMs: OPEN_MS + 20 * MIN, quietMs: OPEN_MS + 15 * MIN };
const crossings = Array.from({ length: 9 }, (_, i) => ({
  id: `2026-10-31.crossing.${i + 1}`,
  scene: 'crossing',
  startMs: OPEN_MS + i * 2 * MIN,
}));

describe('a night', () => {
  it('opens by itself at its hour after the notice, runs what is planned, and closes with all at home', () => {
    const s = new Script(landing(), { night: SHORT, runs: crossings });
    s.expectMode('closed');
    s.until(OPEN_MS - 30_000 + 10).expectMode('opening');
    s.until(OPEN_MS - 10).expectMode('opening');
    expect(s.r.bus.orders).toBe(0);
    s.untilOpen();
    s.until(SHORT.closeMs + 3 * MIN).expectMode('closed');
    expect(s.lines('run-done')).toHaveLength(9);
    s.expectProp('ferry', { state: 'ready', at: 'near' });
    expect(s.r.desk.show.night).toBe(null);
    s.expectReplays();
  });
});

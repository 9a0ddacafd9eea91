import { readFileSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { travelsNow } from '../../server/prop-travels.ts';
import { newShow } from '../../server/show/fresh.ts';
import type { PropState } from '../../server/show/show.ts';
import { TestYard } from './harness.ts';

const read = readYard(readFileSync(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8'));
if (!read.ok) throw new Error('the demonstration yard has errors');
const { yard: saltmarsh } = read;

function withFerry(more: Partial<PropState>) {
  const show = newShow(saltmarsh);
  return { ...show, props: { ...show.props, ferry: { ...show.props.ferry!, ...more } } };
}

describe('the travel times of a prop', () => {
  it('go by the file until enough were taken', () => {
    const { moves, drift } = travelsNow(withFerry({}), 'ferry');
    // 1.4 m of belt at 152 rpm, 16 teeth of 5.08 mm: 1400 / (152 × 16 × 5.08 / 60) = 6.799 s.
    expect(moves).toEqual([
      { move: 'out', usualMs: 6799, limitMs: 12_000, lastMs: [], nightsMs: [] },
      { move: 'back', usualMs: 6799, limitMs: 12_000, lastMs: [], nightsMs: [] },
    ]);
    expect(drift).toBe(null);
  });

  it('are the last journeys, with their median as usual, and the nights', () => {
    const travels = { out: Array.from({ length: 40 }, (_, n) => 7000 + n) };
    const nights = { out: [{ night: 3, ms: 6900 }] };
    const { moves } = travelsNow(withFerry({ travels, nights }), 'ferry');
    expect(moves[0]).toMatchObject({ usualMs: 7020, lastMs: travels.out, nightsMs: [6900] });
  });

  it('tell the move that drifts', () => {
    const drift = {
      code: 'drift',
      prop: 'ferry',
      at: 0,
      move: 'out',
      tookMs: 9100,
      limitMs: 12_000,
      nights: 4,
    };
    const told = travelsNow(withFerry({ drift: drift as PropState['drift'] }), 'ferry');
    expect(told.drift).toEqual({ move: 'out', nightsLeft: 4, nowMs: 9100 });
  });

  it('leave out what ends by time alone', () => {
    expect(travelsNow(withFerry({}), 'ferryman').moves).toEqual([]);
  });
});

describe('the call', () => {
  let yard: TestYard;
  beforeEach(async () => {
    yard = await TestYard.start();
  });
  afterEach(() => yard.end());

  it('is for props of the yard, whatever they are called', async () => {
    expect((await yard.get('/api/props/ferry/travels')).json.moves[0].lastMs).toEqual([7000, 7200]);
    expect((await yard.get('/api/props/constructor/travels')).status).toBe(200);
    expect((await yard.get('/api/props/toString/travels')).status).toBe(404);
  });
});

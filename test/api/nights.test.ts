import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openJournal } from '../../server/journal/sqlite.ts';
import { nightsKnown } from '../../server/nights.ts';
import { TestYard } from './harness.ts';

describe('the nights that the record knows', () => {
  const folder = mkdtempSync(join(tmpdir(), 'dusklatch-nights-'));
  const journal = openJournal(folder);
  afterEach(() => {
    journal.close();
    rmSync(folder, { recursive: true });
  });

  it('are those with a plan, newest first, each as first drawn up', () => {
    const drawn = (n: number, at: number, night: string, runs: number) => ({
      n,
      at,
      code: 'plan-drawn',
      reason: JSON.stringify({ code: 'plan-drawn', night, runs }),
      text: '',
      prop: null,
      scene: null,
      run: null,
    });
    expect(nightsKnown(journal)).toEqual([]);
    journal.append(
      [],
      [
        drawn(1, 100, '2026-10-30', 210),
        { ...drawn(2, 150, 'x', 0), code: 'homed' },
        drawn(3, 200, '2026-10-31-hand', 40),
        drawn(4, 300, '2026-10-31', 260),
        drawn(5, 350, '2026-10-31', 12),
      ],
    );
    expect(nightsKnown(journal)).toEqual([
      { night: '2026-10-31', plannedAt: 300, runs: 260 },
      { night: '2026-10-31-hand', plannedAt: 200, runs: 40 },
      { night: '2026-10-30', plannedAt: 100, runs: 210 },
    ]);
  });
});

describe('the calls', () => {
  let yard: TestYard;
  beforeEach(async () => {
    yard = await TestYard.start();
  });
  afterEach(() => yard.end());

  it('list the nights and tell one in words', async () => {
    expect((await yard.get('/api/nights')).json.nights[0].night).toBe('2026-10-31');
    expect((await yard.get('/api/nights/2026-10-31/told')).json).toEqual({ title: 'A night', sections: [] });
    expect((await yard.get('/api/nights/2026-10-30/told')).status).toBe(404);
    expect((await yard.get('/api/nights/constructor/told')).status).toBe(422);
  });
});

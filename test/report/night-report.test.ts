import { describe, expect, it } from 'vitest';
import { reportSchema } from '../../server/api/answers-report.ts';
import { memoryJournal } from '../../server/journal/memory.ts';
import type { Line } from '../../server/journal/port.ts';
import { type NightReport, nightReport } from '../../server/report/night-report.ts';
import { lastNight } from '../../server/report/span.ts';
import type { Reason } from '../../server/show/reasons.ts';
import { doorOn } from '../nights/door.ts';
import { Script } from '../nights/script.ts';
import { HOUR_MS, landing, NIGHT, OPEN_MS } from '../show/landing.ts';

/** The report of a told night, as it would be asked for at an instant; held against the schema that it is told with. */
function reportOf(s: Script, nowMs = s.r.clock.now()): NightReport {
  const report = nightReport(s.r.journal, s.yard, s.night.date, { tonight: null, nowMs });
  if (!report) throw new Error('nothing was recorded');
  expect(reportSchema.parse(report)).toEqual(report);
  return report;
}

const runs = (count: number, everyMs: number): { id: string; scene: string; startMs: number }[] =>
  Array.from({ length: count }, (_, i) => ({
    id: `${NIGHT.date}.crossing.${i + 1}`,
    scene: 'crossing',
    startMs: OPEN_MS + 10_000 + i * everyMs,
  }));

describe('the report of a night with a jam, a stop and guests', async () => {
  const s = new Script(landing(), { runs: runs(6, 2 * 60_000) }).untilOpen();
  s.advance('70 s');
  // the second crossing is jammed and locks the ferry out; the third is missed; a keeper frees it after that
  s.await('the second crossing', () => s.moves('ferry'), '90 s').standin('jam ferry');
  s.await('a lockout', () => s.fault('ferry') !== null, '15 s');
  const lockedAt = s.r.clock.now();
  s.advance('3 min').standin('mend ferry');
  await s.release('ferry');
  const releasedAt = s.r.clock.now();
  s.advance('3 min');
  // guests set the porch off, and again too soon
  for (const _ of [1, 2, 3])
    s.standin('press path-mat.step').advance('2 s').standin('press path-mat.step').advance('2 s');
  s.advance('20 s');
  s.await('a crossing to stop', () => s.moves('ferry'), '3 min').stop();
  const stoppedAt = s.r.clock.now();
  s.advance('10 s');
  await s.clear();
  const clearedAt = s.r.clock.now();
  s.until(s.night.closeMs).advance('5 min').lines();
  const report = reportOf(s);
  const { crossing } = report.scenes;

  it('counts every planned run once, by what became of it', () => {
    const { made, failed, abandoned, stopped, skipped } = crossing!;
    expect(made + failed + abandoned + stopped + skipped).toBe(6);
    expect([made > 0, failed, stopped, skipped > 0]).toEqual([true, 1, 1, true]);
    expect(report.missed.filter((m) => m.scene === 'crossing')).toHaveLength(
      failed + abandoned + stopped + skipped,
    );
  });

  it('gathers what was missed by cause', () => {
    const by = crossing!.missedBy;
    expect(by.find((m) => m.fate === 'failed')).toMatchObject({ code: 'run-failed', count: 1 });
    expect(by.find((m) => m.fate === 'stopped')).toMatchObject({ code: 'run-stopped', count: 1 });
    expect(by.reduce((sum, m) => sum + m.count, 0)).toBe(
      report.missed.filter((m) => m.scene === 'crossing').length,
    );
    expect(by.some((m) => m.code === 'locked-out' && /ferry is locked out/.test(m.first))).toBe(true);
  });

  it('tells the fault with how long it lasted', () => {
    expect(report.faults.filter((f) => f.first === null)).toHaveLength(1);
    const fault = report.faults.find((f) => f.prop === 'ferry')!;
    expect(fault).toMatchObject({ code: 'travel-slow', title: 'Ferry', lockedOut: true });
    expect(Math.abs(fault.at - lockedAt)).toBeLessThanOrEqual(50);
    expect(fault.forMs).toBe(fault.endedAt! - fault.at);
    expect(Math.abs(fault.forMs! - (releasedAt - lockedAt))).toBeLessThanOrEqual(50);
  });

  it('tells the stop with its roll', () => {
    expect(report.stops).toHaveLength(1);
    const [stop] = report.stops;
    expect(stop).toMatchObject({ n: 1, at: stoppedAt, clearedAt, forMs: clearedAt - stoppedAt });
    expect(stop!.roll.map((r) => r.controller)).toEqual([...s.yard.controllers.keys()]);
    for (const { afterMs } of stop!.roll) expect(afterMs).toBeLessThan(1000);
  });

  it('tells the triggers that set nothing off, with why', () => {
    const told = report.refused.find((r) => r.prop === 'path-mat')!;
    expect(told).toMatchObject({ title: 'Path mat', sensor: 'step', scene: 'porch-scare' });
    expect(told.count).toBe(told.by.reduce((sum, c) => sum + c.count, 0));
    expect(told.by[0]!.count).toBeGreaterThanOrEqual(1);
    expect(told.count).toBe(s.lines('trigger-refused').length);
  });

  it('has the middle and the spread of each move’s journeys from the record', () => {
    const { made } = crossing!;
    const out = report.travels.find((t) => t.move === 'out')!;
    expect(out).toMatchObject({ prop: 'ferry', usualMs: 6000, limitMs: 10_000, drift: null });
    // every crossing that was made has both journeys; the jammed one has none
    expect(out.count).toBeGreaterThanOrEqual(made);
    expect(report.travels.find((t) => t.move === 'back')!.count).toBe(made);
    expect(out.leastMs).toBeLessThanOrEqual(out.medianMs);
    expect(out.medianMs).toBeLessThanOrEqual(out.mostMs);
    expect(Math.abs(out.medianMs - 6000)).toBeLessThan(1000);
    expect(report.travels.every((t) => t.prop === 'ferry')).toBe(true);
  });

  it('reckons the alarms over the hours of the night', () => {
    expect(report.alarms).toMatchObject({ count: 1, overMs: 4 * HOUR_MS, mostInTenMinutes: 1, load: 'well' });
  });

  it('is reckoned up to now while the night is on', () => {
    expect(reportOf(s, OPEN_MS + HOUR_MS).alarms.overMs).toBe(HOUR_MS);
    expect(reportOf(s, OPEN_MS - HOUR_MS).alarms.overMs).toBe(0);
  });

  it('is what the desk’s door gives', () => {
    const door = doorOn(s, null);
    expect(door.report(NIGHT.date)).toEqual(reportOf(s));
    expect(door.report(NIGHT.date)).toBe(door.report(NIGHT.date));
    expect(door.report('2026-10-30')).toBeNull();
    door.close();
  });

  it('is the last night’s', () => expect(lastNight(s.r.journal)).toBe(NIGHT.date));
});

/** A record of these lines, each a second after the one before. */
function recordOf(said: readonly (readonly [seconds: number, reason: Reason, about?: Partial<Line>])[]) {
  const journal = memoryJournal();
  journal.append(
    [],
    said.map(([s, reason, about]) => ({
      n: 1,
      at: OPEN_MS + s * 1000,
      code: reason.code,
      reason: JSON.stringify(reason),
      text: `${reason.code}.`,
      prop: null,
      scene: null,
      run: null,
      ...about,
    })),
  );
  return journal;
}

const at = OPEN_MS;
const report = (journal: ReturnType<typeof memoryJournal>, night = NIGHT.date): NightReport | null => {
  const told = nightReport(journal, landing(), night, { tonight: null, nowMs: OPEN_MS + 24 * HOUR_MS });
  if (told) expect(reportSchema.parse(told)).toEqual(told);
  return told;
};

describe('what the lines say', () => {
  it('finds the release of a lockout that outlasted the night, and none of one that still stands', () => {
    const journal = recordOf([
      [60, { code: 'lockout-raised', fault: { code: 'chatter', prop: 'ferry', at } }, { prop: 'ferry' }],
      [61, { code: 'lockout-raised', fault: { code: 'overrun', prop: 'bell', at } }, { prop: 'bell' }],
      [20 * 3600, { code: 'lockout-released', by: 'Ada', fault: 'chatter' }, { prop: 'ferry' }],
    ]);
    expect(report(journal)!.faults.map((f) => [f.prop, f.forMs])).toEqual([
      ['ferry', (20 * 3600 - 60) * 1000],
      ['bell', null],
    ]);
  });

  it('ends a lost link when its board is heard again, and with it what followed', () => {
    const lost = { code: 'link-lost', prop: 'ferry', at, times: 1 } as const;
    const under = { code: 'interlock-lost', prop: 'ferryman', at, first: 'ferry' } as const;
    const journal = recordOf([
      [10, { code: 'lockout-raised', fault: lost }, { prop: 'ferry' }],
      [10, { code: 'lockout-raised', fault: under }, { prop: 'ferryman' }],
      [12, { code: 'link-up', controller: 'bell', session: 'b' }],
      [15, { code: 'link-up', controller: 'ferry-board', session: 'a' }],
    ]);
    const told = report(journal)!;
    expect(told.faults.map((f) => [f.lockedOut, f.first, f.forMs])).toEqual([
      [false, null, 5000],
      [false, 'ferry', 5000],
    ]);
    // what follows is grouped under the first and is no alarm of its own
    expect(told.alarms.count).toBe(1);
  });

  it('tells a drift with its move, and service that came due; neither is an alarm, nor what a person did', () => {
    const drift = {
      code: 'drift',
      prop: 'ferry',
      at,
      move: 'out',
      tookMs: 8500,
      usualMs: 6000,
      limitMs: 10_000,
      nights: 3,
    } as const;
    const journal = recordOf([
      [
        60,
        {
          code: 'run-done',
          tookMs: 1,
          journeys: [
            ['ferry', 'out', 8400],
            ['ferry', 'back', 6000],
            ['ferry', 'out', 8600],
          ],
        },
        { scene: 'crossing' },
      ],
      [90, { code: 'service-due', prop: 'ferry', cycles: 2000 }, { prop: 'ferry' }],
      [
        95,
        { code: 'lockout-raised', fault: { code: 'by-hand', prop: 'bell', at, why: 'wet' } },
        { prop: 'bell' },
      ],
      [100, { code: 'lockout-raised', fault: drift }, { prop: 'ferry' }],
    ]);
    const told = report(journal)!;
    expect(told.travels.map((t) => [t.move, t.count, t.medianMs, t.drift])).toEqual([
      ['out', 2, 8500, { nightsLeft: 3, fromMs: 6000, nowMs: 8500 }],
      ['back', 1, 6000, null],
    ]);
    expect(told.service).toMatchObject([{ prop: 'ferry', cycles: 2000 }]);
    expect(told.faults.find((f) => f.code === 'drift')).toMatchObject({ lockedOut: false, forMs: null });
    expect(told.alarms.count).toBe(0);
  });

  it('keeps the answers to one stop from the roll of another', () => {
    const journal = recordOf([
      [10, { code: 'stop-pressed', by: 'page', stop: 7 }],
      [11, { code: 'stop-answered', controller: 'bell', afterMs: 90 }],
      [20, { code: 'stop-cleared', by: 'Ada', stop: 7 }],
      [30, { code: 'stop-pressed', by: 'page', stop: 8 }],
      [31, { code: 'stop-answered', controller: 'lantern', afterMs: 60 }],
    ]);
    const answered = report(journal)!.stops.map(({ n, forMs, roll }) => [
      n,
      forMs,
      roll.filter((r) => r.afterMs !== null).map((r) => `${r.controller} ${r.afterMs}`),
    ]);
    expect(answered).toEqual([
      [7, 10_000, ['bell 90']],
      [8, null, ['lantern 60']],
    ]);
  });

  it('counts a board’s refusal as given up, and gathers causes that differ in figures alone', () => {
    const about = (n: number): Partial<Line> => ({ scene: 'crossing', run: `${NIGHT.date}.crossing.${n}` });
    const rests = (forMs: number): Reason => ({
      code: 'run-skipped',
      plannedMs: forMs,
      for: { code: 'rests', prop: 'ferry', forMs },
    });
    const journal = recordOf([
      [1, { code: 'board-refused', prop: 'ferry', why: 'cold' }, about(1)],
      [2, rests(9000), about(2)],
      [3, rests(4000), about(3)],
      [4, { code: 'run-skipped', plannedMs: 0, for: { code: 'rests', prop: 'bell', forMs: 9000 } }, about(4)],
      [5, { code: 'run-done', tookMs: 5 }, { scene: 'gone-from-the-file', run: `${NIGHT.date}.gone.1` }],
    ]);
    const { scenes } = report(journal)!;
    expect(scenes.crossing).toMatchObject({ made: 0, abandoned: 1, skipped: 3 });
    expect(scenes.crossing!.missedBy.map((m) => [m.fate, m.code, m.count])).toEqual([
      ['skipped', 'rests', 2],
      ['skipped', 'rests', 1],
      ['abandoned', 'board-refused', 1],
    ]);
    expect(scenes['gone-from-the-file']).toMatchObject({ title: 'gone-from-the-file', made: 1 });
  });
});

describe('which night', () => {
  const hand = '2026-10-31-hand';
  const journal = recordOf([
    [-3600, { code: 'mode-now', mode: 'open', by: 'Ada' }],
    [-3500, { code: 'run-started', origin: 'hand' }, { scene: 'crossing', run: `${hand}.crossing.1` }],
    [-3400, { code: 'run-done', tookMs: 9 }, { scene: 'crossing', run: `${hand}.crossing.1` }],
    [-3300, { code: 'mode-now', mode: 'closed', by: 'Ada' }],
    [5, { code: 'run-started', origin: 'plan' }, { scene: 'crossing', run: `${NIGHT.date}.crossing.1` }],
    [60, { code: 'run-done', tookMs: 9 }, { scene: 'crossing', run: `${NIGHT.date}.crossing.1` }],
  ]);

  it('takes one opened by hand from the lines that name it, until the yard is closed', () => {
    const told = report(journal, hand)!;
    expect([told.open, told.close]).toEqual([OPEN_MS - 3_500_000, OPEN_MS - 3_300_000]);
    expect(told.scenes.crossing!.made).toBe(1);
    expect(report(journal)!.scenes.crossing!.made).toBe(1);
  });

  it('goes on after its last run, to the end of the record where nothing closed it', () => {
    const cut = recordOf([
      [-3500, { code: 'run-started', origin: 'hand' }, { scene: 'crossing', run: `${hand}.crossing.1` }],
      [-3400, { code: 'run-stopped', stop: 1 }, { scene: 'crossing', run: `${hand}.crossing.1` }],
      [-3399, { code: 'stop-pressed', by: 'page', stop: 1 }],
      [-3390, { code: 'stop-answered', controller: 'bell', afterMs: 120 }],
    ]);
    const told = report(cut, hand)!;
    expect([told.stops.length, told.close]).toEqual([1, OPEN_MS - 3_390_000]);
    expect(told.stops[0]!.roll.find((r) => r.controller === 'bell')).toEqual({
      controller: 'bell',
      afterMs: 120,
    });
  });

  it('knows none that is in no file and of which nothing was recorded', () => {
    expect(report(journal, '2026-10-30-hand')).toBeNull();
    expect(report(journal, '2026-10-30')).toBeNull();
    expect(report(journal, 'constructor')).toBeNull();
    expect(report(journal, '2026-02-31-hand')).toBeNull();
  });

  it('takes the last in which a run began or was missed, else the last that was planned', () => {
    expect(lastNight(journal)).toBe(NIGHT.date);
    expect(lastNight(recordOf([]))).toBeNull();
    expect(lastNight(recordOf([[0, { code: 'plan-drawn', night: hand, runs: 3 }]]))).toBe(hand);
    const missed: Reason = { code: 'run-skipped', plannedMs: 0, for: { code: 'night-ended' } };
    const pointed = { scene: 'a.b', run: '2026-11-01-hand.a.b.3' };
    expect(lastNight(recordOf([[0, missed, pointed]]))).toBe('2026-11-01-hand');
  });
});

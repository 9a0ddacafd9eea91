import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { planSchema } from '../../server/api/answers.ts';
import type { Door } from '../../server/door.ts';
import { nothingPlanned } from '../../server/plan-now.ts';
import type { Entry } from '../../server/show/effects.ts';
import { UnplannedRuns, unplannedIn } from '../../server/unplanned.ts';
import { doorOn } from '../nights/door.ts';
import { EVER, Script } from '../nights/script.ts';
import { landing, NIGHT, OPEN_MS } from '../show/landing.ts';

const say = (reason: { code: string }): string => reason.code;
const PLANNED = { id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 20_000 };

describe('what ran tonight besides the plan', () => {
  const live = new UnplannedRuns();
  let s: Script;
  let door: Door;
  let guestAt = 0;
  let handAt = 0;

  beforeAll(async () => {
    const night = { noticeScene: 'lanterns-up' };
    const heard = (...told: Parameters<UnplannedRuns['heard']>) => {
      live.heard(...told);
      door?.heard(...told);
    };
    const yard = landing();
    s = new Script(yard, { night, runs: [PLANNED], heard });
    // made after the first lines, none of which is of a run
    door = doorOn(s, {
      ...nothingPlanned(yard, { ...NIGHT, ...night }),
      runs: [{ id: PLANNED.id, scene: 'crossing', start: 20, end: 52, steps: [] }],
    });
    s.untilOpen();
    s.advance('70 s'); // the planned crossing runs and ends
    guestAt = s.r.clock.now();
    s.standin('press path-mat.step').advance('40 s');
    s.standin('jam ferry');
    handAt = s.r.clock.now();
    expect(await s.run('crossing')).toEqual([]);
    s.advance('40 s');
    expect(await s.run('lanterns-up')).toEqual([]);
    s.advance('2 s');
  });
  afterAll(() => door.close());

  it('is listed with who began it, when, and what became of it', () => {
    const { runs, unplanned } = door.plan()!;
    expect(unplanned).toMatchObject([
      { scene: 'lanterns-up', origin: 'notice', state: 'done', actualStart: OPEN_MS - NIGHT.noticeMs },
      { scene: 'porch-scare', origin: 'trigger', state: 'done', why: null },
      { scene: 'crossing', origin: 'hand', state: 'failed', actualStart: handAt },
      { scene: 'lanterns-up', origin: 'hand', state: 'running', actualEnd: null, why: null },
    ]);
    expect(unplanned[1]!.actualStart - guestAt).toBeLessThan(500);
    expect(unplanned[2]!.why).toMatch(/^Failed at ferry: did not leave/);
    // those of the plan stay there, and only there
    expect(runs.map(({ id }) => id)).toEqual([PLANNED.id]);
    expect(runs[0]).toMatchObject({ state: 'done' });
    expect(unplanned.some(({ id }) => id === PLANNED.id)).toBe(false);
    expect(planSchema.parse(door.plan())).toMatchObject({ unplanned });
  });

  it('agrees with the record, line by line', () => {
    const lines = s.lines().filter(({ code }) => code === 'run-started' || code === 'run-done');
    for (const run of door.plan()!.unplanned) {
      const began = lines.find((l) => l.code === 'run-started' && l.at === run.actualStart)!;
      expect(began).toMatchObject({ scene: run.scene, reason: { origin: run.origin } });
      if (run.state === 'done')
        expect(lines).toContainEqual(expect.objectContaining({ code: 'run-done', at: run.actualEnd }));
    }
  });

  it('is the same out of the record after a restart, with the end that the restart itself gave it', () => {
    const { show } = s.r.desk;
    const was = live.of(NIGHT.date, 0, show, say);
    s.lines(); // all is written
    const lines = s.r.journal.lines(0, EVER);
    const again = new UnplannedRuns();
    const last = was.at(-1)!;
    again.heard(
      { reason: { code: 'run-abandoned', for: { code: 'restarted' } }, run: last.id, scene: last.scene },
      show,
    );
    again.before(NIGHT, unplannedIn(lines, NIGHT.date));
    const now = again.of(NIGHT.date, 0, show, say);
    expect(now.slice(0, -1)).toEqual(was.slice(0, -1));
    expect(now.at(-1)).toMatchObject({ id: last.id, state: 'abandoned', why: 'run-abandoned' });
    // one that the record says no end of, and that is not under way
    const cut = new UnplannedRuns();
    cut.before(NIGHT, unplannedIn(lines, NIGHT.date).slice(0, 1));
    expect(cut.of(NIGHT.date, 0, show, say)).toMatchObject([{ state: 'abandoned', actualEnd: null }]);
  });

  it('is of that night alone', () => {
    const { show } = s.r.desk;
    expect(live.of('2026-11-01', 0, show, say)).toEqual([]);
    expect(live.of(NIGHT.date, OPEN_MS, show, say)).toHaveLength(4);
    // one by hand that bears the name again, and opened after the notice of the first
    expect(live.of(NIGHT.date, OPEN_MS + NIGHT.noticeMs + 1, show, say)).toHaveLength(3);
    expect(unplannedIn(s.r.journal.lines(0, EVER), '2026-10-3')).toEqual([]);
    const other = new UnplannedRuns();
    other.before({ ...NIGHT, date: '2026-10-30' }, unplannedIn(s.r.journal.lines(0, EVER), NIGHT.date));
    other.heard({ reason: { code: 'run-started', origin: 'hand' }, run: 'x', scene: 'crossing' }, show);
    expect(other.of('2026-10-30', 0, show, say)).toEqual([]);
    expect(other.of(NIGHT.date, 0, show, say)).toMatchObject([{ id: 'x', origin: 'hand' }]);
  });
});

describe('a night with more runs of its plan than are kept', () => {
  it('does not lose the end of what ran besides', () => {
    const { show: first } = new Script(landing(), { runs: [PLANNED] }).r.desk;
    const names = Array.from({ length: 6000 }, (_, n) => `${NIGHT.date}.crossing.${n + 1}`);
    const planned = names.map((id) => ({ ...first.planned[0]!, id }));
    const show = { ...first, planned };
    const live = new UnplannedRuns();
    const told = (run: string, reason: Entry['reason']) =>
      live.heard({ reason, run, scene: 'crossing' }, show);
    const DONE = { code: 'run-done', tookMs: 30_000 } as const;
    told('besides', { code: 'run-started', origin: 'hand' });
    told('besides', DONE);
    for (const run of names) {
      told(run, { code: 'run-started', origin: 'plan' });
      told(run, DONE);
    }
    expect(live.of(NIGHT.date, 0, show, say)).toMatchObject([{ id: 'besides', state: 'done' }]);
  });
});

describe('a night that is over', () => {
  it('keeps what became of its plan and of what ran besides until the next is taken', async () => {
    const yard = landing();
    let door: Door | null = null;
    const night = { noticeScene: 'lanterns-up' };
    const s = new Script(yard, { night, runs: [PLANNED], heard: (...told) => door?.heard(...told) });
    door = doorOn(s, {
      ...nothingPlanned(yard, NIGHT),
      runs: [{ id: PLANNED.id, scene: 'crossing', start: 20, end: 52, steps: [] }],
    });
    s.untilOpen();
    s.advance('3 min');
    expect(await s.run('crossing')).toEqual([]);
    const { runs, unplanned } = door.plan()!;
    s.advance('5 h');
    expect(s.r.desk.show.night).toBe(null);
    expect(door.plan()!.runs).toEqual(runs);
    expect(runs).toMatchObject([{ state: 'done' }]);
    expect(unplanned).toMatchObject([{ origin: 'notice' }, { state: 'running' }]);
    expect(door.plan()!.unplanned).toMatchObject([
      { origin: 'notice', state: 'done', actualStart: OPEN_MS - NIGHT.noticeMs },
      { origin: 'hand', state: 'done' },
    ]);
    door.close();
  });
});

describe('a night that is opened with nothing planned', () => {
  it('has a plan that says so, and what runs by hand is listed', async () => {
    let door: Door | null = null;
    const yard = landing();
    const s = new Script(yard, {
      night: { opensByItself: false },
      heard: (...told) => door?.heard(...told),
    });
    door = doorOn(s, null);
    s.until(OPEN_MS + 1000);
    expect(door.plan()).toBe(null);
    expect(await s.ask({ kind: 'openAsked', by: 'ann', planned: false, night: null })).toEqual([]);
    s.await('it is open', () => s.r.desk.show.mode === 'open', '3 min');
    expect(door.plan()).toMatchObject({ night: NIGHT.date, runs: [], unplanned: [] });
    expect(await s.run('crossing')).toEqual([]);
    s.advance('2 min');
    const plan = door.plan()!;
    expect(plan.unplanned).toMatchObject([{ scene: 'crossing', origin: 'hand', state: 'done' }]);
    // standing draw and compressor, as the landing's file has them
    expect(plan.circuits.dock).toMatchObject({ peakAmps: 6, limitAmps: 12, peakSurgeAmps: 6 });
    expect(planSchema.parse(plan)).toMatchObject({ level: 1, worth: 1 });
    // once it has begun, the curves of that night have their planned line: what always draws
    expect(new Set(door.curves().circuits.dock!.planned.amps)).toEqual(new Set([6]));
    door.close();
  });
});

describe('a night whose plan could not be drawn up', () => {
  it('stays itself while it is held or stopped, and is no other night’s plan', async () => {
    const yard = landing();
    const s = new Script(yard, { runs: [] });
    const other = { ...NIGHT, date: '2026-10-30' };
    const door = doorOn(s, nothingPlanned(yard, other));
    expect(door.plan()!.night).toBe(other.date);
    s.untilOpen();
    expect(door.plan()!.night).toBe(NIGHT.date);
    expect(await s.ask({ kind: 'holdAsked', by: 'ann' })).toEqual([]);
    expect([s.r.desk.show.mode, door.plan()!.night]).toEqual(['held', NIGHT.date]);
    s.r.desk.stop('ann');
    s.advance('1 s');
    expect([s.r.desk.show.mode, door.plan()!.night]).toEqual(['stopped', NIGHT.date]);
    door.close();
  });
});

describe('the load as the page is told it', () => {
  it('is the steady one, as the plan’s is, while a motor’s surge is on', async () => {
    const s = new Script(landing(), { runs: [] });
    s.untilOpen();
    expect(await s.run('crossing')).toEqual([]);
    const seen = new Set<number>();
    // its surge takes 400 ms from when it sets off
    for (let n = 0; n < 30; n += 1) {
      s.advance('100 ms');
      seen.add(s.picture().circuits.dock!.amps);
      expect(s.r.desk.show.props.ferry!.flight).not.toBe(null);
    }
    // 2 A that always draw, 4 A of the compressor, 2 A of the ferry; its surge of 5 A is in none of it
    expect(seen).toEqual(new Set([8]));
  });
});

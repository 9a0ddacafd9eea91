import { describe, expect, it } from 'vitest';
import { SoFar } from '../../server/curves.ts';
import { memoryJournal } from '../../server/journal/memory.ts';
import type { JournalPort, Line } from '../../server/journal/port.ts';
import { FoldSlow, Folds } from '../../server/past/fold.ts';
import { NightsKnown } from '../../server/past/nights.ts';
import { PastReader } from '../../server/past/reader.ts';
import type { Picture } from '../../server/picture.ts';
import type { VirtualClock } from '../../server/rehearse/virtual-clock.ts';
import { seeded } from '../../server/show/chance.ts';
import type { Reason } from '../../server/show/reasons.ts';
import { saveShow } from '../../server/show/save.ts';
import { Script } from '../nights/script.ts';
import { LANDING, landing, NIGHT, OPEN_MS } from '../show/landing.ts';

const MIN = 60_000;
const SHORT = { closeMs: OPEN_MS + 20 * MIN, quietMs: OPEN_MS + 18 * MIN };

const runs = Array.from({ length: 8 }, (_, n) => ({
  id: `2026-10-31.crossing.${n + 1}`,
  scene: 'crossing',
  startMs: OPEN_MS + 10_000 + n * 2 * MIN,
}));

function readerOn(journal: JournalPort, nowMs = Number.MAX_SAFE_INTEGER): PastReader {
  const newest = journal.latestSnapshot();
  if (newest && journal.yardText(newest.yardHash) === null) journal.keepYard(newest.yardHash, LANDING);
  return new PastReader(journal, { demonstration: false, nowMs: () => nowMs, pause: async () => {} });
}

const bare = ({ seq: _, notes: __, ...rest }: Picture) => rest;

/** Twenty minutes with a jam, a guest, a stop and a release; what the page was shown, at moments drawn by chance. */
async function evening(): Promise<{ s: Script; seen: Picture[] }> {
  const s = new Script(landing(), { night: SHORT, runs });
  const seen: Picture[] = [];
  const chance = seeded('moments');
  const pass = (ms: number) => {
    for (const end = s.r.clock.now() + ms; s.r.clock.now() < end; ) {
      s.advance(`${Math.round(50 + 2500 * chance())} ms`);
      seen.push(s.picture());
    }
    // what is done next is done after what was seen last
    s.advance('1 ms');
  };
  s.untilOpen();
  pass(100_000);
  s.standin('jam ferry');
  pass(90_000);
  s.standin('mend ferry');
  await s.release('ferry');
  pass(30_000);
  s.standin('press path-mat.step');
  pass(30_000);
  s.stop('ann');
  pass(20_000);
  await s.clear();
  await s.open();
  pass(4 * MIN);
  s.until(SHORT.closeMs + MIN).lines();
  return { s, seen };
}

describe('the yard as it was', async () => {
  const { s, seen } = await evening();
  const reader = readerOn(s.r.journal);

  it('is at each moment what the page was shown then, forwards, backwards and at random', async () => {
    expect(seen.length).toBeGreaterThan(250);
    const chance = seeded('order');
    const order = [...seen, ...[...seen].reverse(), ...[...seen].sort(() => chance() - 0.5)];
    for (const was of order) {
      const then = await reader.moment(was.at);
      expect(then).toMatchObject({ at: was.at, off: false, gap: false });
      expect(bare(then!.picture)).toEqual(bare(was));
    }
    // what was looked at holds each kind of moment
    expect(new Set(seen.map(({ mode }) => mode))).toContain('stopped');
    expect(seen.some(({ props }) => props.ferry!.lockout !== null)).toBe(true);
    expect(seen.some(({ props }) => props.ferry!.move !== null)).toBe(true);
  });

  it('says what was recorded around then, oldest first, and nothing that lies far off', async () => {
    const line = s.r.journal.lines(0, 1e6).find(({ code }) => code === 'lockout-raised')!;
    const { lines } = (await reader.moment(line.at))!;
    expect(lines.map(({ n }) => n)).toContain(line.id);
    expect([...lines].sort((a, b) => a.n - b.n)).toEqual(lines);
    expect(lines.every(({ at }) => Math.abs(at - line.at) <= 180_000)).toBe(true);
    const before = (await reader.moment(line.at - 1))!;
    expect(before.picture.props.ferry!.lockout).toBe(null);
    expect((await reader.moment(line.at))!.picture.props.ferry!.lockout?.code).toBe(
      (JSON.parse(line.reason) as { fault: { code: string } }).fault.code,
    );
  });

  it('is nothing where nothing is kept', async () => {
    expect(await reader.moment(s.r.journal.lines(0, 1)[0]!.at - 1)).toBe(null);
    expect(await readerOn(memoryJournal()).moment(OPEN_MS)).toBe(null);
  });

  it('says that part of the record is missing', async () => {
    const holed = memoryJournal();
    const first = s.r.journal.latestSnapshot(0)!;
    holed.snapshot(first.n, first.yardHash, first.state);
    const events = s.r.journal.events(0, 1e6);
    holed.append(
      events.filter(({ n }) => n < 300 || n > 340),
      s.r.journal.lines(0, 1e6),
    );
    const late = await readerOn(holed).moment(seen.at(-1)!.at);
    expect(late).toMatchObject({ gap: true });
    const early = events.find(({ n }) => n === 200)!.at;
    expect(await readerOn(holed).moment(early)).toMatchObject({ gap: false });
  });

  it('folds for so long and no longer, and goes on from there when it is asked again', async () => {
    const { journal } = s.r;
    let now = 0;
    const slow = new PastReader(journal, {
      demonstration: false,
      nowMs: () => Number.MAX_SAFE_INTEGER - 1e9 + now,
      // each batch takes two seconds here
      pause: async () => {
        now += 2000;
      },
    });
    const at = seen.at(-1)!;
    let tries = 0;
    for (;;) {
      tries += 1;
      const then = await slow.moment(at.at).catch((error: unknown) => {
        expect(error).toBeInstanceOf(FoldSlow);
        return null;
      });
      if (then === null) continue;
      expect(bare(then.picture)).toEqual(bare(at));
      break;
    }
    expect(tries).toBeGreaterThan(1);
    expect(tries).toBeLessThan(20);
  });

  it('goes from a snapshot on where one is nearer, and to the same', async () => {
    const { journal } = s.r;
    const fresh = memoryJournal();
    const at = seen[200]!;
    const n = (await reader.moment(seen[150]!.at))!.picture.seq;
    const folds = new Folds(
      journal,
      () => s.yard,
      async () => {},
    );
    const { show } = (await folds.at(n))!;
    fresh.append(
      journal.events(n, 1e6),
      journal.lines(0, 1e6).filter((line) => line.n > n),
    );
    fresh.snapshot(n, 'rehearsal', saveShow(show));
    expect(bare((await readerOn(fresh).moment(at.at))!.picture)).toEqual(bare(at));
  });

  it('reckons loads and pressures as they were shown, from whatever moment', async () => {
    const told = (await reader.soFar('2026-10-31', OPEN_MS - NIGHT.noticeMs, 1e9)).told();
    const dock = told.amps.dock!;
    const valueAt = (at: number) => dock.amps[dock.at.findLastIndex((point) => point <= at)]!;
    for (const { at, circuits, night } of seen.filter((p) => p.night !== null)) {
      // steady loads change at events alone
      expect(circuits.dock!.amps, String(at)).toBe(valueAt(at));
      expect(night?.date).toBe('2026-10-31');
    }
    expect(Math.min(...told.psi.shed!.psi)).toBeLessThan(120);
    expect([...dock.at].sort((a, b) => a - b)).toEqual(dock.at);
  });

  it('puts what was before a restart in front of what is since', async () => {
    const { circuits, tanks } = seen[0]!;
    const at = OPEN_MS + 6 * MIN;
    const since = new SoFar();
    since.note({ at, night: { date: '2026-10-31' }, circuits, tanks });
    const told = (await reader.soFar('2026-10-31', OPEN_MS - NIGHT.noticeMs, 1e9)).told();
    since.before(told);
    const { at: ats } = since.amps('dock');
    expect(ats).toEqual([...told.amps.dock!.at.filter((point) => point < at), at]);
    const other = new SoFar();
    other.note({ at, night: { date: '2026-11-01' }, circuits, tanks });
    other.before(told);
    expect(other.amps('dock').at).toEqual([at]);
  });

  it('marks the course of the night', () => {
    const course = reader.course('2026-10-31', null)!;
    const lines = s.r.journal.lines(0, 1e6);
    const ats = (code: string) => lines.filter((line) => line.code === code).map(({ at }) => at);
    expect(course.faults).toEqual(ats('lockout-raised'));
    expect(course.stops).toEqual(ats('stop-pressed'));
    expect(course.missed).toEqual(ats('run-skipped'));
    expect(course.runs.map(([from]) => from)).toEqual(ats('run-started'));
    expect(course.runs.every(([from, to]) => to > from && to < SHORT.closeMs + MIN)).toBe(true);
    expect(course.from).toBeLessThan(OPEN_MS);
    expect(course.turns.length).toBeGreaterThan(4);
    expect(reader.course('2026-10-30', null)).toBe(null);
    expect(reader.course('constructor', null)).toBe(null);
    // while it is on, it goes no further than now
    const now = OPEN_MS + 5 * MIN;
    expect(readerOn(s.r.journal, now).course('2026-10-31', null)!.to).toBe(now - 2000);
  });

  it('tells a prop’s story page by page, newest first, to the beginning', () => {
    const whole = s.r.journal
      .lines(0, 1e6)
      .filter(
        ({ prop, scene, code }) =>
          prop === 'ferry' ||
          (prop === null &&
            (scene === 'crossing' ||
              (scene === null &&
                ['stop-pressed', 'stop-cleared', 'mode-now', 'desk-started'].includes(code)))),
      )
      .map(({ id }) => id)
      .reverse();
    const paged: number[] = [];
    let before: number | null = null;
    do {
      const page = reader.story('ferry', before, 7);
      expect(page.lines.length).toBeLessThanOrEqual(7);
      paged.push(...page.lines.map(({ n }) => n));
      before = page.before;
    } while (before !== null);
    expect(whole.length).toBeGreaterThan(20);
    expect(paged).toEqual(whole);
    // a prop that is in no scene has the yard's lines alone
    expect(
      reader.story('nobody', null, 100).lines.every(({ prop, scene }) => prop === null && scene === null),
    ).toBe(true);
  });

  it('tells a yard computer that was off from one that had nothing to say', async () => {
    const cut = memoryJournal();
    const first = s.r.journal.latestSnapshot(0)!;
    cut.snapshot(first.n, first.yardHash, first.state);
    const events = s.r.journal.events(0, 2000);
    const last = events.at(-1)!;
    const lines = s.r.journal.lines(0, 1e6).filter(({ n }) => n <= last.n);
    cut.append(events, lines);
    const startedAt = last.at + 11 * MIN;
    cut.append(
      [
        {
          kind: 'deskStarted',
          n: last.n + 1,
          at: startedAt,
          epoch: 99,
          word: 'again',
          offsetMs: 0,
          stop: 0,
          cleared: 0,
          night: null,
        },
      ],
      [lineOf(last.n + 1, startedAt, { code: 'desk-started', epoch: 99, mode: 'held' })],
    );
    const reader = readerOn(cut);
    expect(await reader.moment(last.at + 500)).toMatchObject({ off: false });
    const off = (await reader.moment(last.at + 5 * MIN))!;
    expect(off.off).toBe(true);
    // nobody is heard by then, so nothing is claimed of any sensor
    expect(Object.values(off.picture.props).every(({ live }) => !live)).toBe(true);
    expect(await reader.moment(startedAt)).toMatchObject({ off: false });
  });
});

describe('a wall clock that is set', () => {
  it('is followed: before and after the step each moment is what it was', async () => {
    const s = new Script(landing(), { night: SHORT, runs }).untilOpen();
    const seen: Picture[] = [];
    const pass = () => {
      for (let n = 0; n < 25; n += 1) seen.push(s.advance('900 ms').picture());
    };
    pass();
    (s.r.clock as VirtualClock).stepWall(3 * MIN);
    s.advance('1 s');
    pass();
    s.lines();
    const reader = readerOn(s.r.journal);
    expect(seen.at(-1)!.at - seen[0]!.at).toBeGreaterThan(3 * MIN);
    for (const was of seen) expect(bare((await reader.moment(was.at))!.picture)).toEqual(bare(was));
  });
});

function lineOf(n: number, at: number, reason: Reason, of: Partial<Line> = {}): Line {
  return {
    n,
    at,
    code: reason.code,
    reason: JSON.stringify(reason),
    text: '',
    prop: null,
    scene: null,
    run: null,
    ...of,
  };
}

describe('the nights that the record knows', () => {
  const drawn = (n: number, at: number, night: string, count: number) =>
    lineOf(n, at, { code: 'plan-drawn', night, runs: count });
  const opened = (n: number, at: number, night: string) =>
    lineOf(n, at, { code: 'mode-now', mode: 'opening', by: 'Ada', night });

  it('are those that were planned and those that were opened, newest first, each once', () => {
    const journal = memoryJournal();
    const nights = new NightsKnown(journal);
    expect(nights.list()).toEqual([]);
    journal.append(
      [],
      [
        drawn(1, 100, '2026-10-30', 210),
        lineOf(2, 150, { code: 'homed', prop: 'ferry' }),
        opened(3, 160, '2026-10-30'),
        drawn(4, 200, '2026-10-31-hand', 40),
        lineOf(5, 210, { code: 'mode-now', mode: 'open', by: 'Ada' }),
        drawn(6, 300, '2026-10-31', 260),
        drawn(7, 350, '2026-10-31', 12),
      ],
    );
    const first = [
      { night: '2026-10-31', plannedAt: 300, runs: 260, openedAt: null },
      { night: '2026-10-31-hand', plannedAt: 200, runs: 40, openedAt: null },
      { night: '2026-10-30', plannedAt: 100, runs: 210, openedAt: 160 },
    ];
    expect(nights.list()).toEqual(first);
    journal.append([], [opened(8, 400, '2026-10-31'), opened(9, 900, '2026-11-01-hand')]);
    expect(nights.list()).toEqual([
      { night: '2026-11-01-hand', plannedAt: null, runs: 0, openedAt: 900 },
      { ...first[0], openedAt: 400 },
      ...first.slice(1),
    ]);
  });

  it('know a night that was opened by hand with nothing planned, and its course', async () => {
    const s = new Script(landing(), { night: { ...SHORT, opensByItself: false }, early: '2 h' });
    const night = {
      ...s.night,
      date: '2026-10-31-hand',
      openMs: s.r.clock.now(),
      closeMs: s.r.clock.now() + 10 * MIN,
    };
    const answer = s.r.desk.ask({ kind: 'openAsked', by: 'Ada', planned: false, night });
    s.r.clock.settle();
    expect(await answer).toEqual({ ok: true });
    const openedAt = s.r.clock.now();
    s.advance('12 min').lines();
    const reader = readerOn(s.r.journal);
    expect(reader.nights().find((known) => known.night === '2026-10-31-hand')).toEqual({
      night: '2026-10-31-hand',
      plannedAt: null,
      runs: 0,
      openedAt,
    });
    const course = reader.course('2026-10-31-hand', null)!;
    expect(course.from).toBe(openedAt - 10 * MIN);
    expect(course.to).toBeGreaterThan(night.closeMs);
    expect(course.runs).toEqual([]);
  });
});

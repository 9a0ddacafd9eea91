import { describe, expect, it, vi } from 'vitest';
import type { RecordLine } from '../../server/desk-door.ts';
import type { Course } from '../../server/past/course.ts';
import { Back } from '../../web/back.ts';
import type { Outcome } from '../../web/commands.ts';

const course: Course = {
  night: '2026-10-31',
  from: 1000,
  to: 9000,
  runs: [],
  missed: [],
  faults: [4000],
  stops: [3000],
  turns: [],
};
const refused = (status: number, detail: string): Outcome => ({ ok: false, status, detail, reasons: [] });

/** A yard computer that answers when the test says so. */
function scripted(settle: () => Promise<unknown> = () => new Promise((later) => setTimeout(later, 0))) {
  const asked: string[] = [];
  const waiting: ((outcome: Outcome) => void)[] = [];
  const pages = new Map<string, unknown>();
  const back = new Back({
    read: async <T>(path: string) => (pages.get(path) as T | undefined) ?? null,
    look: (path) => {
      asked.push(path);
      return new Promise((answer) => waiting.push(answer));
    },
    changed() {},
  });
  const answer = async (outcome: Outcome) => {
    waiting.shift()!(outcome);
    await settle();
  };
  const shown = (at: number): Outcome => ({ ok: true, body: { at } });
  return { back, asked, answer, pages, shown, settle };
}

describe('going through a night', () => {
  it('begins at its first fault, else at its first stop, else at its end, or where the address says', async () => {
    for (const [told, at, first] of [
      [course, null, 4000],
      [{ ...course, faults: [] }, null, 3000],
      [{ ...course, faults: [], stops: [] }, null, 9000],
      [course, 5000, 5000],
    ] as const) {
      const { back, asked, answer } = scripted();
      void back.readCourse('2026-10-31', at);
      await answer({ ok: true, body: told });
      expect(asked).toEqual(['/api/nights/2026-10-31/course', `/api/past?at=${first}`]);
    }
  });

  it('asks for one moment at a time and skips those passed over', async () => {
    const { back, asked, answer, shown } = scripted();
    void back.readCourse('2026-10-31', 2000);
    await answer({ ok: true, body: course });
    for (const at of [2100, 2200, 2300]) back.go(at);
    // An answer to what nobody wants any more is not shown.
    await answer(shown(2000));
    expect(back.state.replay).toMatchObject({ askedAt: 2300, shown: null });
    await answer(shown(2300));
    expect(back.state.replay).toMatchObject({ askedAt: 2300, shown: { at: 2300 }, refused: null });
    expect(asked.slice(1)).toEqual(['/api/past?at=2000', '/api/past?at=2300']);
  });

  it('keeps what was shown where the next can’t be read now, and lets go of it where nothing is kept', async () => {
    const { back, answer, shown } = scripted();
    void back.readCourse('2026-10-31', 2000);
    await answer({ ok: true, body: course });
    await answer(shown(2000));
    back.go(3000);
    await answer(refused(0, 'No answer.'));
    expect(back.state.replay).toMatchObject({ askedAt: 3000, shown: { at: 2000 }, refused: 'No answer.' });
    back.go(4000);
    await answer(refused(404, 'Nothing is kept.'));
    expect(back.state.replay).toMatchObject({ shown: null, refused: 'Nothing is kept.' });
    back.go(5000);
    await answer(shown(5000));
    expect(back.state.replay).toMatchObject({ shown: { at: 5000 }, refused: null });
  });

  it('asks again by itself where the yard computer reads in pieces, for as long as that moment is wanted', async () => {
    vi.useFakeTimers({ toFake: ['setTimeout'] });
    try {
      const { back, asked, answer, shown } = scripted(() => vi.advanceTimersByTimeAsync(0));
      void back.readCourse('2026-10-31', 2000);
      await answer({ ok: true, body: course });
      await answer(refused(503, 'Busy.'));
      expect(back.state.replay).toMatchObject({ shown: null, refused: null });
      await vi.advanceTimersByTimeAsync(600);
      await answer(refused(503, 'Busy.'));
      await vi.advanceTimersByTimeAsync(600);
      expect(asked.slice(1)).toEqual(Array(3).fill('/api/past?at=2000'));
      await answer(shown(2000));
      expect(back.state.replay).toMatchObject({ shown: { at: 2000 } });
      // Slid on meanwhile, the other is asked for and the first no more.
      back.go(3000);
      await answer(refused(503, 'Busy.'));
      back.go(4000);
      await vi.advanceTimersByTimeAsync(600);
      await answer(shown(4000));
      expect(asked.slice(4)).toEqual(['/api/past?at=3000', '/api/past?at=4000']);
    } finally {
      vi.useRealTimers();
    }
  });

  it('says why there is no course: nothing is recorded, or nobody answered', async () => {
    const nothing = scripted();
    void nothing.back.readCourse('2026-10-31', null);
    await nothing.answer(refused(404, 'Nothing is recorded for that night.'));
    expect(nothing.back.state.replay).toMatchObject({ course: null, read: true, refused: null });
    const silent = scripted();
    void silent.back.readCourse('2026-10-31', null);
    await silent.answer(refused(0, 'No answer.'));
    expect(silent.back.state.replay).toMatchObject({ course: null, read: true, refused: 'No answer.' });
    expect(silent.asked).toHaveLength(1);
  });

  it('widens the slider to a moment outside the night, and grows with a night that goes on', async () => {
    const { back, answer, settle } = scripted();
    void back.readCourse('2026-10-31', 500_000);
    await answer({ ok: true, body: course });
    expect(back.state.replay!.course).toMatchObject({ from: 1000, to: 560_000 });
    await answer({ ok: true, body: { at: 500_000 } });
    void back.renewCourse();
    await settle();
    await answer({ ok: true, body: { ...course, to: 700_000 } });
    expect(back.state.replay!.course).toMatchObject({ from: 1000, to: 700_000 });
  });

  it('forgets the night it came from', async () => {
    const { back, answer } = scripted();
    void back.readCourse('2026-10-30', null);
    void back.readCourse('2026-10-31', 2000);
    await answer({ ok: true, body: { ...course, night: '2026-10-30', to: 1 } });
    expect(back.state.replay).toMatchObject({ night: '2026-10-31', course: null, read: false });
  });
});

describe('a prop’s story', () => {
  const line = (n: number): RecordLine => ({
    n,
    at: n,
    code: 'homed',
    text: `Line ${n}.`,
    prop: 'ferry',
    scene: null,
    run: null,
  });
  const lines = (from: number, to: number) => Array.from({ length: from - to + 1 }, (_, n) => line(from - n));
  const path = '/api/props/ferry/story?limit=40';

  it('keeps what was read further back when the newest is read again, each line once', async () => {
    const { back, pages } = scripted();
    pages.set(path, { lines: lines(100, 61), before: 61 });
    pages.set(`${path}&before=61`, { lines: lines(60, 21), before: 21 });
    await back.readSheet('ferry');
    await back.readEarlier('ferry');
    expect(back.state.sheet).toMatchObject({ before: 21 });
    pages.set(path, { lines: lines(103, 64), before: 64 });
    await back.readSheet('ferry');
    expect(back.state.sheet!.lines!.map(({ n }) => n)).toEqual(lines(103, 21).map(({ n }) => n));
    expect(back.state.sheet!.before).toBe(21);
  });

  it('begins anew where so much came meanwhile that the two do not meet, and with another prop', async () => {
    const { back, pages } = scripted();
    pages.set(path, { lines: lines(100, 61), before: 61 });
    await back.readSheet('ferry');
    pages.set(path, { lines: lines(300, 261), before: 261 });
    await back.readSheet('ferry');
    expect(back.state.sheet).toMatchObject({ before: 261 });
    expect(back.state.sheet!.lines).toHaveLength(40);
    await back.readSheet('gull');
    expect(back.state.sheet).toMatchObject({ prop: 'gull', lines: null, before: null });
  });

  it('keeps what it has where the record can’t be read just now', async () => {
    const { back, pages } = scripted();
    pages.set(path, { lines: lines(100, 61), before: 61 });
    await back.readSheet('ferry');
    pages.delete(path);
    await back.readSheet('ferry');
    expect(back.state.sheet!.lines).toHaveLength(40);
  });
});

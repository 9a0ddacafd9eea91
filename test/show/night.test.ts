import { describe, expect, it } from 'vitest';
import { loadShow, saveShow } from '../../server/show/save.ts';
import { whyOf } from '../../server/show/why.ts';
import { tick } from './any.ts';
import { atHome, type Hand, linked, opened } from './hand.ts';
import { HOUR_MS, landing, NIGHT, OPEN_MS, withGate } from './landing.ts';

const yard = landing();
const NOTICE_MS = NIGHT.openMs - NIGHT.noticeMs;
const ahead = (ms: number, which = yard): Hand => linked(which, { at: NOTICE_MS - ms });

describe('Opening by itself', () => {
  it('at its instant, the notice before the hour, and from closed', () => {
    const hand = ahead(60_000).plan([]).advance('59999 ms');
    expect(hand.mode).toBe('closed');
    hand.advance('1 ms');
    expect([hand.mode, hand.show.modeBy]).toEqual(['opening', 'by itself']);
    hand.advance('30 s');
    expect([hand.mode, hand.at]).toEqual(['open', OPEN_MS]);
  });

  it('not where the file says by hand', () => {
    const hand = ahead(60_000)
      .plan([], { ...NIGHT, opensByItself: false })
      .advance('5 min');
    expect(hand.mode).toBe('closed');
  });

  it('with a reason against it, it waits for a person and says why', () => {
    const stopped = ahead(60_000).plan([]).stop().advance('61 s');
    expect(stopped.mode).toBe('stopped');
    expect(stopped.show.openingWaits).toMatchObject([{ code: 'stopped', stop: 1 }]);
    const failing = ahead(60_000).plan([]);
    failing.take({ kind: 'recordFailed', why: 'disk full' });
    failing.advance('61 s');
    expect(failing.show.openingWaits).toMatchObject([{ code: 'record-failing' }]);
    failing.take({ kind: 'recordResumed' });
    failing.advance('10 min');
    expect(failing.mode).toBe('closed');
    expect(failing.openAsked()).toBe(null);
    expect(failing.show.openingWaits).toEqual([]);
  });

  it('a held yard stays held at its hour, and says what it waits for', () => {
    const hand = opened(yard);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    hand.plan([], { ...NIGHT, openMs: OPEN_MS + HOUR_MS }).advance('1 h');
    expect(hand.mode).toBe('held');
    expect(hand.show.openingWaits).toMatchObject([{ code: 'mode', mode: 'held' }]);
  });

  it('comes once a night: closed again by a person it stays closed', () => {
    const hand = opened(yard);
    hand.ask({ kind: 'closeAsked', by: 'ann' });
    hand.plan([]).advance('10 min');
    expect(hand.mode).toBe('closed');
  });

  it('never by surprise long after its instant, as when the clock is set right in the middle of the night', () => {
    const hand = ahead(4 * HOUR_MS).plan([]);
    hand.take({ kind: 'clockStepped', offsetMs: 5 * HOUR_MS });
    hand.advance('1 min');
    expect(hand.mode).toBe('closed');
    expect(hand.show.openingWaits).toMatchObject([{ code: 'too-late' }]);
    expect(hand.openAsked()).toBe(null);
  });

  it('gives a red button its first ten seconds to be heard, and then says that it is not', () => {
    const gate = withGate();
    const hand = linked(gate, { at: NOTICE_MS - 1000 });
    const quiet = linked(gate, { at: NOTICE_MS - 1000 }).plan([]);
    expect(quiet.advance('2 s').mode).toBe('opening');
    const unheard = startedWithout('gate', NOTICE_MS - 1000);
    unheard.plan([]).advance('9 s');
    expect([unheard.mode, unheard.show.openingWaits]).toEqual(['closed', []]);
    unheard.advance('1500 ms');
    expect(unheard.show.openingWaits).toMatchObject([{ code: 'station-silent', prop: 'gate' }]);
    const late = startedWithout('gate', NOTICE_MS - 1000)
      .plan([])
      .advance('5 s');
    late.link('gate').sense('gate.button', false).advance('300 ms');
    expect(late.mode).toBe('opening');
    expect(hand.mode).toBe('closed');
  });

  function startedWithout(board: string, at: number): Hand {
    const hand = linked(withGate(), { at });
    hand.beating.delete(board);
    hand.take({
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      stop: 0,
      cleared: 0,
      night: null,
    });
    hand.take({ kind: 'busConnected' });
    for (const id of hand.yard.controllers.keys()) if (id !== board) hand.link(id);
    return atHome(
      hand,
      [...hand.yard.controllers.keys()].filter((id) => id !== board),
    );
  }
});

describe('The notice', () => {
  const LIT = { ...NIGHT, noticeScene: 'lanterns-up' };

  it('runs its scene and nothing else', () => {
    const hand = ahead(10_000).plan([], LIT).fresh().advance('10 s');
    expect(hand.moves).toEqual(['lantern.flicker']);
    expect(hand.show.runs).toMatchObject([{ scene: 'lanterns-up', origin: 'notice' }]);
    expect(hand.run('crossing')).toMatchObject([{ code: 'mode', mode: 'opening' }]);
    tick(hand, 30_000);
    expect([hand.mode, hand.moves]).toEqual(['open', ['lantern.flicker']]);
  });

  it('homes nothing for its scene: one whose prop is not known to be home is left out with why', () => {
    const hatched = landing([
      'lanterns-up: {title: Lanterns up, steps: [lantern.flicker]}',
      'lanterns-up: {title: Lanterns up, steps: [hatch.slam, hatch.close]}',
    ]);
    const hand = ahead(60_000, hatched).sense('hatch.shut', false).advance('50 s');
    hand.plan([], LIT).fresh().advance('10 s');
    expect(hand.mode).toBe('opening');
    expect(hand.lines('run-skipped')).toMatchObject([
      { reason: { for: { code: 'position-unknown', prop: 'hatch' } } },
    ]);
    hand.advance('29999 ms');
    expect(hand.moves).toEqual([]);
  });

  it('is given again at every opening', () => {
    const hand = opened(yard);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    expect(hand.openAsked()).toBe(null);
    expect(hand.kinds('giveNotice')).toEqual([{ kind: 'giveNotice', inMs: 30_000 }]);
    hand.run('crossing');
    hand.advance('29 s');
    expect([hand.mode, hand.moves]).toEqual(['opening', []]);
  });
});

describe('A person opens', () => {
  it('between open and close, else is told that it is outside the hours, or that there is no night', () => {
    expect(ahead(HOUR_MS).openAsked()).toEqual([{ code: 'no-night' }]);
    const early = ahead(HOUR_MS).plan([], { ...NIGHT, opensByItself: false });
    expect(early.openAsked()).toEqual([{ code: 'outside-hours' }]);
    early.advance(OPEN_MS - early.at - 1);
    expect(early.openAsked()).toEqual([{ code: 'outside-hours' }]);
    early.advance('1 ms');
    expect(early.openAsked()).toBe(null);
  });

  it('is refused with all reasons at once', () => {
    const hand = opened(withGate()).stop();
    hand.take({ kind: 'recordFailed', why: 'disk full' });
    hand.sense('gate.button', true);
    expect(hand.openAsked()?.map((r) => r.code)).toEqual(['stopped', 'station-in']);
    const both = opened(yard);
    both.ask({ kind: 'closeAsked', by: 'ann' });
    expect(both.mode).toBe('closed');
    both.take({ kind: 'busLost' });
    expect(both.openAsked()?.map((r) => r.code)).toEqual(['no-bus']);
  });

  it('with nothing planned: what was planned is skipped with why, and triggers and hands still run', () => {
    const hand = ahead(60_000).plan(
      [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 60_000 }],
      { ...NIGHT, opensByItself: false },
    );
    hand.advance('2 min');
    expect(hand.openAsked(false)).toBe(null);
    expect(hand.lines('run-skipped')).toMatchObject([{ reason: { for: { code: 'run-unplanned' } } }]);
    hand.advance('2 min');
    expect([hand.mode, hand.moves]).toEqual(['open', []]);
    expect(hand.run('crossing')).toBe(null);
  });
});

describe('A night opened by hand', () => {
  const byHand = (hand: Hand, closeMs: number) => ({
    ...NIGHT,
    date: '2026-10-31-hand',
    prepareMs: hand.at,
    openMs: hand.at,
    closeMs,
    quietMs: null,
    opensByItself: false,
  });
  const open = (hand: Hand, closeMs: number) =>
    hand.ask({ kind: 'openAsked', by: 'ann', planned: true, night: byHand(hand, closeMs) });
  const tonight = [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 1000 }];

  it('comes before tonight’s, which waits behind it with its plan and opens at its hour', () => {
    const hand = ahead(HOUR_MS).plan(tonight);
    expect(open(hand, hand.at + HOUR_MS / 2)).toBe(null);
    hand.advance('31 s');
    expect([hand.mode, hand.show.night?.date]).toEqual(['open', '2026-10-31-hand']);
    hand.advance('30 min');
    expect([hand.mode, hand.show.night?.date]).toEqual(['closed', '2026-10-31']);
    hand.advance(OPEN_MS + 1100 - hand.at);
    expect([hand.mode, hand.show.runs.map((r) => r.id)]).toEqual(['open', ['2026-10-31.crossing.1']]);
  });

  it('keeps the plan that is drawn up for tonight while it is on', () => {
    const hand = ahead(3 * HOUR_MS);
    open(hand, hand.at + 2 * HOUR_MS);
    hand.advance('1 h').plan(tonight);
    expect(hand.show.night?.date).toBe('2026-10-31-hand');
    hand.advance(OPEN_MS - hand.at + 1100);
    expect([hand.mode, hand.show.runs.map((r) => r.id)]).toEqual(['open', ['2026-10-31.crossing.1']]);
  });

  it('drawn up again once it has begun counts nothing as skipped or made twice', () => {
    const runs = [1, 6, 11].map((minutes, k) => ({
      id: `${NIGHT.date}.crossing.${k + 1}`,
      scene: 'crossing',
      startMs: OPEN_MS + minutes * 60_000,
    }));
    const hand = opened(yard).plan(runs);
    hand.advance('7 min');
    const made = hand.show.planned.map((r) => r.state);
    const { skipped } = hand.show.scenes.crossing!;
    hand.plan(runs).advance('10 s');
    expect(hand.show.planned.map((r) => r.startMs)).toEqual(runs.map((r) => r.startMs));
    expect(hand.show.planned.map((r) => r.state)).toEqual(made);
    expect(hand.show.scenes.crossing!.skipped).toBe(skipped);
    expect(hand.show.planned.at(-1)!.state).toBe('planned');
  });

  it('cut short at tonight’s notice it closes first, and tonight opens by itself as soon as it has', () => {
    const hand = ahead(HOUR_MS).plan(tonight);
    open(hand, NOTICE_MS);
    hand.advance(NOTICE_MS - hand.at - 20_000);
    hand.sense('ferry.near', false);
    hand.advance('20300 ms');
    // the ferry was pushed off near: nothing is brought home that is locked out
    expect(hand.mode).toBe('opening');
    expect(hand.show.night?.date).toBe('2026-10-31');
  });

  it('is still on after a restart in the middle of it', () => {
    const hand = ahead(3 * HOUR_MS);
    open(hand, hand.at + HOUR_MS);
    hand.advance('10 min');
    restart(hand, null);
    expect([hand.mode, hand.show.night?.date]).toEqual(['held', '2026-10-31-hand']);
  });
});

/** The computer comes back after two seconds with what is on disk. */
function restart(hand: Hand, night: typeof NIGHT | null, epoch = 2): Hand {
  hand.show = loadShow(saveShow(hand.show), hand.yard);
  hand.fresh().at += 2000;
  const { n, clearedN } = hand.show.stop;
  hand.take({
    kind: 'deskStarted',
    epoch,
    word: `desk-${epoch}`,
    offsetMs: 0,
    stop: n,
    cleared: clearedN,
    night,
  });
  hand.take({ kind: 'busConnected' });
  return hand;
}

describe('A restart', () => {
  const autoYard = landing(['latitude: 41.88', 'restart: auto, latitude: 41.88']);
  const boards = (hand: Hand): Hand => {
    for (const id of hand.yard.controllers.keys()) hand.link(id, { stop: hand.show.stop.n });
    return atHome(hand);
  };

  it('in an open night leaves the yard held until a person opens it, and moves nothing', () => {
    const hand = opened(yard);
    hand.run('crossing');
    restart(hand, NIGHT);
    expect([hand.mode, hand.show.modeBy, hand.show.runs]).toEqual(['held', 'restart', []]);
    boards(hand).advance('10 min');
    expect([hand.mode, hand.moves]).toEqual(['held', []]);
    expect(hand.openAsked()).toBe(null);
  });

  it('with restart auto gives notice, homes and goes on, where it was opening or open and no stop is latched', () => {
    for (const was of ['open', 'opening'] as const) {
      const hand = was === 'open' ? opened(autoYard) : ahead(0, autoYard).plan([]).advance('5 s');
      expect(hand.mode).toBe(was);
      restart(hand, was === 'open' ? NIGHT : null);
      expect(hand.mode).toBe('opening');
      boards(hand);
      expect(hand.kinds('giveNotice')).toEqual([{ kind: 'giveNotice', inMs: 30_000 }]);
      hand.advance('29 s');
      expect([hand.mode, hand.moves]).toEqual(['opening', []]);
      tick(hand, 3000);
      expect(hand.mode).toBe('open');
    }
  });

  it('twice in a row is one cut: auto still goes on', () => {
    const hand = opened(autoYard);
    hand.take({ kind: 'busLost' });
    hand.show = loadShow(saveShow(hand.show), autoYard);
    const start = (epoch: number) =>
      hand.take({
        kind: 'deskStarted',
        epoch,
        word: `desk-${epoch}`,
        offsetMs: 0,
        stop: 0,
        cleared: 0,
        night: NIGHT,
      });
    start(2);
    hand.at += 1500;
    start(3);
    hand.take({ kind: 'busConnected' });
    expect(hand.mode).toBe('opening');
  });

  it('with restart auto waits for a person after two minutes with a reason against it, and says which', () => {
    const gate = withGate(['latitude: 41.88', 'restart: auto, latitude: 41.88']);
    const hand = opened(gate);
    restart(hand, NIGHT);
    expect(hand.mode).toBe('held');
    hand.advance('9 s');
    expect(hand.mode).toBe('held');
    // the button has not been heard for ten seconds: that is a stop, and nothing opens by itself after one
    hand.advance('2 s');
    expect([hand.mode, hand.show.autoOpenUntil]).toEqual(['stopped', null]);
    const bus = opened(autoYard);
    restart(bus, NIGHT);
    bus.take({ kind: 'busLost' });
    expect(bus.mode).toBe('opening');
  });

  it('does not go on by itself where it was held, closed, stopped or closing', () => {
    for (const act of ['hold', 'close', 'stop'] as const) {
      const hand = opened(autoYard);
      if (act === 'stop') hand.stop();
      else hand.ask({ kind: `${act}Asked`, by: 'ann' });
      const was = hand.mode;
      restart(hand, NIGHT);
      boards(hand).advance('5 min');
      expect([was, hand.mode, hand.moves]).toEqual([was, act === 'stop' ? 'stopped' : 'held', []]);
    }
  });

  it('out of a night is closed', () => {
    const hand = ahead(HOUR_MS);
    restart(hand, null);
    expect(hand.mode).toBe('closed');
  });

  it('keeps what was under way as maybe done: it counts until its board says otherwise, and runs are abandoned', () => {
    const hand = opened(yard, [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 1000 }]);
    hand.advance('1 s').says('ferry', 'started');
    restart(hand, NIGHT);
    expect(hand.flight('ferry').lost).toBe('let-go');
    expect(hand.show.planned).toMatchObject([
      { state: 'abandoned', why: { code: 'run-abandoned', for: { code: 'restarted' } } },
    ]);
    // in the middle of a halt, too, nobody waits for an answer that a board new to us can't give
    const halting = opened(yard);
    halting.run('crossing');
    halting.lockout('ferry');
    restart(halting, NIGHT);
    halting.advance('5 s');
    expect(halting.mode).toBe('held');
    hand.link('ferry-board');
    expect(hand.prop('ferry').flight).toBe(null);
  });

  it('names no run twice', () => {
    const hand = opened(yard);
    hand.run('porch-scare');
    restart(hand, NIGHT);
    boards(hand);
    hand.openAsked();
    tick(hand, 35_000);
    hand.run('porch-scare');
    expect(hand.show.runs.map((r) => r.id)).toEqual(['2026-10-31.porch-scare.2']);
  });

  it('of a demonstration, whose night begins anew at each start, opens by itself each time', () => {
    const demo = (at: number) => ({
      ...NIGHT,
      date: '2026-10-31-hand',
      openMs: at + 11_000,
      closeMs: at + 4 * HOUR_MS,
      noticeMs: 8000,
      quietMs: null,
    });
    const hand = ahead(3 * HOUR_MS);
    hand.plan([], demo(hand.at)).advance('12 s');
    expect(hand.mode).toBe('open');
    restart(hand, null);
    expect(hand.mode).toBe('closed');
    boards(hand).plan([], demo(hand.at)).advance('12 s');
    expect(hand.mode).toBe('open');
  });
});

describe('The end of a night', () => {
  it('what was planned and not begun is skipped with why, and the night is let go of', () => {
    const plan = [{ id: '2026-10-31.crossing.1', scene: 'crossing', startMs: NIGHT.closeMs - 20_000 }];
    const hand = opened(yard, plan);
    hand.at = NIGHT.closeMs - 30_000;
    for (const id of yard.controllers.keys()) hand.link(id);
    atHome(hand).fresh().advance('31 s');
    expect([hand.mode, hand.show.night]).toEqual(['closed', null]);
    expect(hand.lines('run-skipped')).toMatchObject([{ reason: { for: { code: 'night-ended' } } }]);
  });

  it('a stopped yard stays stopped', () => {
    const hand = opened(yard).stop();
    hand.at = NIGHT.closeMs;
    hand.take({ kind: 'timeReached' });
    expect([hand.mode, hand.show.night]).toEqual(['stopped', null]);
  });

  it('while it closes past its hour the timer rests between deadlines', () => {
    const hand = opened(yard);
    hand.sense('path-mat.step', true);
    expect(hand.mode).toBe('open');
    tick(hand, 5000);
    hand.take({ kind: 'clockStepped', offsetMs: NIGHT.closeMs - hand.at });
    expect(hand.mode).toBe('closing');
    const events = hand.show.n;
    tick(hand, 10_000);
    // beats four times a second, and little else
    expect(hand.show.n - events).toBeLessThan(80);
  });

  it('every prop that is not ready says why', () => {
    const hand = opened(yard).hush('bell').advance('2 s');
    expect(whyOf(hand.show, 'bell', hand.at)).toMatchObject({ state: 'silent', why: { code: 'silent' } });
    hand.lockout('lantern');
    expect(whyOf(hand.show, 'lantern', hand.at)).toMatchObject({
      state: 'locked-out',
      why: { fault: 'by-hand' },
    });
    hand.link('ferry-board');
    expect(whyOf(hand.show, 'ferry', hand.at)).toMatchObject({
      state: 'unknown',
      why: { code: 'position-unknown' },
    });
  });
});

import { describe, expect, it } from 'vitest';
import { MODES_FROM } from '../../server/show/check.ts';
import { silentOf } from '../../server/show/stop.ts';
import { tick } from './any.ts';
import { atHome, type Hand, linked, opened, started } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

const yard = landing();
const heard = (hand: Hand, stop: number, latched = true) =>
  hand.take({ kind: 'stopHeard', latched, stop, desk: 'desk-b', epoch: 1 });
const answers = (hand: Hand, controller: string, more: { stop?: number; safe?: boolean } = {}) =>
  hand.take({
    kind: 'stoppedHeard',
    controller,
    stop: more.stop ?? hand.show.stop.n,
    session: hand.session(controller),
    safe: more.safe ?? true,
  });
const allAnswer = (hand: Hand): Hand => {
  for (const id of hand.yard.controllers.keys()) hand.link(id, { stop: hand.show.stop.n });
  return atHome(hand);
};

describe('A stop', () => {
  it('from every mode: latched, everything that moved let go, nothing tidied, no confirmation asked', () => {
    for (const mode of Object.keys(MODES_FROM)) {
      const hand = opened(yard);
      hand.run('crossing');
      hand.says('ferry', 'started').sense('ferry.near', false);
      if (mode === 'held') hand.ask({ kind: 'holdAsked', by: 'ann' });
      if (mode === 'closing') hand.ask({ kind: 'closeAsked', by: 'ann' });
      if (mode === 'stopped') hand.stop();
      hand.fresh().stop();
      expect([mode, hand.mode, hand.show.stop.n]).toEqual([mode, 'stopped', 1]);
      expect(hand.show.runs).toEqual([]);
      hand.advance('1 min');
      expect([mode, hand.moves]).toEqual([mode, []]);
    }
  });

  it('pressed again changes nothing: the same number goes out once more', () => {
    const hand = opened(yard).stop();
    const { stop, mode } = hand.show;
    hand.fresh().stop('station gate pressed');
    expect(hand.kinds('sendStop')).toEqual([{ kind: 'sendStop', stop: 1, repeat: true }]);
    expect([hand.show.stop, hand.mode]).toEqual([{ ...stop, sentAt: hand.at }, mode]);
  });

  it('is repeated every 100 ms for 2 s and then every second, until all have answered', () => {
    const hand = opened(yard).stop();
    const at = hand.at;
    const times = new Set<number>();
    for (let i = 0; i < 500; i++) {
      hand.fresh().advance('10 ms');
      if (hand.kinds('sendStop').length > 0) times.add(hand.at - at);
    }
    expect([...times]).toEqual([...Array.from({ length: 20 }, (_, i) => 100 * (i + 1)), 3000, 4000, 5000]);
    const [last, ...rest] = [...yard.controllers.keys()];
    for (const id of rest) answers(hand, id);
    hand.fresh().advance('2 s');
    expect(hand.kinds('sendStop')).toHaveLength(2);
    answers(hand, last!);
    hand.fresh().advance('1 min');
    expect(hand.kinds('sendStop')).toEqual([]);
  });

  it('is answered by `stopped` with its number and safe, or by a link that obeyed it or a higher one', () => {
    const hand = opened(yard);
    hand.link('lantern', { stop: 0 }).stop();
    answers(hand, 'ferry-board');
    answers(hand, 'ferryman', { stop: hand.show.stop.n - 1 });
    answers(hand, 'hatch', { safe: false });
    hand.link('bell', { stop: hand.show.stop.n });
    hand.link('lantern', { stop: 0 });
    expect(silentOf(hand.show)).toEqual(['ferryman', 'hatch', 'lantern', 'path-mat']);
    expect(hand.lines('stop-answered').map((l) => l.reason.controller)).toEqual(['ferry-board', 'bell']);
  });

  it('answered without a new session still lets go of what that board moved', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').stop();
    expect(hand.flight('ferry').lost).toBe('let-go');
    answers(hand, 'ferry-board');
    expect(hand.prop('ferry').flight).toBe(null);
  });

  it('sends nothing that moves in the turn that it comes in, whatever else was due in it', () => {
    // the ferry is due to be told again in the very millisecond in which a dead halt of the lantern stops the yard
    const hand = opened(yard);
    hand.run('lanterns-up');
    hand.advance('2 s');
    expect(hand.halts).toEqual(['lantern']);
    hand.run('crossing');
    hand.fresh().advance('1 s');
    expect(hand.mode).toBe('stopped');
    expect(hand.moves).toEqual([]);
  });
});

describe('The numbers of stops', () => {
  it('each is above all that were ever heard of: the file, the bus, the boards, the clears', () => {
    const hand = started(yard, { stop: 4, cleared: 4 });
    expect(hand.mode).toBe('closed');
    heard(hand, 9, false);
    hand.link('bell', { stop: 7 });
    expect(hand.mode).toBe('closed');
    hand.stop();
    expect(hand.show.stop.n).toBe(10);
  });

  it('one above what is known to be cleared is latched at the start, wherever it is heard', () => {
    expect(started(yard, { stop: 5, cleared: 4 }).show).toMatchObject({ mode: 'stopped', stop: { n: 5 } });
    const bus = started(yard, { stop: 4, cleared: 4 });
    heard(bus, 5);
    expect(bus.show).toMatchObject({ mode: 'stopped', stop: { n: 5, by: 'desk desk-b' } });
    const link = started(yard, { stop: 4, cleared: 4 });
    link.link('bell', { stop: 5 });
    expect(link.show).toMatchObject({ mode: 'stopped', stop: { n: 5, by: 'board bell' } });
  });

  it('one that was only heard of may be cleared where it came from: pressed here, it becomes one above it', () => {
    const hand = started(yard, { stop: 4, cleared: 4 });
    for (const id of yard.controllers.keys()) hand.link(id, { stop: 5 });
    expect(hand.show.stop).toMatchObject({ n: 5, latched: true });
    hand.fresh().stop();
    expect(hand.kinds('sendStop')).toEqual([{ kind: 'sendStop', stop: 6, repeat: false }]);
    // who obeyed the old number has not answered this one
    expect(hand.show.stop).toMatchObject({ n: 6, answered: {} });
    hand.fresh().stop();
    expect(hand.kinds('sendStop')).toEqual([{ kind: 'sendStop', stop: 6, repeat: true }]);
  });

  it('one at or below it is late word and has no effect', () => {
    const hand = started(yard, { stop: 4, cleared: 4 });
    for (const n of [1, 3, 4]) {
      heard(hand, n);
      hand.link('bell', { stop: n });
    }
    expect(hand.mode).toBe('closed');
  });

  it('a higher one than ours while ours is latched: ours rises to it, and is answered anew', () => {
    const hand = opened(yard).stop();
    answers(hand, 'bell');
    hand.fresh();
    heard(hand, 8);
    expect(hand.show.stop).toMatchObject({ n: 8, answered: {} });
    expect(hand.kinds('sendStop')).toEqual([{ kind: 'sendStop', stop: 8, repeat: false }]);
    allAnswer(hand);
    expect(hand.clear()).toBe(null);
    expect(hand.show.stop).toMatchObject({ n: 8, clearedN: 8 });
  });

  it('another desk’s clear is no clear of ours', () => {
    const hand = opened(yard).stop();
    heard(hand, 1, false);
    heard(hand, 9, false);
    expect([hand.mode, hand.show.stop.latched]).toEqual(['stopped', true]);
  });

  it('survive a restart as they stand', () => {
    const hand = opened(yard).stop();
    hand.take({
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      // the small file could not be written, and still the record knows
      stop: 0,
      cleared: 0,
      night: NIGHT,
    });
    expect(hand.show).toMatchObject({ mode: 'stopped', stop: { latched: true, n: 1 } });
  });

  it('a board that was away for the clear is told of it when it links', () => {
    const hand = opened(yard).stop();
    allAnswer(hand);
    hand.clear();
    hand.fresh().link('bell', { stop: 1 });
    expect(hand.kinds('clearStop')).toEqual([{ kind: 'clearStop', stop: 1 }]);
    hand.fresh().link('lantern', { stop: 0 });
    expect(hand.kinds('clearStop')).toEqual([]);
  });
});

describe('A clear', () => {
  it('leads to held, says so on the bus, and moves nothing', () => {
    const hand = opened(yard).stop();
    allAnswer(hand).fresh();
    expect(hand.clear()).toBe(null);
    expect(hand.kinds('clearStop')).toEqual([{ kind: 'clearStop', stop: 1 }]);
    hand.advance('10 min');
    expect([hand.mode, hand.moves]).toEqual(['held', []]);
  });

  it('is refused with every reason, in the order to deal with them, and then nothing is changed', () => {
    const gate = landing([
      '  path-mat: {title',
      '  gate: {title: Gate, kind: stop-station, sensors: {button: plain}}\n  pier: {title: Pier, kind: stop-station, sensors: {button: plain}}\n  path-mat: {title',
    ]);
    const hand = opened(gate).sense('gate.button', true);
    hand.hush('pier').advance('2 s');
    hand.take({ kind: 'recordFailed', why: 'disk full' });
    hand.take({ kind: 'busLost' });
    const before = hand.show.stop;
    expect(hand.clear()?.map((r) => r.code)).toEqual([
      'station-in',
      'station-silent',
      'no-bus',
      'record-failing',
    ]);
    expect(hand.show.stop).toEqual(before);
    expect(opened(yard).clear()).toEqual([{ code: 'nothing-to-clear' }]);
  });

  it('acts only on what the person saw: a stop, fault or lockout in between refuses it', () => {
    const hand = opened(yard).stop();
    allAnswer(hand);
    const seen = hand.show.n;
    expect(hand.clear(hand.show.troubleN - 1)).toEqual([{ code: 'newer-trouble', prop: null }]);
    hand.sense('ferry.far', true);
    expect(hand.fault('ferry')?.code).toBe('both-ends');
    expect(hand.clear(seen)).toEqual([{ code: 'newer-trouble', prop: null }]);
    expect(hand.clear(hand.show.n)).toBe(null);
  });

  it('is not barred by boards that did not answer: their props are out until they do', () => {
    const hand = opened(yard).stop();
    for (const id of yard.controllers.keys()) if (id !== 'hatch') hand.link(id, { stop: 1 });
    expect(hand.clear()).toBe(null);
    expect(hand.fault('hatch')).toMatchObject({ code: 'no-answer', why: 'did not answer the stop' });
    expect(hand.fault('bell')).toBe(null);
    hand.fresh().link('hatch', { stop: 1 });
    expect(hand.fault('hatch')).toBe(null);
    expect(hand.moves).toEqual([]);
  });

  it('goes on without a board that moves on and answers neither halt nor stop, and stops no second time for it', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').sense('ferry.near', false);
    hand.lockout('ferry');
    hand.advance('1 s');
    expect([hand.mode, hand.fault('ferry')?.code]).toEqual(['stopped', 'dead-halt']);
    for (const id of yard.controllers.keys()) if (id !== 'ferry-board') hand.link(id, { stop: 1 });
    atHome(hand, ['hatch', 'path-mat', 'bell', 'lantern', 'ferryman']);
    expect(hand.clear()).toBe(null);
    expect(hand.openAsked()).toBe(null);
    tick(hand, 60_000);
    expect(hand.mode).toBe('open');
    expect(hand.run('lanterns-up')).toBe(null);
  });

  it('after a clear, open: in that order, by people, later', () => {
    const hand = opened(yard).stop();
    allAnswer(hand).fresh();
    expect(hand.openAsked()?.map((r) => r.code)).toContain('stopped');
    expect(hand.run('crossing')).toMatchObject([{ code: 'mode', mode: 'stopped' }]);
    hand.clear();
    expect(hand.run('crossing')).toMatchObject([{ code: 'mode', mode: 'held' }]);
    expect(hand.openAsked()).toBe(null);
    tick(hand, 31_000);
    expect(hand.run('crossing')).toBe(null);
    expect(hand.at).toBeGreaterThan(OPEN_MS);
  });

  it('of boards that have gone silent: what they were told counts on, and nothing halts it into another stop', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').hush('ferry-board').advance('2 s').stop();
    for (const id of yard.controllers.keys()) if (id !== 'ferry-board') hand.link(id, { stop: 1 });
    hand.clear();
    hand.advance('1 min');
    expect([hand.mode, hand.prop('ferry').flight?.lost]).toEqual(['held', 'let-go']);
    // it is back in the same session, having heard of nothing
    hand.beating.add('ferry-board');
    hand.advance('500 ms');
    expect(hand.fault('ferry')).toMatchObject({ code: 'no-answer' });
  });
});

describe('linked', () => {
  it('every board well, nothing latched', () => expect(linked(yard).mode).toBe('closed'));
});

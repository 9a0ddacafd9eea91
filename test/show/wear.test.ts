import { describe, expect, it } from 'vitest';
import type { NightTimes } from '../../server/plan/tonight.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import { TRAVELS } from '../../server/show/show.ts';
import { type Hand, linked } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

const MINUTE_MS = 60_000;
const EVERY_MS = 8 * MINUTE_MS;

/** Short nights, one close behind the other, so that a season takes no time. */
function night(index: number): NightTimes {
  const openMs = OPEN_MS + index * EVERY_MS;
  const date = `2026-10-${String(index + 1).padStart(2, '0')}`;
  const hours = { openMs, closeMs: openMs + 5 * MINUTE_MS, prepareMs: openMs - MINUTE_MS, quietMs: null };
  return { ...NIGHT, ...hours, date };
}

/** One crossing by hand, with the ferry's two journeys of these lengths. */
function cross(hand: Hand, outMs: number, backMs = 6000): void {
  expect(hand.run('crossing')).toBeNull();
  hand.travels('ferry', 'near', 'far', `${outMs} ms`);
  hand.plays('ferryman', '20 s').travels('ferry', 'far', 'near', `${backMs} ms`);
  hand.advance('30 s');
}

/** A whole night with these journeys out, opened by itself and closed at its hour. */
function show(hand: Hand, index: number, outMs: readonly number[], backMs = 6000): void {
  const tonight = night(index);
  hand.advance(tonight.openMs - MINUTE_MS - hand.at);
  hand.plan([], tonight).advance(MINUTE_MS);
  expect(hand.mode).toBe('open');
  for (const ms of outMs) cross(hand, ms, backMs);
  hand.advance(tonight.closeMs - hand.at + 1000);
  expect([hand.mode, hand.show.night]).toEqual(['closed', null]);
}

const three = (ms: number): number[] => [ms - 100, ms, ms + 100];

function season(outMs: readonly number[]): Hand {
  const hand = linked(landing(), { at: OPEN_MS - 2 * MINUTE_MS });
  for (const [index, ms] of outMs.entries()) show(hand, index, three(ms));
  return hand;
}

describe('slow wear', () => {
  it('is warned of at the end of the sixth night, with the nights left, and locks nothing out', () => {
    // 500 ms more each night: 6000, 6500, … 8500; from there the limit of 10 s is three nights off.
    const hand = season([6000, 6500, 7000, 7500, 8000]);
    expect(hand.prop('ferry').drift).toBeNull();
    show(hand, 5, three(8500));
    const fault = {
      code: 'drift',
      prop: 'ferry',
      move: 'out',
      tookMs: 8500,
      usualMs: 6000,
      limitMs: 10_000,
      nights: 3,
    };
    expect(hand.prop('ferry').drift).toMatchObject(fault);
    const raised = hand.lines('lockout-raised');
    expect(raised).toHaveLength(1);
    expect(raised[0]).toMatchObject({ prop: 'ferry', reason: { fault } });
    expect(hand.prop('ferry').lockout).toBeNull();
    expect(hand.prop('ferryman').drift).toBeNull();
  });

  it('of two moves is said of the one that is nearer to its limit', () => {
    const bothWays = (outStep: number, backStep: number): unknown => {
      const hand = linked(landing(), { at: OPEN_MS - 2 * MINUTE_MS });
      for (let i = 0; i < 6; i++) show(hand, i, three(6000 + outStep * i), 6000 + backStep * i);
      return hand.prop('ferry').drift;
    };
    // at 600 ms a night it stands at 9000 ms: one night; at 300 ms at 7500 ms: eight
    expect(bothWays(300, 600)).toMatchObject({ move: 'back', nights: 1 });
    expect(bothWays(600, 300)).toMatchObject({ move: 'out', nights: 1 });
  });

  it('is said again each night while it lasts, and ends by itself after the repair, once', () => {
    const hand = season([6000, 6500, 7000, 7500, 8000, 8500, 9000]);
    expect(hand.lines('lockout-raised').map((l) => l.reason.fault.nights)).toEqual([3, 2]);
    hand.fresh();
    show(hand, 7, three(6000));
    show(hand, 8, three(6000));
    expect(hand.prop('ferry').drift).toBeNull();
    expect(hand.lines('lockout-raised')).toEqual([]);
    expect(hand.lines('drift-over').map((l) => l.reason)).toEqual([
      { code: 'drift-over', prop: 'ferry', move: 'out' },
    ]);
  });

  it('is not found where nothing wears, and a night without runs is no night', () => {
    const hand = season([6000, 6010, 5990, 6000, 6010, 5990, 6000]);
    show(hand, 7, []);
    expect(hand.prop('ferry').drift).toBeNull();
    expect(hand.show.counters.nights).toBe(7);
    expect(hand.lines('lockout-raised')).toEqual([]);
  });

  it('counts no night of a move that ran less than three times, and leaves its warning as it was', () => {
    const hand = season([6000, 6500, 7000, 7500, 8000, 8500]);
    show(hand, 6, [6000, 6000]);
    expect(hand.prop('ferry').nights.out).toHaveLength(6);
    expect(hand.prop('ferry').drift).toMatchObject({ move: 'out', nights: 3 });
  });

  it('is summed up though the power was cut before the night was over', () => {
    const hand = linked(landing(), { at: OPEN_MS - 2 * MINUTE_MS });
    const tonight = night(0);
    hand.plan([], tonight).advance(tonight.openMs - hand.at);
    for (const ms of three(6000)) cross(hand, ms);
    expect(hand.prop('ferry').tonight).toEqual({ out: 3, back: 3 });
    hand.at += 2 * EVERY_MS;
    hand.take({
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-b',
      offsetMs: 0,
      stop: 0,
      cleared: 0,
      night: null,
    });
    expect(hand.prop('ferry').tonight).toEqual({});
    expect(hand.prop('ferry').nights.out).toEqual([{ night: 1, ms: 6000 }]);
  });

  it('survives a snapshot, and one from before it was kept', () => {
    const hand = season([6000, 6500, 7000, 7500, 8000, 8500]);
    expect(loadShow(saveShow(hand.show), hand.yard)).toEqual(hand.show);
    const old = JSON.parse(saveShow(hand.show));
    delete old.counters.nights;
    for (const p of Object.values<Record<string, unknown>>(old.props)) {
      delete p.tonight;
      delete p.nights;
      delete p.drift;
    }
    const back = loadShow(JSON.stringify(old), hand.yard);
    expect([back.counters.nights, back.props.ferry?.nights, back.props.ferry?.drift]).toEqual([0, {}, null]);
  });

  it('keeps twelve nights and forty times, however long the season and the night', () => {
    const hand = season(Array.from({ length: 14 }, () => 6000));
    const { nights, travels } = hand.prop('ferry');
    expect(nights.out!.map((n) => n.night)).toEqual([3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14]);
    expect(travels.out).toHaveLength(TRAVELS);
  });
});

describe('the journeys of a run', () => {
  it('stand in the line of its end, however it ends, and never those of a homing', () => {
    const hand = linked(landing(), { at: OPEN_MS - 2 * MINUTE_MS });
    hand.plan([], night(0)).advance(night(0).openMs - hand.at);
    hand.fresh();
    cross(hand, 6100, 6300);
    expect(hand.lines('run-done').map((l) => l.reason.journeys)).toEqual([
      [
        ['ferry', 'out', 6100],
        ['ferry', 'back', 6300],
      ],
    ]);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far', '6200 ms').says('ferryman', 'started').advance('1 s').stop();
    expect(hand.lines('run-stopped').map((l) => l.reason.journeys)).toEqual([[['ferry', 'out', 6200]]]);
    expect(hand.show.runs).toEqual([]);
  });

  it('are no part of a line without one', () => {
    const hand = linked(landing(), { at: OPEN_MS - 2 * MINUTE_MS });
    hand.plan([], night(0)).advance(night(0).openMs - hand.at);
    hand.run('lanterns-up');
    hand.plays('lantern', '10 s');
    expect(hand.lines('run-done').map((l) => l.reason)).toEqual([{ code: 'run-done', tookMs: 10_000 }]);
  });
});

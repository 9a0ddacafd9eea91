import { describe, expect, it } from 'vitest';
import { type Hand, opened } from './hand.ts';
import { landing } from './landing.ts';

const yard = landing();
const other = (hand: Hand, epoch: number, more: { up?: boolean; desk?: string; by?: 'desk' } = {}) =>
  hand.take({
    kind: 'deskHeard',
    desk: more.desk ?? 'desk-b',
    epoch,
    up: more.up ?? true,
    by: more.by ?? 'heartbeat',
    retained: false,
  });
const taken = (hand: Hand, epoch: number) => hand.take({ kind: 'epochTaken', epoch });

describe('Which desk drives', () => {
  it('a lower one is ignored: it stands down by the same rule', () => {
    const hand = opened(yard);
    other(hand, 0);
    expect([hand.mode, hand.show.desk.standsDown]).toEqual(['open', null]);
  });

  it('of two that are equal the greater word counts as higher', () => {
    const hand = opened(yard);
    other(hand, 1, { desk: 'desk-0' });
    expect(hand.show.desk.standsDown).toBe(null);
    other(hand, 1, { desk: 'desk-b' });
    expect(hand.show.desk.standsDown).toMatchObject({ desk: 'desk-b', epoch: 1 });
  });

  it('a higher one makes it stand down: runs are abandoned, the yard is held, no order goes out, and nothing is a fault', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').fresh();
    other(hand, 5);
    expect([hand.mode, hand.show.runs]).toEqual(['held', []]);
    // the boards follow the other and make new sessions, one after another
    hand.link('ferry-board', { epoch: 5 }).advance('300 ms').link('ferryman', { epoch: 5 });
    for (let i = 0; i < 20; i++) {
      hand.advance('250 ms');
      other(hand, 5);
    }
    expect([hand.moves, hand.kinds('haltProp'), hand.kinds('publishDesk')]).toEqual([[], [], []]);
    expect(hand.lines('lockout-raised')).toEqual([]);
    expect(hand.run('crossing')).toMatchObject([{ code: 'mode' }]);
    expect(hand.openAsked()?.map((r) => r.code)).toContain('stands-down');
    expect(hand.press('ferry', 'back')).toMatchObject([{ code: 'stands-down' }]);
  });

  it('its stop still goes out, and its clear does not', () => {
    const hand = opened(yard);
    other(hand, 5);
    hand.fresh().stop();
    expect(hand.kinds('sendStop')).toEqual([{ kind: 'sendStop', stop: 1, repeat: false }]);
    expect(hand.clear()?.map((r) => r.code)).toEqual(['stands-down']);
  });

  it('begins anew, above the other, when that has been silent for twice the silence, and starts nothing by it', () => {
    const hand = opened(yard);
    other(hand, 5);
    hand.fresh().advance('1999 ms');
    expect(hand.kinds('takeEpoch')).toEqual([]);
    hand.advance('1 ms');
    expect(hand.kinds('takeEpoch')).toEqual([{ kind: 'takeEpoch', above: 5 }]);
    // nothing is said and nothing moves until the number is on disk
    expect(hand.openAsked()?.map((r) => r.code)).toContain('stands-down');
    hand.fresh();
    taken(hand, 6);
    expect(hand.all.map((e) => e.kind)).toEqual(['record', 'publishDesk', 'announce']);
    expect([hand.mode, hand.show.desk]).toMatchObject(['held', { epoch: 6, standsDown: null }]);
    hand.advance('5 min');
    expect(hand.moves).toEqual([]);
    expect(hand.openAsked()).toBe(null);
  });

  it('at once where the other’s will says that it is gone', () => {
    const hand = opened(yard);
    other(hand, 5);
    other(hand, 5, { up: false, by: 'desk' });
    hand.fresh().advance('1 ms');
    expect(hand.kinds('takeEpoch')).toEqual([{ kind: 'takeEpoch', above: 5 }]);
  });

  it('stays down where one higher still was heard while its own number was being written', () => {
    const hand = opened(yard);
    other(hand, 5);
    hand.advance('2 s');
    other(hand, 9);
    taken(hand, 6);
    expect(hand.show.desk.standsDown).toMatchObject({ epoch: 9 });
    hand.fresh().advance('2 s');
    expect(hand.kinds('takeEpoch')).toEqual([{ kind: 'takeEpoch', above: 9 }]);
  });

  it('one of the same number that came and went while it was away: boards may follow it, so the number rises', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').fresh();
    other(hand, 1, { desk: 'desk-0', up: false, by: 'desk' });
    other(hand, 0, { up: false, by: 'desk' });
    expect(hand.kinds('takeEpoch')).toEqual([]);
    other(hand, 1, { up: false, by: 'desk' });
    other(hand, 1, { up: false, by: 'desk' });
    expect(hand.kinds('takeEpoch')).toEqual([{ kind: 'takeEpoch', above: 1 }]);
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'no-bus' }]);
    taken(hand, 2);
    for (const id of yard.controllers.keys()) hand.link(id, { epoch: 2 });
    expect([hand.mode, hand.show.desk.epoch, hand.prop('ferry').flight]).toEqual(['open', 2, null]);
  });

  it('a board that follows a higher one that is not about: runs end, the number rises above it, and nothing moves meanwhile', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.says('ferry', 'started').fresh().link('bell', { epoch: 7 });
    expect(hand.kinds('takeEpoch')).toEqual([{ kind: 'takeEpoch', above: 7 }]);
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'no-bus' }]);
    // asked once, however often the board says so
    hand.fresh().link('bell', { epoch: 7 });
    expect(hand.kinds('takeEpoch')).toEqual([]);
    taken(hand, 8);
    for (const id of yard.controllers.keys()) hand.link(id, { epoch: 8 });
    expect([hand.mode, hand.show.desk.epoch, hand.prop('ferry').flight]).toEqual(['open', 8, null]);
    expect(hand.lines('lockout-raised')).toEqual([]);
  });

  it('asks for its number again where the disk refused it, and takes none twice', () => {
    const hand = opened(yard).fresh();
    hand.link('bell', { epoch: 7 }).advance('4999 ms');
    expect(hand.kinds('takeEpoch')).toHaveLength(1);
    hand.advance('1 ms');
    expect(hand.kinds('takeEpoch')).toHaveLength(2);
    taken(hand, 8);
    const { desk } = hand.show;
    taken(hand, 8);
    expect(hand.show.desk).toEqual(desk);
    hand.fresh().advance('10 s');
    expect(hand.kinds('takeEpoch')).toEqual([]);
  });

  it('waits for the highest that it has asked for', () => {
    const hand = opened(yard).link('bell', { epoch: 7 }).link('bell', { epoch: 9 });
    taken(hand, 8);
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'no-bus' }]);
    taken(hand, 10);
    expect([hand.show.desk.epoch, hand.show.desk.takingAbove]).toEqual([10, 0]);
  });

  it('a late will of its own is said over', () => {
    const hand = opened(yard).fresh();
    other(hand, 1, { desk: 'desk-a', up: false, by: 'desk' });
    expect(hand.kinds('publishDesk')).toHaveLength(1);
  });

  it('is never higher by a will alone', () => {
    const hand = opened(yard);
    other(hand, 9, { up: false, by: 'desk' });
    expect(hand.show.desk.standsDown).toBe(null);
  });
});

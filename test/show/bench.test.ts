import { describe, expect, it } from 'vitest';
import { type Hand, linked, opened } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

const yard = landing();
const keep = (hand: Hand, ms: number, press = 'p', move = 'out'): void => {
  for (let t = 0; t < ms; t += 100) {
    hand.advance('100 ms');
    expect(hand.press('ferry', move, press)).toBe(null);
  }
};
const lift = (hand: Hand, press = 'p') =>
  hand.ask({ kind: 'benchLifted', by: 'keeper', prop: 'ferry', press });

describe('The bench', () => {
  it('one move, only closed or held', () => {
    expect(linked(yard).press('ferry', 'out')).toBe(null);
    const held = opened(yard);
    expect(held.press('ferry', 'out')).toEqual([{ code: 'mode', mode: 'open' }]);
    held.ask({ kind: 'holdAsked', by: 'ann' });
    expect(held.press('ferry', 'out')).toBe(null);
    held.stop();
    expect(held.press('ferry', 'back')).toEqual([{ code: 'mode', mode: 'stopped' }]);
  });

  it('moves while the press is repeated, and 250 ms without it halts', () => {
    const hand = linked(yard).fresh();
    hand.press('ferry', 'out', 'p');
    hand.says('ferry', 'started').sense('ferry.near', false);
    keep(hand, 2000);
    expect(hand.halts).toEqual([]);
    hand.advance('249 ms');
    expect(hand.halts).toEqual([]);
    hand.advance('1 ms');
    expect(hand.halts).toEqual(['ferry']);
  });

  it('is halted by letting go, and that press never moves anything again', () => {
    const hand = linked(yard).fresh();
    hand.press('ferry', 'out', 'p');
    hand.says('ferry', 'started').sense('ferry.near', false);
    lift(hand);
    expect(hand.halts).toEqual(['ferry']);
    hand.says('ferry', 'halted').fresh();
    for (let i = 0; i < 5; i++) {
      expect(hand.press('ferry', 'out', 'p')).toBe(null);
      hand.advance('100 ms');
    }
    expect(hand.moves).toEqual([]);
    expect(hand.press('ferry', 'out', 'q')).toBe(null);
    expect(hand.moves).toEqual(['ferry.out']);
  });

  it('letting go that overtakes its press spends it', () => {
    const hand = linked(yard).fresh();
    lift(hand);
    expect(hand.press('ferry', 'out', 'p')).toBe(null);
    expect(hand.moves).toEqual([]);
  });

  it('that has come to its end moves no further while the press goes on', () => {
    const hand = linked(yard).fresh();
    hand.press('ferry', 'out', 'p');
    hand.says('ferry', 'started').sense('ferry.near', false);
    keep(hand, 6000);
    hand.sense('ferry.far', true).says('ferry', 'done');
    keep(hand, 1000);
    expect(hand.moves).toEqual(['ferry.out']);
  });

  it('moves a locked-out prop and one of unknown position, which it leaves unknown; needs and limits bind', () => {
    const hand = linked(yard).sense('ferry.near', false).fresh();
    expect(hand.prop('ferry').known).toBe(false);
    hand.lockout('ferry');
    expect(hand.press('ferry', 'back', 'p')).toBe(null);
    hand.says('ferry', 'started').advance('200 ms');
    lift(hand);
    hand.says('ferry', 'halted');
    expect([hand.prop('ferry').known, hand.fault('ferry')?.code]).toEqual([false, 'by-hand']);
    expect(hand.press('ferryman', 'row')).toMatchObject([{ code: 'need', seen: 'not-made' }]);
  });

  it('is told what it asks wrongly', () => {
    const hand = linked(yard);
    expect(hand.press('ferry', 'fly')).toEqual([{ code: 'unknown-move', prop: 'ferry', move: 'fly' }]);
    hand.press('ferry', 'out', 'p');
    expect(hand.press('ferry', 'back', 'q')).toEqual([{ code: 'moving', prop: 'ferry', move: 'out' }]);
    const running = opened(yard);
    running.run('crossing');
    running.ask({ kind: 'holdAsked', by: 'ann' });
    expect(running.press('ferry', 'back')).toEqual([{ code: 'held', prop: 'ferry', scene: 'crossing' }]);
  });

  it('is let go when the yard opens by itself, and nothing of it is told again', () => {
    const hand = linked(yard, { at: OPEN_MS - NIGHT.noticeMs - 500 })
      .plan([])
      .fresh();
    hand.press('ferry', 'out', 'p');
    // unanswered so far: at 1 s it would be told again
    for (let t = 0; t < 400; t += 100) {
      hand.advance('100 ms');
      hand.press('ferry', 'out', 'p');
    }
    hand.advance('100 ms');
    expect([hand.mode, hand.halts]).toEqual(['opening', ['ferry']]);
    hand.advance('700 ms');
    expect(hand.moves).toEqual(['ferry.out']);
  });

  it('is let go when a person closes a held yard', () => {
    const hand = opened(yard);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    hand.press('ferry', 'out', 'p');
    hand.says('ferry', 'started').fresh();
    hand.ask({ kind: 'closeAsked', by: 'ann' });
    expect(hand.halts).toEqual(['ferry']);
  });

  it('a stop ends every press', () => {
    const hand = linked(yard);
    hand.press('ferry', 'out', 'p');
    hand.stop();
    for (const id of yard.controllers.keys()) hand.link(id, { stop: 1 });
    hand.clear();
    hand.sense('ferry.near', true).fresh();
    expect(hand.press('ferry', 'out', 'p')).toBe(null);
    expect(hand.moves).toEqual([]);
  });

  it('keeps no times and raises no interlock of its own end', () => {
    const hand = linked(yard);
    hand.press('ferry', 'out', 'p');
    hand.says('ferry', 'started').sense('ferry.near', false);
    keep(hand, 6000);
    hand.sense('ferry.far', true).says('ferry', 'done');
    expect([hand.prop('ferry').travels, hand.fault('ferry')]).toEqual([{}, null]);
  });
});

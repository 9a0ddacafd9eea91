import { expect, it } from 'vitest';
import { opened } from './hand.ts';
import { landing } from './landing.ts';

it('a lockout that goes as the board answers the stop is in the record as ended, so that a report knows how long it was', () => {
  const yard = landing();
  const hand = opened(yard).stop();
  for (const id of yard.controllers.keys()) if (id !== 'ferry-board') hand.link(id, { stop: 1 });
  expect(hand.clear()).toBeNull();
  expect(hand.lines('lockout-raised').map((l) => [l.prop, l.reason.fault.code])).toEqual([
    ['ferry', 'no-answer'],
  ]);
  hand.fresh().advance('5 s').link('ferry-board', { stop: 1 });
  expect(hand.fault('ferry')).toBeNull();
  expect(hand.lines('lockout-released').map((l) => [l.prop, l.reason])).toEqual([
    ['ferry', { code: 'lockout-released', by: 'its answer', fault: 'no-answer' }],
  ]);
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Yard } from '../../server/yard/types.ts';
import { anyHappening, Player } from './any.ts';
import { landing, withGate } from './landing.ts';

const RUNS = Number(process.env.ANY_RUNS ?? 300);

const YARDS = {
  'the landing': landing(),
  'the landing with a watched red button': withGate(),
  'a landing that opens again after a cut': landing(['latitude: 41.88', 'restart: auto, latitude: 41.88']),
};

const happeningsOf = (yard: Yard) => fc.array(anyHappening(yard), { maxLength: 150, size: 'max' });

describe('any facts in any order', () => {
  for (const [name, yard] of Object.entries(YARDS)) {
    it(`never throw, break an invariant, write to what they were given, or make the timer spin: ${name}`, () => {
      fc.assert(
        fc.property(fc.boolean(), happeningsOf(yard), (open, happenings) => {
          const player = new Player(yard, open);
          for (const h of happenings) player.play(h);
          player.hand.advance('5 s');
          const saved = saveShow(player.hand.show);
          expect(saveShow(loadShow(saved, yard))).toBe(saved);
        }),
        { numRuns: RUNS },
      );
    }, 120_000);
  }
});

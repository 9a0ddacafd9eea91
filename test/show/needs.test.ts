import { describe, expect, it } from 'vitest';
import { against } from '../../server/show/interlock.ts';
import type { Need } from '../../server/yard/types.ts';
import { tick } from './any.ts';
import { type Hand, linked, opened } from './hand.ts';
import { landing } from './landing.ts';

const yard = landing();
const NEEDS = {
  'hatch.shut': { kind: 'made', prop: 'hatch', sensor: 'shut' },
  'not hatch.shut': { kind: 'not-made', prop: 'hatch', sensor: 'shut' },
  'hatch at rest': { kind: 'at-rest', prop: 'hatch' },
  'hatch at home': { kind: 'at-home', prop: 'hatch' },
} as const satisfies Record<string, Need>;

/** What the hatch does and what its board says of it. */
const HATCH: Readonly<Record<string, (hand: Hand) => unknown>> = {
  'shut and at rest': () => {},
  'open and at rest': (h) => h.sense('hatch.shut', false),
  'shut and moving': (h) => h.press('hatch', 'slam'),
  'open and moving': (h) => {
    h.press('hatch', 'slam');
    h.says('hatch', 'started').sense('hatch.shut', false);
  },
  'not heard for a second': (h) => h.hush('hatch').advance('1100 ms'),
  'its will has come': (h) => h.will('hatch'),
  'a new session without a word of its sensor': (h) => h.link('hatch'),
  'a new session, and the sensor’s word of the old one': (h) => {
    const old = h.session('hatch');
    h.link('hatch').sense('hatch.shut', true, { session: old });
  },
};

const SEEN: Readonly<Record<keyof typeof NEEDS, readonly (string | null)[]>> = {
  'hatch.shut': [null, 'not-made', null, 'not-made', 'silent', 'silent', 'unknown', 'unknown'],
  'not hatch.shut': ['made', null, 'made', null, 'silent', 'silent', 'unknown', 'unknown'],
  'hatch at rest': [null, null, 'moving', 'moving', 'silent', 'silent', null, null],
  'hatch at home': [null, 'away', 'moving', 'moving', 'silent', 'silent', 'away', 'away'],
};

describe('A need', () => {
  for (const [name, need] of Object.entries(NEEDS))
    Object.entries(HATCH).forEach(([state, bring], i) => {
      const seen = SEEN[name as keyof typeof NEEDS][i]!;
      it(`${name}, the hatch ${state}: ${seen ?? 'holds'}`, () => {
        const hand = linked(yard);
        bring(hand);
        expect(against(hand.show, need, hand.at)).toBe(seen);
      });
    });

  it('that is lost halts its prop in the same turn, from the order to the end of the move', () => {
    for (const when of ['told', 'moving'] as const) {
      const hand = opened(
        landing(['needs: [ferry.far], load', 'needs: [ferry.far, not path-mat.step], load']),
      );
      hand.run('crossing');
      hand.travels('ferry', 'near', 'far');
      if (when === 'moving') hand.says('ferryman', 'started').advance('5 s');
      hand.fresh().sense('path-mat.step', true);
      expect(hand.halts).toEqual(['ferryman']);
      expect(hand.fault('ferryman')).toMatchObject({
        code: 'interlock-lost',
        move: 'row',
        need: { kind: 'not-made', prop: 'path-mat', sensor: 'step' },
        why: 'made',
      });
    }
  });

  it('binds until the move ends: for one that ends at a sensor, when that is made', () => {
    const ends = landing(
      [
        'until: shut, usual: 1 s, limit: 4 s',
        'until: shut, usual: 1 s, limit: 4 s, needs: [not path-mat.step]',
      ],
      ['    on: path-mat.step\n    again-after: 30 s\n', ''],
    );
    const hand = linked(ends);
    hand.sense('hatch.shut', false);
    hand.press('hatch', 'close');
    hand.says('hatch', 'started').sense('hatch.shut', true).sense('path-mat.step', true);
    expect(hand.fault('hatch')).toBe(null);
    const early = linked(ends);
    early.sense('hatch.shut', false);
    early.press('hatch', 'close');
    early.says('hatch', 'started').sense('path-mat.step', true);
    expect(early.fault('hatch')?.code).toBe('interlock-lost');
  });

  it('binds every way to start a move: scene, trigger, bench, homing, tidying', () => {
    const mat = landing(
      [
        'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
        'until: near, usual: 6 s, limit: 10 s, needs: [not path-mat.step]',
      ],
      ['    on: path-mat.step\n    again-after: 30 s\n', ''],
    );
    const bench = linked(mat).sense('path-mat.step', true).fresh();
    expect(bench.press('ferry', 'back')).toMatchObject([{ code: 'need', prop: 'ferry', seen: 'made' }]);
    const home = linked(mat).sense('ferry.near', false).sense('ferry.far', true).sense('path-mat.step', true);
    home.plan([]).advance('1 h').advance('119 s');
    expect([home.mode, home.moves]).toEqual(['opening', []]);
    home.advance('2 s');
    expect([home.mode, home.moves]).toEqual(['open', []]);
    expect(home.prop('ferry').setAside).toMatchObject({ code: 'need', seen: 'made' });
    const tidy = opened(mat);
    tidy.run('crossing');
    tidy.travels('ferry', 'near', 'far');
    tidy.says('ferryman', 'started').sense('path-mat.step', true).fresh();
    tidy.lockout('ferryman');
    tidy.says('ferryman', 'halted');
    expect(tidy.moves).toEqual([]);
    expect(tidy.lines('tidy-passed-over')).toMatchObject([
      { reason: { move: 'back', for: { code: 'need' } } },
    ]);
  });

  it('of another keeps a prop where it is: the ferry does not leave far while the ferryman rows', () => {
    const free = landing(['limit: 10 s, needs: [ferryman at rest]', 'limit: 10 s']);
    const hand = linked(free).sense('ferry.near', false).sense('ferry.far', true);
    expect(hand.press('ferryman', 'row')).toBe(null);
    expect(hand.press('ferry', 'back')).toEqual([
      { code: 'needed-there', prop: 'ferry', by: 'ferryman', move: 'row' },
    ]);
    // out leads to where he needs it
    expect(hand.press('ferry', 'out')).toBe(null);
  });

  it('of another keeps a prop from coming where it must not be, by the times expected', () => {
    const clear = landing(
      ['lasts: 20 s, limit: 25 s, needs: [ferry.far]', 'lasts: 20 s, limit: 25 s, needs: [not ferry.far]'],
      ['steps: [ferry.out, ferryman.row, ferry.back]', 'steps: [ferryman.row, ferry.back]'],
      [
        'until: far, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
        'until: far, usual: 6 s, limit: 10 s',
      ],
    );
    const hand = linked(clear);
    hand.press('ferryman', 'row');
    expect(hand.press('ferry', 'out')).toMatchObject([{ code: 'needed-there', by: 'ferryman' }]);
    hand.says('ferryman', 'started');
    // he is done in five seconds, and it takes six
    for (let i = 0; i < 75; i++) {
      hand.press('ferryman', 'row', 'p1');
      hand.advance('200 ms');
    }
    expect(hand.press('ferry', 'out')).toBe(null);
  });

  it('on the rest of a prop holds off until its board says done, however late that is', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').advance('24 s');
    expect(hand.moves).toEqual(['ferry.out', 'ferryman.row']);
    hand.says('ferryman', 'done');
    expect(hand.moves).toEqual(['ferry.out', 'ferryman.row', 'ferry.back']);
  });

  it('that names the failed prop under a lost link is told, and both come back by themselves', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').advance('2 s').fresh();
    hand.hush('ferry-board').advance('1100 ms');
    expect(hand.halts).toEqual(['ferryman']);
    expect(hand.lines('lockout-raised').map((l) => l.reason.fault)).toMatchObject([
      { code: 'link-lost', prop: 'ferry' },
      { code: 'interlock-lost', prop: 'ferryman', first: 'ferry', why: 'silent' },
    ]);
    expect([hand.fault('ferry'), hand.fault('ferryman')]).toEqual([null, null]);
    // said once, however much comes in the same moment
    hand.sense('hatch.shut', true);
    expect(hand.lines('lockout-raised')).toHaveLength(2);
  });

  it('under a lost link is not locked out later either, as its halt is said again', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').advance('2 s');
    hand.will('ferry-board').advance('900 ms');
    expect(hand.halts.filter((h) => h === 'ferryman').length).toBeGreaterThan(2);
    expect(hand.fault('ferryman')).toBe(null);
  });

  it('of a move that was lost with its own link is no fault, whoever comes back first', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').advance('2 s');
    hand.hush('ferry-board').hush('ferryman').advance('1500 ms');
    const before = hand.lines('lockout-raised').length;
    // the network was away for a moment: the figure's board is heard again before the carriage's
    hand.take({ kind: 'beatsHeard', beats: [['ferryman', hand.session('ferryman'), hand.at]] });
    hand.advance('10 ms');
    hand.take({ kind: 'beatsHeard', beats: [['ferry-board', hand.session('ferry-board'), hand.at]] });
    expect(hand.lines('lockout-raised')).toHaveLength(before);
    expect([hand.fault('ferry'), hand.fault('ferryman')]).toEqual([null, null]);
  });

  it('whichever board is heard first after the silence: the lost link is judged before the need', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started').advance('2 s').fresh();
    hand.hush('ferry-board');
    const stale = hand.show.controllers['ferry-board']!.heardAt + 1001;
    hand.advance(stale - hand.at - 1);
    hand.at = stale;
    // a word of the hatch comes in the very millisecond, before the timer
    hand.sense('hatch.shut', true);
    expect(hand.lines('lockout-raised').map((l) => l.reason.fault.code)).toEqual([
      'link-lost',
      'interlock-lost',
    ]);
    expect(hand.fault('ferryman')).toBe(null);
  });

  it('of a locked-out prop on the bench binds too', () => {
    const hand = linked(landing(['needs: [ferry.far], load', 'needs: [ferry.far, not path-mat.step], load']))
      .sense('ferry.near', false)
      .sense('ferry.far', true);
    hand.lockout('ferryman');
    expect(hand.press('ferryman', 'row')).toBe(null);
    hand.says('ferryman', 'started').fresh().sense('path-mat.step', true);
    expect(hand.halts).toEqual(['ferryman']);
  });

  it('is waited for by a step until it holds', () => {
    const hand = opened(yard);
    hand.run('crossing');
    tick(hand, 40_000);
    expect(hand.moves).toEqual(['ferry.out', 'ferryman.row', 'ferry.back']);
  });
});

import { describe, expect, it } from 'vitest';
import { tick } from './any.ts';
import { atHome, type Hand, linked, opened, started } from './hand.ts';
import { HOUR_MS, NIGHT, OPEN_MS, withGate } from './landing.ts';

const yard = withGate();
const push = (hand: Hand): Hand => hand.sense('gate.button', true);
const inMode = {
  opening: () => {
    const hand = linked(yard, { at: OPEN_MS + HOUR_MS }).plan([], { ...NIGHT, opensByItself: false });
    hand.openAsked();
    return hand;
  },
  open: () => opened(yard),
  held: () => {
    const hand = opened(yard);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    return hand;
  },
  closing: () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.ask({ kind: 'closeAsked', by: 'ann' });
    return hand;
  },
} as const;

describe('A stop station', () => {
  for (const [mode, make] of Object.entries(inMode)) {
    it(`pressed while ${mode} is a stop`, () => {
      const hand = push(make());
      expect([hand.mode, hand.show.stop.by]).toEqual(['stopped', 'station gate pressed']);
    });

    it(`not heard while ${mode} is a stop, a silence after it was last heard`, () => {
      const hand = make().hush('gate');
      const { heardAt } = hand.show.controllers.gate!;
      hand.advance(heardAt + 1000 - hand.at);
      expect(hand.mode).toBe(mode);
      hand.advance('1 ms');
      expect([hand.mode, hand.show.stop.by]).toEqual(['stopped', 'station gate silent']);
    });

    it(`gone while ${mode} is a stop at once`, () => {
      expect(make().will('gate').mode).toBe('stopped');
    });
  }

  it('in a closed yard at rest only bars opening and the bench', () => {
    for (const bring of [push, (h: Hand) => h.hush('gate').advance('1100 ms'), (h: Hand) => h.will('gate')]) {
      const hand = linked(yard).plan([]);
      bring(hand);
      expect(hand.mode).toBe('closed');
      expect(hand.press('ferry', 'out')?.[0]?.code).toMatch(/^station-(in|silent)$/);
      hand.advance(OPEN_MS - NIGHT.noticeMs - hand.at);
      expect(hand.mode).toBe('closed');
      expect(hand.show.openingWaits[0]?.code).toMatch(/^station-(in|silent)$/);
    }
  });

  it('in a closed yard while anything moves is a stop', () => {
    const hand = linked(yard);
    hand.press('ferry', 'out');
    push(hand);
    expect(hand.mode).toBe('stopped');
  });

  it('from the desk’s start to the first reading, 10 s at most: nothing moves, and silence is not yet a stop', () => {
    const hand = started(yard, { night: NIGHT, at: OPEN_MS + HOUR_MS });
    for (const id of yard.controllers.keys()) if (id !== 'gate') hand.link(id);
    atHome(
      hand,
      [...yard.controllers.keys()].filter((c) => c !== 'gate'),
    );
    expect(hand.mode).toBe('held');
    expect(hand.openAsked()).toEqual([{ code: 'station-not-heard', prop: 'gate' }]);
    expect(hand.press('ferry', 'out')).toEqual([{ code: 'station-not-heard', prop: 'gate' }]);
    hand.advance('9999 ms');
    expect(hand.mode).toBe('held');
    hand.advance('1 ms');
    expect([hand.mode, hand.show.stop.by]).toEqual(['stopped', 'station gate silent']);
  });

  it('heard in that time it is taken at its word from then on', () => {
    const hand = started(yard, { night: NIGHT, at: OPEN_MS + HOUR_MS });
    hand.link('gate').sense('gate.button', false);
    expect(hand.openAsked()).toBe(null);
    const pressed = started(yard, { night: NIGHT, at: OPEN_MS + HOUR_MS });
    push(pressed.link('gate'));
    expect(pressed.mode).toBe('stopped');
  });

  it('heard and then lost within those ten seconds is a stop like any other', () => {
    const hand = started(yard, { night: NIGHT, at: OPEN_MS + HOUR_MS });
    hand.link('gate').sense('gate.button', false);
    hand.hush('gate').advance('1100 ms');
    expect(hand.mode).toBe('stopped');
  });

  it('pressed while stopped keeps the number, and bars the clear until it is out', () => {
    const hand = opened(yard).stop();
    push(hand);
    expect(hand.show.stop.n).toBe(1);
    expect(hand.clear()).toEqual([{ code: 'station-in', prop: 'gate' }]);
    hand.sense('gate.button', false);
    expect(hand.clear()).toBe(null);
  });

  it('returning or released starts nothing', () => {
    const hand = push(opened(yard));
    hand.fresh().sense('gate.button', false).advance('10 min');
    expect([hand.mode, hand.moves]).toEqual(['stopped', []]);
  });

  it('is disabled by no fault and no lockout', () => {
    const hand = opened(yard);
    // another controller claims it: told, and it stops the yard all the same
    hand.take({
      kind: 'linkHeard',
      controller: 'hatch',
      up: true,
      session: hand.session('hatch'),
      first: hand.session('hatch'),
      props: ['hatch', 'gate'],
      stop: 0,
      epoch: 1,
      retained: false,
    });
    expect(hand.fault('gate')?.code).toBe('two-boards');
    push(hand);
    expect(hand.mode).toBe('stopped');
    expect(hand.lockout('gate')).toEqual([{ code: 'station-cannot', prop: 'gate' }]);
  });

  it('stops at its will though the will is retained, and at a retained word that it is pressed', () => {
    const hand = opened(yard);
    hand.sense('gate.button', true, { retained: true });
    expect(hand.mode).toBe('stopped');
  });

  it('lets a night run its course while it is well', () => {
    const hand = opened(yard);
    hand.run('crossing');
    tick(hand, 60_000);
    expect([hand.mode, hand.lines('run-done').length]).toEqual(['open', 1]);
  });
});

import { describe, expect, it } from 'vitest';
import { MODES_FROM } from '../../server/show/check.ts';
import type { Mode } from '../../server/show/reasons.ts';
import { tick } from './any.ts';
import { type Hand, linked, opened } from './hand.ts';
import { HOUR_MS, landing, NIGHT, OPEN_MS } from './landing.ts';

const yard = landing();
const MODES = Object.keys(MODES_FROM) as Mode[];
const BY_HAND = { ...NIGHT, opensByItself: false };

/** A yard in each mode, within the night's hours, with all at home and nothing under way. */
const IN: Readonly<Record<Mode, () => Hand>> = {
  closed: () => linked(yard, { at: OPEN_MS + HOUR_MS }).plan([], BY_HAND),
  opening: () => {
    const hand = IN.closed();
    hand.openAsked();
    return hand;
  },
  open: () => opened(yard, [], BY_HAND_OPEN),
  held: () => {
    const hand = IN.open();
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    return hand;
  },
  closing: () => {
    const hand = IN.open();
    // away from home, so that closing takes its time
    hand.run('crossing');
    hand.ask({ kind: 'closeAsked', by: 'ann' });
    return hand;
  },
  stopped: () => IN.open().stop(),
};
const BY_HAND_OPEN = NIGHT;

/** What people and time do. Answers whether it was refused. */
const ACTS: Readonly<Record<string, (hand: Hand) => unknown>> = {
  open: (h) => h.openAsked(),
  hold: (h) => h.ask({ kind: 'holdAsked', by: 'ann' }),
  close: (h) => h.ask({ kind: 'closeAsked', by: 'ann' }),
  stop: (h) => void h.stop(),
  clear: (h) => h.clear(),
  'the notice ends': (h) => void h.advance('31 s'),
  'the hour of closing': (h) => {
    h.at = NIGHT.closeMs;
    for (const id of h.yard.controllers.keys())
      h.take({ kind: 'beatsHeard', beats: [[id, h.session(id), h.at]] });
    h.take({ kind: 'timeReached' });
  },
  'another desk takes over': (h) =>
    void h.take({ kind: 'deskHeard', desk: 'desk-b', epoch: 9, up: true, by: 'heartbeat', retained: false }),
  'a start of the yard computer': (h) =>
    void h.take({
      kind: 'deskStarted',
      epoch: 2,
      word: 'desk-c',
      offsetMs: 0,
      stop: 0,
      cleared: 0,
      night: NIGHT,
    }),
  'a lost bus': (h) => void h.take({ kind: 'busLost' }),
  'a board that returns': (h) => void h.link('ferry-board'),
};

const SAME = null;
/** Mode after each act; `SAME`: it stays, and where a person asked, the asker is told why. */
const TO: Readonly<Record<Mode, Readonly<Partial<Record<keyof typeof ACTS, Mode | null>>>>> = {
  closed: { open: 'opening', stop: 'stopped', 'a start of the yard computer': 'held' },
  opening: {
    hold: 'held',
    close: 'closed',
    stop: 'stopped',
    'the notice ends': 'open',
    'the hour of closing': 'closed',
    'another desk takes over': 'held',
    'a start of the yard computer': 'held',
  },
  open: {
    hold: 'held',
    close: 'closed',
    stop: 'stopped',
    'the hour of closing': 'closed',
    'another desk takes over': 'held',
    'a start of the yard computer': 'held',
  },
  held: { open: 'opening', close: 'closed', stop: 'stopped', 'the hour of closing': 'closed' },
  closing: {
    stop: 'stopped',
    // the ferry is told and says nothing: it is halted, and its silence to that stops the yard
    'the notice ends': 'stopped',
    'another desk takes over': 'held',
    'a start of the yard computer': 'held',
  },
  stopped: { clear: 'held' },
};

/** Acts of people that change nothing and are no refusal: they were so already. */
const IDLE = ['closed close', 'held hold', 'closing close'];

describe('the modes of the night', () => {
  for (const mode of MODES) {
    for (const [name, act] of Object.entries(ACTS)) {
      const to = TO[mode][name] ?? SAME;
      it(`${mode}, ${name}: ${to ?? 'stays'}`, () => {
        const hand = IN[mode]();
        expect(hand.mode).toBe(mode);
        const refused = act(hand);
        // all stands at home, so an opening or a closing with nothing to wait for is over in the same turn
        expect(hand.mode).toBe(to ?? mode);
        if (to !== SAME) expect(refused ?? null).toBe(null);
        else if (refused !== undefined && !IDLE.includes(`${mode} ${name}`))
          expect((refused as readonly unknown[]).length).toBeGreaterThan(0);
      });
    }
  }

  it('lead only where the table has it, or through one that is over at once', () => {
    for (const mode of MODES) {
      for (const to of Object.values(TO[mode])) {
        if (to === undefined || to === SAME) continue;
        const through = MODES_FROM[mode].some((via) => MODES_FROM[via].includes(to));
        expect([mode, to, MODES_FROM[mode].includes(to) || through]).toEqual([mode, to, true]);
      }
    }
  });

  it('never lead from a stop to anything but held, and never to open but by an opening', () => {
    expect(MODES_FROM.stopped).toEqual(['held']);
    for (const mode of MODES) if (MODES_FROM[mode].includes('open')) expect(mode).toBe('opening');
  });

  it('a held yard in which something still runs at close is closed once that has ended', () => {
    const hand = opened(yard);
    hand.at = NIGHT.closeMs - 80_000;
    for (const id of yard.controllers.keys()) hand.link(id);
    for (const s of ['ferry.near', 'hatch.shut']) hand.sense(s, true);
    for (const s of ['ferry.far', 'path-mat.step']) hand.sense(s, false);
    hand.advance('40 s');
    expect(hand.run('crossing')).toBe(null);
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    // it was started in time, and then the ferryman rows slowly
    tick(hand, 30_000);
    hand.take({ kind: 'clockStepped', offsetMs: 30_000 });
    expect(hand.mode).toBe('held');
    expect(hand.show.night).not.toBe(null);
    tick(hand, 10_000);
    expect([hand.mode, hand.show.night, hand.show.runs]).toEqual(['closed', null, []]);
  });

  it('closing ends though a board goes silent in the middle of it', () => {
    const hand = IN.closing();
    hand.says('ferry', 'started').sense('ferry.near', false);
    hand.hush('ferry-board').advance('2 s');
    expect(hand.fault('ferry')).toBe(null);
    hand.advance('130 s');
    expect(hand.mode).toBe('closed');
    expect(hand.prop('ferry').setAside).toMatchObject({ code: 'silent' });
  });
});

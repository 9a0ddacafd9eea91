import { describe, expect, test } from 'vitest';
import type { Reason } from '../../server/show/reasons.ts';
import { agree, small } from '../../server/words/en/names.ts';
import { GROUPS, SENTENCES } from '../../server/words/en/reasons.ts';
import { say, sayAll, sayEntry } from '../../server/words/reasons.ts';
import { expectPlain, expectSentences } from './plain.ts';
import { SAMPLED_CODES, samplesOf } from './samples.ts';
import { at, atClock, context } from './yard.ts';

const locked = { code: 'locked-out', prop: 'ferry', fault: 'travel-slow' } as const;

describe('a sentence for every code', () => {
  test('codes with sentences and codes with samples are the same', () => {
    expect([...SAMPLED_CODES].sort()).toEqual([...Object.keys(SENTENCES), 'lockout-raised'].sort());
  });

  test('no code stands in two groups, where one would hide the other', () => {
    const all = GROUPS.flatMap((g) => Object.keys(g));
    expect(new Set(all).size).toBe(all.length);
  });

  test.each(SAMPLED_CODES)('%s is said in plain whole sentences', (code) => {
    for (const reason of samplesOf(code)) {
      expectSentences(say(reason, context), `${code} without the present`);
      expectSentences(say(reason, atClock('21:14:01')), code);
    }
  });

  test.each(SAMPLED_CODES)('%s can stand inside another sentence', (code) => {
    for (const reason of samplesOf(code) as Reason[]) {
      const text = say({ code: 'asked-refused', for: reason }, context);
      expectPlain(text, code);
      expect(text).toMatch(/^Asked for by hand, but not started: .+\.$/);
    }
  });

  test.each(SAMPLED_CODES)('%s of things that the yard no longer has is said by their ids', (code) => {
    const bare = { ...context, yard: { ...context.yard } };
    for (const list of ['props', 'scenes', 'circuits', 'tanks', 'zones', 'controllers'] as const)
      Object.assign(bare.yard, { [list]: new Map() });
    for (const reason of samplesOf(code)) expectPlain(say(reason, bare), code);
  });
});

describe('as a person of the trade would say it', () => {
  const said: [Reason, string][] = [
    [
      {
        code: 'waits',
        prop: 'ferryman',
        move: 'row',
        sinceMs: at('21:13:58') - 200,
        limitMs: 12_000,
        for: {
          code: 'need',
          prop: 'ferryman',
          move: 'row',
          need: { kind: 'made', prop: 'ferry', sensor: 'far' },
          seen: 'not-made',
        },
      },
      "Ferryman waits: ferry's far sensor not made yet, 3.2 of 12 s.",
    ],
    [
      {
        code: 'lockout-raised',
        fault: {
          code: 'travel-slow',
          prop: 'ferry',
          at: at('21:14:11'),
          move: 'out',
          sensor: 'far',
          other: 'near',
          leftAt: at('21:13:58'),
          tookMs: 13_000,
          usualMs: 7100,
          limitMs: 12_000,
        },
      },
      'Ferry locked out. Left near at 21:13:58, far not made after 12.0 s (usual 7.1 s). Look for a jam, then the belt. Release moves nothing.',
    ],
    [
      {
        code: 'trigger-refused',
        prop: 'path-mat',
        sensor: 'step',
        for: { code: 'zone', zone: 'pond', atMost: 1 },
      },
      'Path mat was stepped on, but nothing started: the pond is full: one scene at most.',
    ],
    [
      {
        code: 'need',
        prop: 'ferryman',
        move: 'row',
        need: { kind: 'not-made', prop: 'path-mat', sensor: 'step' },
        seen: 'made',
      },
      "Ferryman can't do 'row' while path mat is stepped on.",
    ],
    [
      { code: 'circuit', circuit: 'dock', amps: 12.04, limitAmps: 12 },
      'Dock outlets would carry 12.04 A, and 12 A is the limit for hours on end. Let something else end first, or move a prop to another circuit.',
    ],
    [
      {
        code: 'need',
        prop: 'ferryman',
        move: 'row',
        need: { kind: 'not-made', prop: 'boards', sensor: 'stood-on' },
        seen: 'made',
      },
      "Ferryman can't do 'row' while boards before the hatch are stepped on.",
    ],
    [{ code: 'stop-pressed', by: 'gate-button', stop: 8 }, 'Stop no. 8 pressed by red button at the gate.'],
  ];
  test.each(said)('%j', (reason, text) => expect(say(reason, atClock('21:14:01'))).toBe(text));

  test('without the present a wait says when it began', () => {
    const waits = {
      code: 'moves-now',
      prop: 'ferry',
      move: 'out',
      sinceMs: at('21:13:58'),
      limitMs: 12_000,
    } as const;
    expect(say(waits, context)).toBe("Ferry moves ('out'), since 21:13:58, 12 s at most.");
  });

  test('several reasons come in the order to deal with them', () => {
    const text = sayAll([{ code: 'station-in', prop: 'gate-button' }, { code: 'no-bus' }], context);
    expect(text.indexOf('Red button')).toBe(0);
    expect(text.indexOf('no link to the bus')).toBeGreaterThan(0);
  });
});

describe('lines of the record', () => {
  test('a run is said with the title of its scene', () => {
    const skipped = { code: 'run-skipped', plannedMs: at('21:16'), for: locked } as const;
    expect(sayEntry({ reason: skipped, scene: 'crossing' }, context)).toBe(
      'Skipped 21:16 The crossing: ferry is locked out.',
    );
    expect(sayEntry({ reason: { code: 'run-done', tookMs: 59_000 }, scene: 'crossing' }, context)).toBe(
      'The crossing: done in 59.0 s.',
    );
    expect(sayEntry({ reason: { code: 'run-started', origin: 'trigger' }, scene: 'crossing' }, context)).toBe(
      'The crossing: set off by a guest.',
    );
  });

  test('a release is said with its prop', () => {
    const reason = { code: 'lockout-released', by: 'Ada', fault: 'both-ends' } as const;
    expect(sayEntry({ reason, prop: 'ferry' }, context)).toBe(
      "Ferry released by Ada, after 'both ends seen at once'.",
    );
  });

  test.each(SAMPLED_CODES)('%s makes a whole line, with and without what it is about', (code) => {
    for (const reason of samplesOf(code)) {
      expectSentences(sayEntry({ reason }, context), code);
      expectSentences(sayEntry({ reason, prop: 'ferry', scene: 'crossing', run: 'r' }, context), code);
    }
  });
});

test.each([
  ['Cellar hatch', 'cellar hatch'],
  ['Old Ned', 'Old Ned'],
  ['DJ booth', 'DJ booth'],
  ['Bell', 'bell'],
  ['A', 'A'],
])('the title %s is %s in the middle of a sentence', (title, inside) => expect(small(title)).toBe(inside));

test.each([
  ['ferry', 'is'],
  ['path lanterns', 'are'],
  ['boards before the hatch', 'are'],
  ['gull on a pole', 'is'],
  ["ferry's far sensor", 'is'],
  ['compass', 'is'],
  ['bus', 'is'],
  ['Old Hans', 'is'],
  ["board 'props'", 'is'],
])('%s %s', (name, verb) => expect(agree(name, 'is')).toBe(`${name} ${verb}`));

import { describe, expect, it } from 'vitest';
import { memoryJournal } from '../../server/journal/memory.ts';
import { difference, type ReplayOrder, replay } from '../../server/journal/replay.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import type { Event } from '../../server/show/events.ts';
import { event, events, scratch } from './sample.ts';

/** A core of a few lines: counts each sensor's edges and remembers which yard file it runs under. */
interface Toy {
  readonly yard: string;
  readonly seen: Readonly<Record<string, number>>;
  readonly last: number;
}

const START: Toy = { yard: 'a', seen: {}, last: 0 };

function step(toy: Toy, e: Event): Toy {
  if (e.kind !== 'sensorChanged') throw new Error(`no ${e.kind} here`);
  const before = Object.hasOwn(toy.seen, e.prop) ? toy.seen[e.prop]! : 0;
  return { ...toy, seen: { ...toy.seen, [e.prop]: before + 1 }, last: e.n };
}

type Toys = Pick<ReplayOrder<Toy>, 'load' | 'save' | 'step'>;
const toys: Toys = {
  load: (state, yardHash) => ({ ...(JSON.parse(state) as Toy), yard: yardHash }),
  save: (toy) => JSON.stringify(toy),
  step,
};

function fold(from: Toy, list: readonly Event[]): Toy {
  return list.reduce(step, from);
}

/** 100 events with an honest snapshot every 20. */
function recorded(journal = memoryJournal()): typeof journal {
  journal.snapshot(0, 'a', toys.save(START));
  for (let n = 1; n <= 100; n += 20) {
    journal.append(events(n, n + 19), []);
    journal.snapshot(n + 19, 'a', toys.save(fold(START, events(1, n + 19))));
  }
  return journal;
}

describe('replay', () => {
  it('finds an honest record the same, on disk as in memory', () => {
    for (const journal of [recorded(), recorded(openJournal(scratch()))]) {
      expect(replay({ journal, ...toys })).toEqual({
        from: 0,
        events: 100,
        compared: 5,
        taken: 0,
        difference: null,
        gaps: [],
      });
      journal.close();
    }
  });

  it('begins at a snapshot and ends at an event where told', () => {
    expect(replay({ journal: recorded(), ...toys, from: 45, to: 70 })).toMatchObject({
      from: 40,
      events: 30,
      compared: 1,
      difference: null,
    });
  });

  it('says the first difference: after which event, where, what was and what is', () => {
    const journal = recorded();
    const wrong = fold(START, events(1, 60));
    journal.snapshot(60, 'a', toys.save({ ...wrong, seen: { ...wrong.seen, ferry: 31 } }));
    expect(replay({ journal, ...toys })).toMatchObject({
      events: 60,
      compared: 3,
      difference: { n: 60, path: '/seen/ferry', was: 31, is: 30 },
    });
  });

  it('finds a core that has changed', () => {
    const found = replay({
      journal: recorded(),
      ...toys,
      step: (toy, e) => (e.n === 33 ? { ...step(toy, e), yard: 'z' } : step(toy, e)),
    });
    expect(found.difference).toEqual({ n: 40, path: '/yard', was: 'a', is: 'z' });
  });

  it('finds a core that fails, and says at which event', () => {
    const journal = recorded();
    journal.append([{ n: 101, at: 0, kind: 'busLost' }], []);
    expect(replay({ journal, ...toys }).difference).toEqual({
      n: 101,
      path: '',
      was: undefined,
      is: 'the step failed: no busLost here',
    });
  });

  it('names what is missing and takes over the next snapshot', () => {
    const journal = memoryJournal();
    journal.snapshot(0, 'a', toys.save(START));
    journal.append([...events(1, 9), ...events(12, 40)], []);
    const memory = fold(START, events(1, 40));
    journal.snapshot(20, 'a', toys.save(fold(START, events(1, 20))));
    journal.snapshot(40, 'a', toys.save(memory));
    expect(replay({ journal, ...toys })).toEqual({
      from: 0,
      events: 38,
      compared: 1,
      taken: 1,
      difference: null,
      gaps: [{ first: 10, last: 11 }],
    });
  });

  it('trusts a snapshot inside a gap only if nothing is missing after it', () => {
    for (const [at, counts] of [
      [11, { compared: 1, taken: 1 }],
      [10, { compared: 0, taken: 2 }],
    ] as const) {
      const journal = memoryJournal();
      journal.snapshot(0, 'a', toys.save(START));
      journal.append([...events(1, 9), ...events(12, 20)], []);
      journal.snapshot(at, 'a', toys.save(fold(START, events(1, at))));
      journal.snapshot(20, 'a', toys.save(fold(START, events(1, 20))));
      expect(replay({ journal, ...toys })).toMatchObject({ ...counts, difference: null, events: 18 });
    }
  });

  it('takes over a snapshot made under another yard file', () => {
    const journal = memoryJournal();
    journal.snapshot(0, 'a', toys.save(START));
    journal.append(events(1, 10), []);
    journal.snapshot(10, 'b', toys.save({ ...START, yard: 'b', last: 10 }));
    journal.append(events(11, 20), []);
    journal.snapshot(20, 'b', toys.save(fold({ ...START, yard: 'b' }, events(11, 20))));
    expect(replay({ journal, ...toys })).toMatchObject({ compared: 1, taken: 1, difference: null });
  });

  it('begins where the events reach back to after old ones were forgotten', () => {
    const journal = openJournal(scratch());
    recorded(journal);
    journal.prune(event(45).at);
    expect(replay({ journal, ...toys })).toMatchObject({ from: 40, events: 60, compared: 3, gaps: [] });
    journal.close();
  });

  it('does nothing without a snapshot', () => {
    const journal = memoryJournal();
    journal.append(events(1, 10), []);
    expect(replay({ journal, ...toys })).toMatchObject({ from: null, events: 0 });
    expect(replay({ journal: recorded(), ...toys, from: -1 })).toMatchObject({ from: null, events: 0 });
  });

  it('goes through more events than it reads at once', () => {
    const journal = memoryJournal();
    journal.snapshot(0, 'a', toys.save(START));
    journal.append(events(1, 2_500), []);
    journal.snapshot(2_500, 'a', toys.save(fold(START, events(1, 2_500))));
    expect(replay({ journal, ...toys })).toMatchObject({ events: 2_500, compared: 1, difference: null });
  });
});

describe('the difference of two states', () => {
  const between = (was: unknown, is: unknown) => difference(7, JSON.stringify(was), JSON.stringify(is));

  it('is none where they are the same to the byte', () => {
    expect(between({ a: [1, { b: null }] }, { a: [1, { b: null }] })).toBeNull();
  });

  it('points into objects and lists, at what is more and at what is less', () => {
    expect(between({ a: [1, 2] }, { a: [1, 3] })).toEqual({ n: 7, path: '/a/1', was: 2, is: 3 });
    expect(between({ a: [1, 2] }, { a: [1] })).toEqual({ n: 7, path: '/a/1', was: 2, is: undefined });
    expect(between({ a: 1 }, { a: 1, b: null })).toEqual({ n: 7, path: '/b', was: undefined, is: null });
    expect(between({ a: [] }, { a: {} })).toEqual({ n: 7, path: '/a', was: [], is: {} });
    expect(between({ a: null }, { a: {} })).toEqual({ n: 7, path: '/a', was: null, is: {} });
    expect(between([], 'x')).toEqual({ n: 7, path: '', was: [], is: 'x' });
  });

  it('escapes names as RFC 6901 does, and knows no special ones', () => {
    expect(between({ 'a/b~c': 1 }, { 'a/b~c': 2 })?.path).toBe('/a~1b~0c');
    expect(difference(7, '{"__proto__":1}', '{"__proto__":2}')).toMatchObject({
      path: '/__proto__',
      was: 1,
      is: 2,
    });
    expect(between({ constructor: 1 }, {})).toMatchObject({ path: '/constructor', was: 1, is: undefined });
  });

  it('counts another order of the same as a difference', () => {
    expect(between({ a: 1, b: 2 }, { b: 2, a: 1 })).toMatchObject({ path: '', was: '{"a":1,"b":2}' });
  });
});

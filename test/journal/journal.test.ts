import { describe, expect, it } from 'vitest';
import { memoryJournal } from '../../server/journal/memory.ts';
import type { JournalPort } from '../../server/journal/port.ts';
import type { ReplaySource } from '../../server/journal/replay.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import { event, events, line, START, scratch, thrown } from './sample.ts';

type Kind = JournalPort & ReplaySource;
const KINDS: readonly (readonly [string, () => Kind])[] = [
  ['on disk', () => openJournal(scratch())],
  ['in memory', memoryJournal],
];

describe.each(KINDS)('the record %s', (_name, open) => {
  it('is empty at first', () => {
    const journal = open();
    expect(journal.lastEvent()).toBe(0);
    expect(journal.events(0, 10)).toEqual([]);
    expect(journal.lines(0, 10)).toEqual([]);
    expect(journal.latestSnapshot()).toBeNull();
    expect(journal.nextSnapshot(-1)).toBeNull();
    expect(journal.yardText('none')).toBeNull();
    journal.append([], []);
    expect(journal.lastEvent()).toBe(0);
    journal.close();
  });

  it('gives back what was appended, in order and in pages', () => {
    const journal = open();
    journal.append(events(1, 7), [line(3), line(7, { prop: 'ferry', scene: null, run: null })]);
    journal.append([event(8)], []);
    expect(journal.events(0, 100)).toStrictEqual(events(1, 8));
    expect(journal.events(2, 3)).toStrictEqual(events(3, 5));
    expect(journal.events(8, 3)).toEqual([]);
    expect(journal.events(0, 0)).toEqual([]);
    expect(journal.lastEvent()).toBe(8);
    expect(journal.lines(0, 10)).toStrictEqual([
      { id: 1, ...line(3) },
      { id: 2, ...line(7, { prop: 'ferry', scene: null, run: null }) },
    ]);
    expect(journal.lines(1, 10).map((l) => l.id)).toEqual([2]);
    expect(journal.lines(0, 1).map((l) => l.id)).toEqual([1]);
    journal.close();
  });

  it('takes numbers with a gap, for a stop that could not be written, and never goes back', () => {
    const journal = open();
    journal.append([event(1), event(4)], []);
    expect(journal.events(0, 10).map((e) => e.n)).toEqual([1, 4]);
    for (const wrong of [[event(4)], [event(2)], [event(5), event(5)], [event(7), event(6)]]) {
      expect(thrown(() => journal.append(wrong, [line(9)]))).toMatchObject({
        name: 'JournalError',
        code: 'order',
      });
    }
    expect(journal.lastEvent()).toBe(4);
    expect(journal.lines(0, 10)).toEqual([]);
    journal.append([event(5)], [line(5)]);
    expect(journal.lines(0, 10).map((l) => l.id)).toEqual([1]);
    journal.close();
  });

  it('keeps lines without an event of their own turn', () => {
    const journal = open();
    journal.append([], [line(0)]);
    expect(journal.lines(0, 10)).toHaveLength(1);
    journal.close();
  });

  it('finds lines between two instants, the second left out', () => {
    const journal = open();
    journal.append(events(1, 3), [
      line(1, { at: START }),
      line(2, { at: START + 0.5 }),
      line(3, { at: START + 9 }),
    ]);
    expect(journal.linesBetween(START, START + 9).map((l) => l.n)).toEqual([1, 2]);
    expect(journal.linesBetween(START + 0.5, START + 9.1).map((l) => l.n)).toEqual([2, 3]);
    journal.close();
  });

  it('finds the lines of one code, and the last of several', () => {
    const journal = open();
    expect(journal.linesOf('homed', 0, 10)).toEqual([]);
    expect(journal.lastLineOf(['homed'])).toBeNull();
    const codes = ['homed', 'run-done', 'homed', 'run-skipped', "homed' OR 1=1 --"];
    journal.append(
      events(1, 5),
      codes.map((code, i) => line(i + 1, { code })),
    );
    expect(journal.linesOf('homed', 0, 10).map((l) => l.n)).toEqual([1, 3]);
    expect(journal.linesOf('homed', 1, 10).map((l) => l.n)).toEqual([3]);
    expect(journal.linesOf('homed', 0, 1).map((l) => l.n)).toEqual([1]);
    expect(journal.lastLineOf(['run-done', 'homed'])?.n).toBe(3);
    expect(journal.lastLineOf(['run-done', 'run-skipped'])?.n).toBe(4);
    expect(journal.lastLineOf(["homed' OR 1=1 --"])?.n).toBe(5);
    expect(journal.lastLineOf([])).toBeNull();
    journal.close();
  });

  it('keeps snapshots by event and finds the one before and the one after', () => {
    const journal = open();
    journal.append(events(1, 30), []);
    journal.snapshot(0, 'a', '{"s":0}');
    journal.snapshot(20, 'b', '{"s":20}');
    journal.snapshot(10, 'a', '{"s":10}');
    journal.snapshot(10, 'b', '{"s":"10, again"}');
    expect(journal.latestSnapshot()).toEqual({ n: 20, yardHash: 'b', state: '{"s":20}' });
    expect(journal.latestSnapshot(19)).toEqual({ n: 10, yardHash: 'b', state: '{"s":"10, again"}' });
    expect(journal.latestSnapshot(9)?.n).toBe(0);
    expect(journal.nextSnapshot(-1)?.n).toBe(0);
    expect(journal.nextSnapshot(0)?.n).toBe(10);
    expect(journal.nextSnapshot(20)).toBeNull();
    journal.close();
  });

  it('counts a snapshot as its event, so that no number is given twice', () => {
    const journal = open();
    journal.snapshot(12, 'a', '{}');
    expect(journal.lastEvent()).toBe(12);
    expect(thrown(() => journal.append([event(12)], []))).toMatchObject({ code: 'order' });
    journal.close();
  });

  it('keeps a yard file by its hash, once', () => {
    const journal = open();
    journal.keepYard('constructor', 'yard: {}\n');
    journal.keepYard('constructor', 'something else');
    expect(journal.yardText('constructor')).toBe('yard: {}\n');
    expect(journal.yardText('toString')).toBeNull();
    journal.close();
  });

  it('gives copies, which change nothing', () => {
    const journal = open();
    journal.append([event(1)], [line(1)]);
    Object.assign(journal.events(0, 1)[0]!, { n: 99 });
    Object.assign(journal.lines(0, 1)[0]!, { text: 'changed' });
    expect(journal.events(0, 1)).toEqual([event(1)]);
    expect(journal.lines(0, 1)[0]!.text).toBe(line(1).text);
    journal.close();
  });
});

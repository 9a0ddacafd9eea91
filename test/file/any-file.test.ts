import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { readYardBytes } from '../../server/file/check.ts';
import { printCheck } from '../../server/file/print.ts';
import { type Read, readYard } from '../../server/file/read.ts';
import { reviewYard } from '../../server/file/review.ts';
import { timelineOf } from '../../server/yard/timeline.ts';
import { LANDING } from './landing.ts';

/** Whatever came in: no throw, and errors that have a place in the text and something to say. */
function sound(read: Read, text: string): void {
  if (read.ok) {
    reviewYard(read.yard);
    for (const scene of read.yard.scenes.values())
      expect(timelineOf(read.yard, scene).lengthMs).toBeGreaterThan(0);
    return;
  }
  expect(read.errors.length).toBeGreaterThan(0);
  expect(read.errors.length).toBeLessThanOrEqual(201);
  const lines = text.split('\n').length;
  for (const error of read.errors) {
    expect(error.line).toBeGreaterThanOrEqual(1);
    expect(error.line).toBeLessThanOrEqual(lines);
    expect(error.column).toBeGreaterThanOrEqual(1);
    expect(error.found).not.toBe('');
    expect(error.message).toMatch(/^Line \d+: /u);
    expect(error.message).not.toMatch(/undefined|NaN|\[object|null\b/u);
  }
}

const read = (text: string): Read => readYard(text, undefined, { from: 2026, to: 2026 });

describe('any file at all', () => {
  it('of bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
        const got = readYardBytes(bytes);
        sound(got, new TextDecoder().decode(bytes));
      }),
      { numRuns: 300 },
    );
  });

  it('of letters that YAML minds', () => {
    const letters = fc.constantFrom(
      ...'[]{}:,-?&*!|>\'"%@`#~<=. \n\t',
      'a',
      'b',
      '1',
      ': ',
      '- ',
      '\n  ',
      '&a ',
      '*a ',
      '<<: ',
      '---\n',
      '...\n',
      '%YAML 1.2\n',
      'yard:\n',
      'props:\n  ',
      'é',
      '\u2028',
    );
    fc.assert(
      fc.property(fc.array(letters, { maxLength: 60 }), (parts) => {
        const text = parts.join('');
        sound(read(text), text);
      }),
      { numRuns: 1000 },
    );
  });

  it('of values put in the place of others', () => {
    const lines = LANDING.split('\n');
    const value = fc.oneof(
      fc.constantFrom(
        '',
        '~',
        'null',
        'true',
        '7',
        '-7',
        '7 s',
        '1e9 s',
        '[]',
        '{}',
        '[1, 2]',
        '{a: 1}',
        '.nan',
        '.inf',
        '0x10',
        '"',
        '*a',
        '&a x',
        '!!set {a}',
        'constructor',
        '__proto__',
        'ferry.out',
        '9999999 h',
        '2026-02-30',
        '|\n  text',
        'ferry at home',
        '[ferry.far, not ferry.far]',
      ),
      fc.string({ maxLength: 10 }),
    );
    fc.assert(
      fc.property(fc.nat(lines.length - 1), value, fc.boolean(), (n, put, whole) => {
        const line = lines[n]!;
        const at = whole ? line.indexOf(':') + 1 : line.lastIndexOf(':') + 1;
        const text = lines.with(n, `${line.slice(0, at)} ${put}`).join('\n');
        sound(read(text), text);
      }),
      { numRuns: 250 },
    );
  });

  it('of lines taken out, doubled and swapped', () => {
    const lines = LANDING.split('\n');
    const place = fc.nat(lines.length - 1);
    fc.assert(
      fc.property(fc.constantFrom('out', 'twice', 'swap', 'indent'), place, place, (what, a, b) => {
        const copy = [...lines];
        if (what === 'out') copy.splice(Math.min(a, b), Math.abs(a - b) % 5 || 1);
        else if (what === 'twice') copy.splice(b, 0, copy[a]!);
        else if (what === 'swap') [copy[a], copy[b]] = [copy[b]!, copy[a]!];
        else copy[a] = ` ${copy[a]}`;
        const text = copy.join('\n');
        sound(read(text), text);
      }),
      { numRuns: 250 },
    );
  });

  it('of any structure with our own names in it', () => {
    const names = [
      'yard',
      'props',
      'scenes',
      'nights',
      'moves',
      'steps',
      'needs',
      'title',
      'lasts',
      'until',
      'together',
      'wait',
      'load',
      'dock',
      'ferry',
      'circuits',
      'sensors',
      'constructor',
      'hasOwnProperty',
      '10',
    ];
    const { tree } = fc.letrec((tie) => ({
      tree: fc.oneof(
        { maxDepth: 5 },
        fc.constantFrom<unknown>('7 s', 7, true, null, 'ferry.out', 'end', 'x', ''),
        fc.array(tie('tree'), { maxLength: 3 }),
        fc.dictionary(fc.constantFrom(...names), tie('tree'), { maxKeys: 5 }),
      ),
    }));
    fc.assert(
      fc.property(tree, (value) => {
        const text = stringify(value);
        sound(read(text), text);
        printCheck(text, 'any.yaml');
      }),
      { numRuns: 300 },
    );
  });
});

describe('small yards made at random', () => {
  const id = fc.stringMatching(/^[a-z0-9-]{1,8}$/u);
  const ms = fc.integer({ min: 1, max: 60 }).map((s) => `${s} s`);
  const yard = fc
    .record({
      props: fc.uniqueArray(
        fc.record({ id, takes: ms, carriage: fc.boolean(), amps: fc.integer({ min: 0, max: 30 }) }),
        {
          minLength: 1,
          maxLength: 6,
          selector: (p) => p.id,
        },
      ),
      every: fc.integer({ min: 1, max: 60 }),
      order: fc.infiniteStream(fc.nat(5)),
      length: fc.integer({ min: 1, max: 6 }),
    })
    .map(({ props, every, order, length }) => {
      const moves = (p: (typeof props)[number]) => {
        const load = { load: { dock: `${p.amps / 10} A` } };
        if (!p.carriage) return { moves: { play: { lasts: p.takes, ...load } } };
        const travel = { usual: p.takes, limit: '90 s', ...load };
        return {
          sensors: { in: 'end', out: 'end' },
          home: 'in',
          moves: { go: { until: 'out', ...travel }, play: { until: 'in', ...travel } },
        };
      };
      const steps = [...order.take(length)]
        .map((n) => props[n % props.length]!)
        .flatMap((p) => (p.carriage ? [`${p.id}.go`, `${p.id}.play`] : [`${p.id}.play`]));
      return {
        yard: { id: 'small', title: 'Small', timezone: 'Europe/Berlin', latitude: 53.5, longitude: 10 },
        nights: [{ prepare: '0 15 * 10 *', open: '18:00', close: '22:00', opens: 'by hand' }],
        circuits: { dock: { volts: 230, breaker: '10 A', standing: '2 A' } },
        props: Object.fromEntries(props.map((p) => [p.id, { title: 'A prop', ...moves(p) }])),
        scenes: { all: { title: 'All', every: `${every} min`, steps } },
      };
    });

  it('read well, and hold what was put into them', () => {
    fc.assert(
      fc.property(yard, (file) => {
        const text = stringify(file);
        const got = readYard(text, undefined, { from: 2026, to: 2026 });
        if (!got.ok) throw new Error(got.errors.map((e) => e.message).join('\n'));
        expect(new Set(got.yard.props.keys())).toEqual(new Set(Object.keys(file.props)));
        expect(
          timelineOf(got.yard, got.yard.scenes.get('all')!).moves.map((m) => `${m.prop}.${m.move}`),
        ).toEqual(file.scenes.all.steps);
        sound(got, text);
      }),
      { numRuns: 200 },
    );
  });
});

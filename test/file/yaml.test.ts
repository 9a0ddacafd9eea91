import { describe, expect, it } from 'vitest';
import { errorsIn, landing, marked } from './landing.ts';

/** The first mistake stands at the mark and says this. */
function first(text: string, message: string): void {
  const at = marked(text);
  const [error] = errorsIn(at.text);
  expect(error).toMatchObject({ line: at.line, column: at.column, message: `Line ${at.line}: ${message}` });
}

describe('text that is no YAML', () => {
  it.each([
    [
      'a tab',
      ['    title: Ferryman\n', '«\ttitle: Ferryman\n'],
      'there is a tab before the text. YAML is indented by spaces only: two for each level.',
    ],
    ['a bracket left open', ['[ferry.far]', '«[ferry.far'], 'the `[` here is never closed. Add a `]`.'],
    [
      'a brace left open',
      ['load: {dock: 0.9 A}', 'load: «{dock: 0.9 A'],
      'the `{` here is never closed. Add a `}`.',
    ],
    [
      'a pair of braces left out inside others',
      ['load: {dock: 0.9 A}', 'load: {dock: «run: 0.9 A}'],
      'a comma or a bracket is missing. Inside `{ }` and `[ ]` a comma stands between two entries, and what belongs to a key has brackets of its own.',
    ],
    [
      'brackets crossed',
      ['{near: end, far: end}', '{near: [end, far: end«}'],
      'this `}` comes while the `[` of line 44, column 21, is still open. Close that first.',
    ],
    [
      'a bracket too many',
      ['[ferry.far]', '[ferry.far]«]'],
      'this `]` closes nothing. Take it out, or open it with `[`.',
    ],
    [
      'a quote left open',
      ['close: "22:30"', 'close: «"22:30'],
      'a quote opened here is never closed. Add the closing one.',
    ],
    [
      'two keys on a line',
      ['        lasts: 45 s', '        lasts: «45 s, limit: 50 s'],
      'there are two `key: value` on one line, or text with a colon in it. Start a new line, or put the text in quotes.',
    ],
    [
      'a key pushed in',
      ['        until: far\n        usual: 7 s', '        until: «far\n          usual: 7 s'],
      'a line here has no `key:` of its own, or is indented deeper than the one above it. Each line is `key: value`, with a space after the colon.',
    ],
    [
      'a key pulled out',
      ['        loud: true\n  hatch', '     «loud: true\n  hatch'],
      'this line is indented differently from its neighbours. Keys that belong together begin in the same column.',
    ],
    [
      'a reserved letter',
      ['title: Ferryman', 'title: «@home'],
      "a text can't begin with `@` here. Put it in quotes.",
    ],
    [
      'a tag',
      ['seed: 7', 'seed: «!number 7'],
      '`!number` is a tag, and a yard file has none. Write the plain value.',
    ],
    [
      'a second document',
      ['zones:', '«---\nzones:'],
      'a second document begins here (`---`). A yard file is one document.',
    ],
    [
      'a colon without its blank',
      ['  ferryman:\n', '  «ferryman\n'],
      'a line here has no `key:` of its own, or is indented deeper than the one above it. Each line is `key: value`, with a space after the colon.',
    ],
  ] as const)('%s', (_, change, message) => {
    first(landing(change), message);
  });

  it.each([
    ['a list with keys in it', 'yard: «[\n  id: x\n', [']']],
    ['a list around a closed table', 'nights: «[a, {b: 1}\nprops: {}\n', [']']],
    ['a list around a closed list', 'nights: «[a, [b]\nprops: {}\n', [']']],
    ['a table around a closed table', 'props: «{a: {b: 1}\n', ['}']],
    ['two of them on one line', 'props: «{a: «[b\nscenes: {}\n', ['}', ']']],
    ['two of them, each on its line', 'a:\n  b: «[1, 2\n  c: «{d: 1\n', [']', '}']],
    ['a table at the very start', '«{yard: {id: x}\n', ['}']],
  ])('brackets left open: %s', (_, text, closing) => {
    const parts = text.split('«');
    const places = parts.slice(0, -1).map((_, i) => {
      const { line, column } = marked(`${parts.slice(0, i + 1).join('')}«`);
      return { line, column };
    });
    expect(errorsIn(parts.join('')).map(({ line, column, message }) => ({ line, column, message }))).toEqual(
      places.map((at, i) => {
        const opening = closing[i] === ']' ? '[' : '{';
        const message = `Line ${at.line}: the \`${opening}\` here is never closed. Add a \`${closing[i]}\`.`;
        return { ...at, message };
      }),
    );
  });

  it('many thousand brackets left open are no more than three to be told', () => {
    expect(errorsIn('a: [b\n'.repeat(170_000)).map((e) => e.line)).toEqual([1, 2, 3]);
  });

  it('a quote left open inside a bracket is told of itself', () => {
    const at = marked('a:\n  b: [«"x, 2]\n');
    expect(errorsIn(at.text).map(({ line, column, message }) => ({ line, column, message }))).toEqual([
      {
        line: at.line,
        column: at.column,
        message: 'Line 2: a quote opened here is never closed. Add the closing one.',
      },
    ]);
  });

  it('what is wrong before and after a bracket left open is told as well, and nothing inside', () => {
    expect(errorsIn('a: @x\nb: [1, 2: 3: 4\nc: @y\n').map((e) => [e.line, e.column])).toEqual([
      [1, 4],
      [2, 4],
      [3, 4],
    ]);
  });

  it('is told alone, since what follows would be guesses', () => {
    expect(errorsIn(landing(['[ferry.far]', '[ferry.far'], ['limit: 12 s', 'limit: 12']))).toHaveLength(1);
  });
});

describe('YAML that no yard is', () => {
  it('a name that stands twice, with both lines', () => {
    first(
      landing([
        '  bell: {title: Bell,',
        '  bell: {title: Bell, zone: porch, moves: {toll: {lasts: 6 s}}}\n  «bell: {title: Bell,',
      ]),
      '`bell` stands here a second time; the first is on line 81. Take one out, or give it another name.',
    );
  });

  it('a key that stands twice, beside other mistakes', () => {
    const text = landing(
      ['        usual: 7 s', '        usual: 7 s\n        usual: 8 s'],
      ['limit: 12 s', 'limit: 12'],
    );
    expect(errorsIn(text).map((e) => e.line)).toEqual([54, 55]);
  });

  it('an alias that names nothing', () => {
    first(landing(['[ferry.far]', '«*far']), 'the alias `*far` names nothing above it: there is no `&far`.');
  });

  it('an alias inside what it names', () => {
    first(landing(['[ferry.far]', '&far [«*far]']), 'the alias `*far` stands inside what it names.');
  });

  it('aliases that multiply', () => {
    let text = 'a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n';
    for (let i = 1; i < 10; i += 1)
      text += `a${i}: &a${i} [${Array(10)
        .fill(`*a${i - 1}`)
        .join(', ')}]\n`;
    const told = errorsIn(text).filter((e) => e.message.includes('aliases'));
    expect(told[0]!.message).toContain('repeat more than 50000 values or nest deeper than 64');
  });

  it('a merge key, which YAML 1.2 does not have', () => {
    first(
      landing(['    rest: 30 s', '    «<<: {rest: 30 s}']),
      '`<<` merges nothing: YAML 1.2 has no merge key. Write the keys out.',
    );
  });

  it('a comma inside a number', () => {
    const text = landing(['slam: {lasts: 3 s,', 'slam: {lasts: 3,5 s,']);
    expect(errorsIn(text).map((e) => e.message)).toEqual([
      'Line 78: `lasts: 3` has no unit. Write `3 s`.',
      'Line 78: `5 s` stands here as a key. Is there a comma inside a number or a text? Write `1.5 s` with a point, and texts with commas in quotes.',
    ]);
  });

  it('a comma inside a text without quotes', () => {
    const night = '  - {prepare: 0 16 * 10 fri,«sat, open: "18:00", close: "22:00", opens: by hand}\n';
    first(
      landing(['  - prepare: "0 16 * 10 fri,sat"', `${night}  - prepare: "0 16 * 10 fri,sat"`]),
      '`sat` stands here without a value. Is there a comma inside the text before it? Put that text in quotes.',
    );
  });

  it('YAML 1.1', () => {
    const [error] = errorsIn(`%YAML 1.1\n---\n${landing()}`);
    expect(error!.message).toBe(
      'Line 1: a yard file is YAML 1.2. Take the line that begins with `%YAML` out.',
    );
  });

  it('reserved names of JavaScript', () => {
    const [error] = errorsIn('__proto__: {yard: 1}\n');
    expect(error).toMatchObject({ line: 1, column: 1 });
    expect(error!.message).toBe(
      "Line 1: `__proto__` can't be a name here. A name is a plain word before a colon.",
    );
  });

  it('an empty file, a word, a list', () => {
    expect(errorsIn('').map((e) => e.message)).toEqual([
      'Line 1: the file is empty. It begins with `yard:` and says what is where; config/ferry.yaml is a small one to begin with.',
    ]);
    expect(errorsIn('# only a remark\n')[0]!.message).toContain('the file is empty');
    expect(errorsIn('hello').map((e) => e.message)).toEqual([
      'Line 1: the file is a plain value, not a yard. It begins with `yard:` and says what is where.',
    ]);
    expect(errorsIn('- a\n- b\n')[0]!.message).toContain('the file is a list');
  });

  it('more than 1 MiB', () => {
    expect(errorsIn(`#${'x'.repeat(1024 * 1024)}`).map((e) => e.message)).toEqual([
      'Line 1: the file has 1.0 MiB; a yard file has 1 MiB at most. Is this the right file?',
    ]);
  });

  it.each([
    ['brackets', '['.repeat(500_000)],
    ['list marks', '- '.repeat(250_000)],
    ['indentation', Array.from({ length: 1000 }, (_, i) => `${' '.repeat(i)}a:`).join('\n')],
    ['braces', `${'{a: '.repeat(1000)}1${'}'.repeat(1000)}`],
  ])('nested without end: %s', (_, text) => {
    expect(errorsIn(text).map((e) => e.wanted)).toEqual(['at most a few levels']);
  });

  it('letters that no text has', () => {
    expect(errorsIn('yard:\n  title: a\u0000b')).toMatchObject([{ line: 2, column: 11, found: 'U+0000' }]);
    expect(errorsIn('yard: \ud800')).toMatchObject([{ line: 1, column: 7, found: 'U+D800' }]);
  });
});

import { describe, expect, it } from 'vitest';
import { linesOf } from '../../web/file-lines.ts';

const TEXT = 'yard:\n  limit: 7\n\tlimit: 8\r\nend';

describe('places in a file', () => {
  const lines = linesOf(TEXT);

  it('are shown with their line and a mark under the column', () => {
    expect(lines.excerpt(2, 10)).toBe('2 |   limit: 7\n             ^');
    expect(lines.excerpt(2, 10).split('\n')[0]!.at(13)).toBe('7');
  });

  it('keep a tab under a tab, and drop the line end of another system', () => {
    expect(lines.excerpt(3, 9)).toBe('3 | \tlimit: 8\n    \t       ^');
  });

  it('are found again in the whole text', () => {
    for (const [line, column, there] of [
      [1, 1, 'y'],
      [2, 10, '7'],
      [3, 9, '8'],
      [4, 1, 'e'],
    ] as const)
      expect(TEXT[lines.offset(line, column)]).toBe(there);
  });

  it('lie within it, whatever is asked', () => {
    expect(lines.offset(99, 99)).toBe(TEXT.length);
    expect(lines.excerpt(99, 3)).toBe('99 | \n       ^'.replace('       ^', `${' '.repeat(5)}^`));
    const long = linesOf(`${'a'.repeat(5000)}!${'b'.repeat(5000)}`).excerpt(1, 5001);
    expect(long.length).toBeLessThan(300);
    const [shown, mark] = long.split('\n');
    expect(shown![mark!.indexOf('^')]).toBe('!');
  });
});

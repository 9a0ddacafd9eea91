/** Places in a text by line and column, both from 1, columns in UTF-16 units as the reader counts them. */
export interface Lines {
  /** The line with its number, and under it a mark at the column. */
  excerpt(line: number, column: number): string;
  /** Where the place is in the whole text, as a text box counts. */
  offset(line: number, column: number): number;
}

/** A line is shown so far on either side of the place. */
const AROUND = 60;

export function linesOf(text: string): Lines {
  const lines = text.split('\n');
  const at = (line: number): string => (lines[line - 1] ?? '').replace(/\r$/, '');
  return {
    excerpt(line, column) {
      const whole = at(line);
      const from = Math.max(0, column - 1 - AROUND);
      const shown = whole.slice(from, column - 1 + AROUND);
      const head = `${line} | ${from > 0 ? '…' : ''}`;
      // Tabs stay tabs under tabs, so that the mark stands where it should.
      const before = whole.slice(from, Math.max(from, column - 1)).replace(/[^\t]/g, ' ');
      return `${head}${shown}\n${' '.repeat(head.length)}${before}^`;
    },
    offset(line, column) {
      const before = lines.slice(0, Math.max(0, line - 1)).reduce((sum, one) => sum + one.length + 1, 0);
      return Math.min(text.length, before + Math.max(0, column - 1));
    },
  };
}

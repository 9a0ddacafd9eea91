import type { Section, Told } from './tables.ts';

/** The report for a terminal: each section with its columns under one another. */
export function reportText(told: Told): string {
  return `${[told.title, ...told.sections.map(sectionText)].join('\n\n')}\n`;
}

function sectionText({ title, notes, head, rows }: Section): string {
  return [
    title,
    ...notes.map((n) => `  ${n}`),
    ...(rows.length === 0 ? [] : columns([head, ...rows.map((r) => r.map(oneLine))])),
  ].join('\n');
}

const oneLine = (cell: string): string => cell.replace(/\s+/g, ' ');

/** Columns as wide as their widest cell; the last one runs on. Figures stand to the right. */
function columns(rows: readonly (readonly string[])[]): string[] {
  const last = rows[0]!.length - 1;
  const widths = rows[0]!.map((_, i) => Math.max(...rows.map((r) => [...r[i]!].length)));
  const right = rows[0]!.map(
    (_, i) => i > 0 && rows.slice(1).every((r) => /^(± )?[\d.]*( \w+)?$/.test(r[i]!)),
  );
  return rows.map((r) => {
    const cells = r.map((cell, i) => {
      const pad = ' '.repeat(widths[i]! - [...cell].length);
      return right[i] ? pad + cell : i === last ? cell : cell + pad;
    });
    return `  ${cells.join('  ')}`.trimEnd();
  });
}

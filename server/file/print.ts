import { CAUTIONS } from '../words/en/notice.ts';
import type { Yard } from '../yard/types.ts';
import type { Note, YardError } from './errors.ts';
import { type Read, readYard } from './read.ts';
import { type Finding, reviewYard } from './review.ts';

export interface Printed {
  /** For standard output, with its last line end. */
  readonly output: string;
  /** 0: a yard that can be run; 1: it has errors. */
  readonly exitCode: 0 | 1;
}

/** What `dusklatch check --json` prints. */
export interface CheckReport {
  readonly file: string;
  readonly ok: boolean;
  readonly cautions: readonly string[];
  readonly errors: readonly YardError[];
  readonly notes: readonly Note[];
  readonly findings: readonly Finding[];
}

/** What `dusklatch check` prints of a file's text: the cautions, then its errors with their lines, or the review. */
export function printCheck(text: string, name: string, options: { json?: boolean } = {}): Printed {
  return printRead(readYard(text), text, name, options);
}

/** The same of a file that was read already, or could not be. */
export function printRead(read: Read, text: string, name: string, options: { json?: boolean } = {}): Printed {
  const report: CheckReport = {
    file: name,
    ok: read.ok,
    cautions: CAUTIONS,
    errors: read.ok ? [] : read.errors,
    notes: read.ok ? read.notes : [],
    findings: read.ok ? reviewYard(read.yard) : [],
  };
  const exitCode = read.ok ? 0 : 1;
  if (options.json) return { output: `${JSON.stringify(report, null, 2)}\n`, exitCode };
  const parts = read.ok ? yardParts(read.yard, report) : errorParts(report, text);
  return { output: `${[cautionPart(), ...parts].join('\n\n')}\n`, exitCode };
}

const WIDTH = 100;

function cautionPart(): string {
  return ['Before anything else', ...CAUTIONS.map((c) => item(c))].join('\n');
}

function errorParts(report: CheckReport, text: string): string[] {
  const lines = text.split(/\r?\n/u);
  const n = report.errors.length;
  const head = `${report.file} is no yard yet: ${n === 1 ? 'one mistake' : `${n} mistakes`}.`;
  return [head, ...report.errors.map((e) => `${wrap(e.message, '')}${excerpt(lines, e)}`)];
}

/** The line itself with a mark under the place, where it is short enough to be read. */
function excerpt(lines: readonly string[], { line, column }: YardError): string {
  const whole = lines[line - 1];
  if (whole === undefined || whole.trim() === '') return '';
  const from = Math.max(0, column - 60);
  const shown = whole.slice(from, from + WIDTH - 12).replaceAll('\t', ' ');
  const gutter = `${String(line).padStart(5)} | `;
  return `\n${gutter}${shown}\n${' '.repeat(5)} | ${' '.repeat(Math.max(0, column - 1 - from))}^`;
}

const GROUPS: readonly { title: string; has: (f: Finding) => boolean }[] = [
  { title: 'Circuits', has: (f) => f.circuit !== undefined },
  { title: 'Air', has: (f) => f.tank !== undefined || f.code === 'stored-air' },
  { title: 'Zones', has: (f) => f.zone !== undefined },
  { title: 'Props', has: (f) => f.prop !== undefined && f.circuit === undefined },
  {
    title: 'The yard',
    has: (f) =>
      f.circuit === undefined &&
      f.tank === undefined &&
      f.zone === undefined &&
      f.prop === undefined &&
      f.code !== 'stored-air',
  },
];

function yardParts(yard: Yard, report: CheckReport): string[] {
  const parts = [`${report.file} reads well: ${yard.title}, ${countsOf(yard)}.`];
  const warnings = report.findings.filter((f) => f.level === 'warning');
  const notes = report.findings.filter((f) => f.level === 'note');
  const odd = [...warnings.map((f) => f.text), ...report.notes.map((n) => `Line ${n.line}: ${n.message}`)];
  parts.push(
    odd.length === 0 ? 'Nothing to look at.' : ['Look at this', ...odd.map((t) => item(t))].join('\n'),
  );
  for (const { title, has } of GROUPS) {
    const its = notes.filter(has);
    if (its.length > 0) parts.push([title, ...its.map((f) => item(f.text))].join('\n'));
  }
  return parts;
}

function countsOf(yard: Yard): string {
  const count = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;
  return [
    count(yard.props.size, 'prop'),
    count(yard.scenes.size, 'scene'),
    count(yard.circuits.size, 'circuit'),
    count(yard.tanks.size, 'tank'),
    count(yard.zones.size, 'zone'),
  ].join(', ');
}

/** A line of a list, broken at blanks. */
export function item(text: string): string {
  return wrap(text, '    ', '  - ');
}

/** Breaks a text into lines of at most `WIDTH`, at blanks. */
function wrap(text: string, indent: string, first = indent): string {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  // A number and its unit stay together.
  const glued = text.replace(/(\d) (%|[a-zA-Z²]{1,4}(?:\/[a-z]+)?)(?![\w])/gu, '$1\u00a0$2');
  for (const word of glued.split(' ')) {
    if (!empty && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = indent + word;
    } else {
      line += empty ? word : ` ${word}`;
    }
    empty = false;
  }
  return [...lines, line].join('\n').replaceAll('\u00a0', ' ');
}

import { type Answers, type MoveAnswer, type PropAnswer, titled } from './first-answers.ts';

/*
 * A first yard file, made of what a person answered. Pure: the answers in, a text out. The text is read by the same check
 * as any other, and nothing is saved by it.
 */

/** The limit proposed for a move: as long again and half as usual, and 2 s; whole half seconds, above. */
export function proposedLimit(seconds: number): number {
  return Math.ceil((1.5 * seconds + 2) * 2) / 2;
}

/** Letters, digits and hyphens out of a person's words; `fallback` where none are left. */
export function idOf(words: string, fallback: string): string {
  const plain = words
    .normalize('NFKD')
    .toLowerCase()
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 40)
    .replace(/^-+|-+$/g, '');
  return plain === '' ? fallback : plain;
}

/** Ids of things that people only gave titles, each once. */
function idsOf(titles: readonly string[], fallback: string): string[] {
  const ids: string[] = [];
  for (const [n, title] of titles.entries()) {
    const wanted = idOf(title, `${fallback}-${n + 1}`);
    ids.push(ids.includes(wanted) ? `${wanted.slice(0, 36)}-${n + 1}` : wanted);
  }
  return ids;
}

/** Quoted always: a title may hold what YAML takes for something else. JSON's strings are YAML's double-quoted ones. */
const quoted = (words: string): string => JSON.stringify(words);

/** A name as it is where YAML takes it for one, else quoted: `2.5` and `no` are something else. */
const named = (name: string): string => (/^[a-z]/.test(name) && !YAML_WORDS.has(name) ? name : quoted(name));
const YAML_WORDS = new Set(['true', 'false', 'null', 'yes', 'no', 'on', 'off', 'y', 'n']);

interface FileAround {
  /** The `bus:` of the file, as the lines stand in it; empty where it has none. */
  readonly bus: string;
}

/** Boards of one's own reach a computer only where it listens to the network. */
export const OPEN_BUS = 'bus:\n  listen: "0.0.0.0:1883" # boards on the network reach this computer';

/** The yard file of these answers. */
export function firstFile(answers: Answers, { bus }: FileAround): string {
  const circuits = idsOf(
    answers.circuits.map(({ title }) => title),
    'outlet',
  );
  const props = answers.props.filter(({ wanted }) => wanted);
  return [
    '# Made step by step. Change what you like, and let it be checked.',
    ...yardLines(answers),
    ...(bus.trim() === '' ? [] : [bus.trimEnd()]),
    ...nightLines(answers),
    'circuits:',
    ...answers.circuits.map(
      (c, n) =>
        `  ${named(circuits[n]!)}: {title: ${quoted(c.title.trim() || titled(circuits[n]!))}, volts: ${c.volts}, breaker: ${c.breaker} A, standing: ${c.standing} A}`,
    ),
    'props:',
    ...props.flatMap((prop) => propLines(prop, circuits)),
    'scenes:',
    ...sceneLines(props),
    '',
  ].join('\n');
}

function yardLines({ title, timezone, latitude, longitude }: Answers): string[] {
  return [
    'yard:',
    `  id: ${quoted(idOf(title, 'my-yard'))}`,
    `  title: ${quoted(title.trim())}`,
    `  timezone: ${quoted(timezone.trim())}`,
    `  latitude: ${latitude ?? 0}`,
    `  longitude: ${longitude ?? 0} # west of Greenwich is minus`,
  ];
}

function nightLines({ open, close, opens }: Answers): string[] {
  return [
    'nights:',
    '  # Fridays and Saturdays in October; at eight in the morning the plan is drawn up.',
    '  - prepare: "0 8 * 10 fri,sat"',
    `    open: ${quoted(open)}`,
    `    close: ${quoted(close)}`,
    `    opens: ${opens}`,
  ];
}

function propLines(prop: PropAnswer, circuits: readonly string[]): string[] {
  const lines = [`  ${quoted(prop.id)}:`, `    title: ${quoted(prop.title.trim() || titled(prop.id))}`];
  if (prop.board !== prop.id) lines.push(`    controller: ${quoted(prop.board)}`);
  if (prop.kind === 'stop-station') lines.push('    kind: stop-station');
  if (prop.sensors.length > 0)
    lines.push(`    sensors: {${prop.sensors.map(({ id, kind }) => `${quoted(id)}: ${kind}`).join(', ')}}`);
  const home = prop.sensors.some(({ id }) => id === prop.home) ? prop.home : null;
  if (home !== null && prop.kind === 'prop') lines.push(`    home: ${quoted(home)}`);
  if (prop.moves.length > 0 && prop.kind === 'prop') {
    lines.push('    moves:');
    for (const move of prop.moves) lines.push(moveLine(move, circuits));
  }
  return lines;
}

function moveLine(move: MoveAnswer, circuits: readonly string[]): string {
  const { name, until, seconds, amps } = move;
  const limit = move.limit ?? proposedLimit(seconds);
  const parts =
    until === null
      ? [`lasts: ${seconds} s`, `limit: ${limit} s`]
      : [`until: ${quoted(until)}`, `usual: ${seconds} s`, `limit: ${limit} s`];
  const circuit = move.circuit === null ? undefined : circuits[move.circuit];
  if (circuit !== undefined && amps > 0) parts.push(`load: {${named(circuit)}: ${amps} A}`);
  return `      ${quoted(idOf(name, 'run'))}: {${parts.join(', ')}}`;
}

/** One scene a prop that moves, to begin with: out and home again, or what it does by the clock. */
function sceneLines(props: readonly PropAnswer[]): string[] {
  const moving = props.filter(({ kind, moves }) => kind === 'prop' && moves.length > 0);
  return moving.flatMap((prop) => {
    const names = prop.moves.map(({ name }) => idOf(name, 'run'));
    const homing = prop.moves.findIndex(({ until }) => until !== null && until === prop.home);
    const steps = homing < 0 ? names : [...names.filter((_, n) => n !== homing), names[homing]!];
    const lines = [
      `  ${quoted(prop.id)}:`,
      `    title: ${quoted(prop.title.trim() || titled(prop.id))}`,
      '    every: 5 min',
      `    steps: [${steps.map((name) => named(`${prop.id}.${name}`)).join(', ')}]`,
    ];
    if (homing >= 0) lines.push(`    if-it-fails: [${named(`${prop.id}.${names[homing]}`)}]`);
    return lines;
  });
}

/** The `bus:` of a yard file's text as it stands there; empty where it has none. */
export function busOf(text: string): string {
  return /^bus:[^\n]*\n(?:(?:[ \t][^\n]*|#[^\n]*|)\n)*/m.exec(`${text}\n`)?.[0].trimEnd() ?? '';
}

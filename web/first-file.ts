import type { StrangerBoard } from '../server/bus/strangers.ts';

/*
 * A first yard file, made of what a person answers and what the boards on the bus say. Pure: the answers in, a text out.
 * The text is read by the same check as any other, and nothing is saved by it.
 */

export interface CircuitAnswer {
  readonly title: string;
  readonly volts: number;
  readonly breaker: number;
  readonly standing: number;
}

export interface MoveAnswer {
  readonly name: string;
  /** The sensor that ends it; null: by the clock. */
  readonly until: string | null;
  /** How long it usually takes, or lasts, s. */
  readonly seconds: number;
  /** s; null: as proposed. */
  readonly limit: number | null;
  /** Index of its circuit; null where it draws nothing worth counting. */
  readonly circuit: number | null;
  readonly amps: number;
}

export type PropKind = 'prop' | 'stop-station';

export interface PropAnswer {
  readonly id: string;
  readonly board: string;
  readonly title: string;
  readonly wanted: boolean;
  readonly kind: PropKind;
  readonly sensors: readonly { readonly id: string; readonly kind: 'end' | 'plain' }[];
  readonly home: string | null;
  readonly moves: readonly MoveAnswer[];
  /** Whether a person has changed it: until then it is proposed anew by what its board says. */
  readonly touched: boolean;
}

export interface Answers {
  readonly title: string;
  readonly timezone: string;
  readonly latitude: number | null;
  readonly longitude: number | null;
  /** Times of the clock, `18:30`. */
  readonly open: string;
  readonly close: string;
  readonly opens: 'by hand' | 'by itself';
  readonly circuits: readonly CircuitAnswer[];
  readonly props: readonly PropAnswer[];
}

export function blankAnswers(timezone: string): Answers {
  return {
    title: '',
    timezone,
    latitude: null,
    longitude: null,
    open: '18:30',
    close: '21:30',
    opens: 'by hand',
    circuits: [{ title: '', volts: timezone.startsWith('America/') ? 120 : 230, breaker: 15, standing: 0 }],
    props: [],
  };
}

// what the boards say

/** What a prop's sensors have been seen to say while somebody moved it by hand. */
export interface Taught {
  /** Sensors seen made, in the order in which they first were. */
  readonly made: readonly string[];
  /** Those that were also seen not made. */
  readonly left: readonly string[];
  /** Those that were made at the same time as another. */
  readonly together: readonly string[];
}

const NOTHING_TAUGHT: Taught = { made: [], left: [], together: [] };

/** What has been seen so far, and what the boards say now. */
export function teach(
  before: ReadonlyMap<string, Taught>,
  boards: readonly StrangerBoard[],
): ReadonlyMap<string, Taught> {
  const after = new Map(before);
  for (const { id, sensors } of boards.flatMap(({ props }) => props)) {
    const seen = after.get(id) ?? NOTHING_TAUGHT;
    const made = sensors.filter((s) => s.made === true).map((s) => s.id);
    const left = sensors.filter((s) => s.made === false && seen.made.includes(s.id)).map((s) => s.id);
    after.set(id, {
      made: union(seen.made, made),
      left: union(seen.left, left),
      together: made.length > 1 ? union(seen.together, made) : seen.together,
    });
  }
  return after;
}

const union = (a: readonly string[], b: readonly string[]): readonly string[] => [...new Set([...a, ...b])];

/** Ends of a carriage: two sensors or more that were each seen made, and never two of them at once. */
export function endsOf(taught: Taught | undefined): readonly string[] {
  const ends = (taught?.made ?? []).filter((id) => !taught!.together.includes(id));
  return ends.length > 1 ? ends : [];
}

/** A prop of a board as it is proposed; a person changes what is not so. */
export function proposedProp(
  board: string,
  prop: { id: string; sensors: readonly { id: string }[] },
  taught: Taught | undefined,
): PropAnswer {
  const ends = endsOf(taught);
  const station = prop.sensors.length === 1 && prop.sensors[0]!.id === 'button';
  const home = ends[0] ?? null;
  return {
    id: prop.id,
    board,
    title: titled(prop.id),
    wanted: true,
    kind: station ? 'stop-station' : 'prop',
    sensors: prop.sensors.map(({ id }) => ({ id, kind: ends.includes(id) ? 'end' : 'plain' })),
    home,
    moves: station ? [] : proposedMoves(ends, prop.sensors.length),
    touched: false,
  };
}

function proposedMoves(ends: readonly string[], sensors: number): MoveAnswer[] {
  const move = { seconds: 7, limit: null, circuit: 0, amps: 1 };
  if (ends.length > 1)
    return [
      { ...move, name: 'out', until: ends[1]! },
      { ...move, name: 'back', until: ends[0]! },
    ];
  // what only has a mat or a button has nothing that moves
  return sensors > 0 ? [] : [{ ...move, name: 'run', until: null, seconds: 10 }];
}

/** Answers joined by what the boards say: a new prop is proposed, one with another sensor gets it; nothing typed is lost. */
export function joined(
  answers: Answers,
  boards: readonly StrangerBoard[],
  taught: ReadonlyMap<string, Taught>,
): Answers {
  const props = [...answers.props];
  for (const board of boards) {
    for (const prop of board.props) {
      const at = props.findIndex(({ id }) => id === prop.id);
      const seen = taught.get(prop.id);
      if (at < 0) props.push(proposedProp(board.id, prop, seen));
      else props[at] = withSensors(props[at]!, prop, seen);
    }
  }
  const same = props.length === answers.props.length && props.every((p, n) => p === answers.props[n]);
  return same ? answers : { ...answers, props };
}

/** A sensor that was not known, or its second end just found. What a person has changed is left, but for its ends. */
function withSensors(
  answer: PropAnswer,
  prop: { id: string; sensors: readonly { id: string }[] },
  taught: Taught | undefined,
): PropAnswer {
  const unknown = prop.sensors.filter(({ id }) => !answer.sensors.some((s) => s.id === id));
  const ends = endsOf(taught);
  const learned = ends.length > 1 && !answer.sensors.some(({ kind }) => kind === 'end');
  if (unknown.length === 0 && !learned) return answer;
  if (!answer.touched) return proposedProp(answer.board, prop, taught);
  if (!learned)
    return {
      ...answer,
      sensors: [...answer.sensors, ...unknown.map(({ id }) => ({ id, kind: 'plain' as const }))],
    };
  const fresh = proposedProp(answer.board, prop, taught);
  return {
    ...answer,
    sensors: fresh.sensors,
    home: fresh.home,
    moves: answer.moves.length === 0 ? fresh.moves : answer.moves,
  };
}

// the text

/** The limit proposed for a move: as long again and half as usual, and 2 s; whole half seconds, above. */
export function proposedLimit(seconds: number): number {
  return Math.ceil((1.5 * seconds + 2) * 2) / 2;
}

/** Moves with the time of one changed: the way back takes as long as the way out, until somebody says otherwise. */
export function timed(moves: readonly MoveAnswer[], which: number, seconds: number): MoveAnswer[] {
  const { until, seconds: before } = moves[which]!;
  const follows = (move: MoveAnswer): boolean =>
    until !== null && move.until !== null && move.seconds === before && move.limit === null;
  return moves.map((move, n) => (n === which || (n > which && follows(move)) ? { ...move, seconds } : move));
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

function titled(id: string): string {
  const words = id.replace(/-+/g, ' ').trim();
  return words.charAt(0).toUpperCase() + words.slice(1);
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

export interface FileAround {
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
        `  ${circuits[n]}: {title: ${quoted(c.title.trim() || titled(circuits[n]!))}, volts: ${c.volts}, breaker: ${c.breaker} A, standing: ${c.standing} A}`,
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
  if (circuit !== undefined && amps > 0) parts.push(`load: {${circuit}: ${amps} A}`);
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
      `    steps: [${steps.map((name) => `${prop.id}.${name}`).join(', ')}]`,
    ];
    if (homing >= 0) lines.push(`    if-it-fails: [${prop.id}.${names[homing]}]`);
    return lines;
  });
}

/** The `bus:` of a yard file's text as it stands there; empty where it has none. */
export function busOf(text: string): string {
  return /^bus:[^\n]*\n(?:(?:[ \t][^\n]*|#[^\n]*|)\n)*/m.exec(`${text}\n`)?.[0].trimEnd() ?? '';
}

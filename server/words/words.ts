import type { Reason, ReasonCode, ReasonOf } from '../show/reasons.ts';
import type { Need, Yard } from '../yard/types.ts';

/** What the caller lends to every sentence. Pure: the caller knows the time zone and how its axis lies on it. */
export interface WordContext {
  readonly yard: Yard;
  /** Local time of an instant on the desk's axis (ms), `HH:MM:SS`. */
  readonly clock: (ms: number) => string;
  /** The same as `HH:MM`. */
  readonly short: (ms: number) => string;
  /** The present on the same axis, ms; with it a wait says how far it is (`3.2 of 12 s`), without it when it began. */
  readonly now?: number;
}

/**
 * What a reason says. A bare string is a clause: it begins small, bears no full stop, and can stand inside another
 * sentence. With a pair the second part is what to do, in whole sentences, said only where the reason stands alone.
 */
export type Told = string | readonly [clause: string, todo: string];

export type Sentences = { readonly [C in ReasonCode]: (reason: ReasonOf<C>, words: Words) => Told };

/** A group of sentences, for `satisfies`: it types each function's argument by its code. */
export type SomeSentences = Partial<Sentences>;

/** The yard's names as they are said in the middle of a sentence, and the caller's clock. */
export interface Words {
  readonly context: WordContext;
  /** The title with a small first letter, or the id where the yard no longer has it. */
  prop(id: string): string;
  /** The same with its verb: `ferry is`, `lanterns are`. */
  does(id: string, verb: Verb): string;
  /** `ferry's`, `lanterns'`. */
  whose(id: string): string;
  /** `ferry's move 'out'`. */
  move(prop: string, move: string): string;
  /** `ferry's far sensor`, `path mat`. */
  sensor(prop: string, sensor: string): string;
  /** What it says of a sensor that it is made: `made`, of a mat `stepped on`. */
  made(prop: string, sensor: string): string;
  /** A need as a person would ask for it: `ferry's far sensor made`, `ferryman at rest`. */
  need(need: Need): string;
  /** A scene's title as it stands: it is a name. */
  scene(id: string): string;
  circuit(id: string): string;
  tank(id: string): string;
  zone(id: string): string;
  /** The props of a board, or the board's own name where it drives none that we know. */
  board(controller: string): string;
  /** Another reason as a clause. */
  clause(reason: Reason): string;
}

/**
 * A title in mid-sentence: its first letter small, unless a further capital or a digit marks it as a name
 * (`Cellar hatch` → `cellar hatch`, `Old Ned` stays).
 */
export function small(title: string): string {
  const rest = title.slice(1);
  return rest === rest.toLowerCase() && rest.length > 0 ? title.charAt(0).toLowerCase() + rest : title;
}

const PLURAL = {
  is: 'are',
  was: 'were',
  has: 'have',
  moves: 'move',
  waits: 'wait',
  rests: 'rest',
  stands: 'stand',
  gives: 'give',
} as const;
export type Verb = keyof typeof PLURAL;

/** Where the part of a title begins that says where it is, not what. */
const PLACE = / (?:at|before|behind|by|for|from|in|near|of|on|over|to|under|with) /;

/** A name with its verb. More than one by the look of the word: `path lanterns are`, `Old Hans is`, `compass is`. */
export function agree(name: string, verb: Verb): string {
  const what = name.split(PLACE)[0]!;
  const many = /[^aius]s$/.test(what) && what === what.toLowerCase();
  return `${name} ${many ? PLURAL[verb] : verb}`;
}

function possessive(name: string): string {
  return name.endsWith('s') ? `${name}'` : `${name}'s`;
}

/** `clause` comes from the caller, since the sentences themselves are written with these words. */
export function wordsOf(context: WordContext, clause: (reason: Reason) => string): Words {
  const { yard } = context;
  const prop = (id: string) => small(yard.props.get(id)?.title ?? id);
  const whose = (id: string) => possessive(prop(id));
  /** A mat is a plain sensor that people stand on: its name says so, since the yard file has no word for it. */
  const isMat = (id: string, sensor: string) =>
    yard.props.get(id)?.sensors.get(sensor)?.kind !== 'end' &&
    /\b(mat|step|stepped|stood|tread)\b/i.test(`${prop(id)} ${sensor}`);
  const sensor = (id: string, s: string) => (isMat(id, s) ? prop(id) : `${whose(id)} ${s} sensor`);
  return {
    context,
    prop,
    whose,
    does: (id, verb) => agree(prop(id), verb),
    move: (id, move) => `${whose(id)} move '${move}'`,
    sensor,
    made: (id, s) => (isMat(id, s) ? 'stepped on' : 'made'),
    need: (n) => {
      if (n.kind === 'made') return `${sensor(n.prop, n.sensor)} made`;
      if (n.kind === 'not-made') return `${sensor(n.prop, n.sensor)} not made`;
      return `${prop(n.prop)} ${n.kind === 'at-rest' ? 'at rest' : 'at home'}`;
    },
    scene: (id) => yard.scenes.get(id)?.title ?? id,
    circuit: (id) => small(yard.circuits.get(id)?.title ?? id),
    tank: (id) => small(yard.tanks.get(id)?.title ?? id),
    zone: (id) => small(yard.zones.get(id)?.title ?? id),
    board: (controller) => {
      const props = yard.controllers.get(controller) ?? [];
      return props.length === 1 ? prop(props[0]!) : `board '${controller}'`;
    },
    clause,
  };
}

import type { Reason, ReasonCode, ReasonOf } from '../show/reasons.ts';
import type { Need, Yard } from '../yard/types.ts';
import type { Tongue } from './tongue.ts';

/** What the caller lends to every sentence. Pure: the caller knows the time zone and how its axis lies on it. */
export interface WordContext {
  /** The language in which it is said. */
  readonly tongue: Tongue;
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
 * A mat is a plain sensor that people stand on: its name says so, since the yard file has no word for it. The names are
 * a builder's own, in whatever language the yard is told.
 */
export function isMat(yard: Yard, prop: string, sensor: string): boolean {
  const { kind } = yard.props.get(prop)?.sensors.get(sensor) ?? {};
  const name = `${yard.props.get(prop)?.title ?? prop} ${sensor}`;
  return kind !== 'end' && /\b(mat|step|stepped|stood|tread)\b|matte\b|tritt|betreten/i.test(name);
}

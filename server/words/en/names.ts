import type { Reason } from '../../show/reasons.ts';
import type { WordContext, Words } from '../words.ts';
import { isMat } from '../words.ts';

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

export function possessive(name: string): string {
  return name.endsWith('s') ? `${name}'` : `${name}'s`;
}

/** A prop with its verb: `ferry is`, `lanterns are`. */
export function does(words: Words, id: string, verb: Verb): string {
  return agree(words.prop(id), verb);
}

/** `ferry's`, `lanterns'`. */
export function whose(words: Words, id: string): string {
  return possessive(words.prop(id));
}

/** `clause` comes from the caller, since the sentences themselves are written with these words. */
export function englishNames(context: WordContext, clause: (reason: Reason) => string): Words {
  const { yard } = context;
  const prop = (id: string) => small(yard.props.get(id)?.title ?? id);
  const sensor = (id: string, s: string) =>
    isMat(yard, id, s) ? prop(id) : `${possessive(prop(id))} ${s} sensor`;
  return {
    context,
    prop,
    move: (id, move) => `${possessive(prop(id))} move '${move}'`,
    sensor,
    made: (id, s) => (isMat(yard, id, s) ? 'stepped on' : 'made'),
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

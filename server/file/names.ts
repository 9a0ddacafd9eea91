import { closest, distance } from 'fastest-levenshtein';
import type { Need } from '../yard/types.ts';
import type { Reading } from './quantities.ts';

export const ID_PATTERN = '^[a-z0-9-]{1,40}$';
const ID = new RegExp(ID_PATTERN, 'u');
const REF = /^([a-z0-9-]{1,40})\.([a-z0-9-]{1,40})$/u;

/** `prop.move` or `prop.sensor`. */
export interface Ref {
  readonly prop: string;
  readonly of: string;
}

export function isId(text: string): boolean {
  return ID.test(text);
}

/** A name turned into one that would do: `Porch Lantern` → `porch-lantern`. */
export function idLike(text: string): string {
  const id = text
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/([a-z0-9])([A-Z])/gu, '$1-$2')
    .toLowerCase()
    .replace(/[^a-z0-9]+/gu, '-')
    .replace(/^-+|-+$/gu, '')
    .slice(0, 40);
  return id === '' ? 'ferry' : id;
}

export const ID_WANTED = 'small letters a to z, digits and hyphens, at most 40';

export function readId(raw: unknown): Reading<string> {
  // YAML reads `zone: 7` as a number; as a name it is the same text.
  const text = typeof raw === 'number' ? String(raw) : raw;
  if (typeof text === 'string' && isId(text)) return { ok: true, value: text };
  const example = typeof text === 'string' ? idLike(text) : 'ferry';
  const what =
    typeof text === 'string' && text.length > 40 ? 'is longer than 40 letters' : `is no id (${ID_WANTED})`;
  return { ok: false, complaint: { what, wanted: `an id: ${ID_WANTED}`, example } };
}

/** Reads `ferry.out`; `what` names the second half: a move or a sensor. */
export function readRef(raw: unknown, what: 'move' | 'sensor'): Reading<Ref> {
  const example = what === 'move' ? 'ferry.out' : 'path-mat.step';
  const wanted = `a prop and its ${what} with a point between, such as \`${example}\``;
  const text = typeof raw === 'string' ? raw.trim() : '';
  const ref = REF.exec(text);
  if (ref) return { ok: true, value: { prop: ref[1]!, of: ref[2]! } };
  const loose = /^([\w-]+)\s*(?:[./:>\s]|->)\s*([\w-]+)$/u.exec(text);
  const better = loose ? `${idLike(loose[1]!)}.${idLike(loose[2]!)}` : example;
  const says = loose || text === '' ? `is not written \`prop.${what}\`` : `is no \`prop.${what}\``;
  return { ok: false, complaint: { what: says, wanted, example: better } };
}

const NEED_WANTED = '`prop.sensor`, `not prop.sensor`, `prop at rest` or `prop at home`';

/** Reads an interlock: `ferry.far`, `not ferry.far`, `ferryman at rest`, `ferry at home`. */
export function readNeed(raw: unknown): Reading<Need> {
  const no = (what: string, example: string): Reading<Need> => ({
    ok: false,
    complaint: { what, wanted: NEED_WANTED, example },
  });
  if (typeof raw !== 'string') return no('is no need', 'ferry.far');
  const text = raw.trim().replace(/\s+/gu, ' ');
  const at = /^([a-z0-9-]{1,40}) at (rest|home)$/u.exec(text);
  if (at) return { ok: true, value: { kind: at[2] === 'rest' ? 'at-rest' : 'at-home', prop: at[1]! } };
  const made = /^(not )?([a-z0-9-]{1,40})\.([a-z0-9-]{1,40})$/u.exec(text);
  if (made)
    return { ok: true, value: { kind: made[1] ? 'not-made' : 'made', prop: made[2]!, sensor: made[3]! } };
  return no(...needInstead(text));
}

function needInstead(text: string): [string, string] {
  const not =
    /^(?:!|~|no |not\s*\()\s*([\w-]+\.[\w-]+)\)?$/iu.exec(text) ??
    /^([\w-]+\.[\w-]+) (?:is )?not made$/iu.exec(text);
  if (not) return ['is no need', `not ${not[1]!.toLowerCase()}`];
  const made = /^([\w-]+\.[\w-]+) (?:is )?made$/iu.exec(text);
  if (made) return ['says `made`, which is understood', made[1]!.toLowerCase()];
  if (/^not .+ at (rest|home)$/u.test(text)) {
    return ['is no need: only a sensor can be wanted not made', 'not ferry.far'];
  }
  const spot = /^([\w-]+) (?:is )?(?:at|on|in) ([\w-]+)$/iu.exec(text);
  if (spot) {
    const [prop, where] = [idLike(spot[1]!), idLike(spot[2]!)];
    if (where === 'rest' || where === 'home') return ['is no need as it is written', `${prop} at ${where}`];
    return ['is no need: a sensor follows a point', `${prop}.${where}`];
  }
  if (isId(text)) return ['names a prop, but not what of it', `${text} at rest`];
  const parts = /^([\w-]+)\s*[.:/>]\s*([\w-]+)$/u.exec(text);
  if (parts) return ['is no need as it is written', `${idLike(parts[1]!)}.${idLike(parts[2]!)}`];
  const how = /^([\w-]+) (?:is |stands )?([\w-]+)$/iu.exec(text);
  if (how) return ['is no need', `${idLike(how[1]!)} at ${/^home$/iu.test(how[2]!) ? 'home' : 'rest'}`];
  return ['is no need', 'ferry.far'];
}

/** Writes a need as the file would. */
export function writeNeed(need: Need): string {
  switch (need.kind) {
    case 'made':
      return `${need.prop}.${need.sensor}`;
    case 'not-made':
      return `not ${need.prop}.${need.sensor}`;
    case 'at-rest':
      return `${need.prop} at rest`;
    case 'at-home':
      return `${need.prop} at home`;
  }
}

/** Comparing takes time for each name; no yard has so many, and a hostile file would. */
const MOST_COMPARED = 2000;

/** The known name nearest to one that is not known; undefined where none is near enough to be meant. */
export function nearestOf(name: string, known: readonly string[]): string | undefined {
  if (known.length === 0 || known.length > MOST_COMPARED || name.length > 80) return undefined;
  const plainer = idLike(name);
  const same = known.find((k) => k === plainer);
  if (same !== undefined) return same;
  const best = closest(plainer, known);
  // Two slips in a word of four letters or more: `titel` is as far from `title`.
  const reach = plainer.length < 4 ? 1 : plainer.length < 9 ? 2 : 3;
  if (distance(plainer, best) <= reach) return best;
  const swapped = known.find((k) => k.length > 2 && letters(k) === letters(plainer));
  if (swapped !== undefined) return swapped;
  return known.find(
    (k) => k.length > 3 && plainer.length > 3 && (k.startsWith(plainer) || plainer.startsWith(k)),
  );
}

function letters(word: string): string {
  return [...word].sort().join('');
}

/** 'near and far', 'near, far and 3 more', for a sentence. */
export function listOf(names: readonly string[], most = 6): string {
  const quoted = names.slice(0, most).map((n) => `\`${n}\``);
  if (names.length > most) return `${quoted.join(', ')} and ${names.length - most} more`;
  if (quoted.length <= 1) return quoted[0] ?? 'none';
  return `${quoted.slice(0, -1).join(', ')} and ${quoted.at(-1)}`;
}

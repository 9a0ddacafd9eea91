import { expect } from 'vitest';
import { ON_BENCH as BENCH_DE, HANDS as HANDS_DE } from '../../server/words/de/faults/parts.ts';
import { ON_BENCH as BENCH_EN, HANDS as HANDS_EN } from '../../server/words/en/faults/parts.ts';

/** What a text in another language may share with English to the letter: names, units, signs. */
export const SAME_IN_BOTH: ReadonlySet<string> = new Set(['Dusklatch', 'PIN', 'name']);

/** Common words of English that are none in German; those that are in both (`in`, `was`, `so`) tell nothing. */
const ENGLISH =
  /\b(the|The|is|are|and|And|of|with|has|its|Its|it|It|while|until|not|then|this|This|that|That|from|for|to|at|no|No|by|on|be|can|yet|lost|stop|Stop|STOP|page|board|Board|yard|Yard|prop|Prop|button|press|Press)\b/;

/** Holds a text to have nothing of English left, but what stands in backticks or quotation marks. */
export function expectForeign(text: string, about: string): void {
  const own = text.replace(/`[^`]*`/g, '').replace(/„[^“]*“/g, (all) => (/^„[A-ZÄÖÜ]/.test(all) ? all : ''));
  expect(own, about).not.toMatch(ENGLISH);
}

/** Texts side by side: of strings, of lists, of objects, and of functions, which are called with plain arguments. */
export function* pairsOf(
  en: unknown,
  other: unknown,
  where: string,
): Generator<[where: string, en: string, other: string]> {
  if (typeof en === 'string') {
    expect(typeof other, where).toBe('string');
    yield [where, en, other as string];
  } else if (typeof en === 'function') yield* calledWith(en, other, where);
  else if (Array.isArray(en)) {
    expect(other, where).toHaveLength(en.length);
    for (const [i, one] of en.entries()) yield* pairsOf(one, (other as unknown[])[i], `${where} ${i}`);
  } else if (typeof en === 'object' && en !== null) {
    expect(Object.keys(other as object).sort(), where).toEqual(Object.keys(en).sort());
    for (const [key, one] of Object.entries(en))
      yield* pairsOf(one, (other as Record<string, unknown>)[key], `${where}.${key}`);
  }
}

/** One and many; a list and a name in the place of what is no number. */
const TRIES: readonly unknown[][] = [
  [1, 2, 3, 4],
  [17, 18, 19, 20],
  ['Xa', 'Xb', 'Xc', 'Xd'],
  [['Xa'], 'Xb'],
  [['Xa', 'Xb', 'Xc', 'Xd', 'Xe']],
  [1, 2, ['Xa']],
  [5, 8, ['Xa', 'Xb', 'Xc']],
  ['Xa', 1, 2],
  ['Xa', 61_000, 180_000],
];

function* calledWith(en: unknown, other: unknown, where: string): Generator<[string, string, string]> {
  expect(typeof other, where).toBe('function');
  let fitted = 0;
  for (const args of TRIES) {
    const said = [en, other].map((say) => {
      try {
        return (say as (...args: unknown[]) => unknown)(...args);
      } catch {
        return null;
      }
    });
    const fits = (one: unknown) => typeof one === 'string' && !/undefined|NaN|\[object/.test(one);
    if (!said.every(fits)) continue;
    fitted += 1;
    yield [`${where}(${args})`, said[0] as string, said[1] as string];
  }
  expect(fitted, `${where} is called with what fits it`).toBeGreaterThan(0);
}

export const HANDS_IN = { en: HANDS_EN, de: HANDS_DE };
export const BENCH_IN = { en: BENCH_EN, de: BENCH_DE };

/** What must come before a hand goes in, and the checks for which one goes in, by language. */
export function handsInOf(lang: string): { hands: string; isHandsIn: RegExp } {
  expect(lang).toBe('de');
  const isHandsIn =
    /schieben|auf den Riemen|von Hand|anfassen|wackeln|blasen|spannen|reinigen|in den Spalt halten|mit (der|einer) Hand|messen|Stecker des einen|Kasten am Wagen|Wagen von Ende/i;
  return { hands: HANDS_DE, isHandsIn };
}

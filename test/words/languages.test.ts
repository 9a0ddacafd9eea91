import { describe, expect, test } from 'vitest';
import { FAULT_CODES, type Fault } from '../../server/show/reasons.ts';
import { GROUPS } from '../../server/words/de/reasons.ts';
import { english } from '../../server/words/en/english.ts';
import { faultText } from '../../server/words/faults.ts';
import { faultIndex, faultPage } from '../../server/words/pages.ts';
import { say, sayEntry } from '../../server/words/reasons.ts';
import { LANGUAGES, type Tongue } from '../../server/words/tongue.ts';
import { TONGUES } from '../../server/words/tongues.ts';
import type { WordContext } from '../../server/words/words.ts';
import { BENCH_IN, expectForeign, HANDS_IN, handsInOf, pairsOf, SAME_IN_BOTH } from './foreign.ts';
import { expectPlain } from './plain.ts';
import { bareFault, FAULTS, SAMPLED_CODES, samplesOf } from './samples.ts';
import { atClock, context, yard } from './yard.ts';

/** The same yard with names in no language, so that what is left of English can be told. */
const renamed = (tongue: Tongue, base: WordContext): WordContext => {
  const named = <T extends { title: string }>(map: ReadonlyMap<string, T>, word: string) =>
    new Map([...map].map(([id, one], i) => [id, { ...one, title: `${word}${'abcdefgh'[i]}` }]));
  return {
    ...base,
    tongue,
    yard: {
      ...yard,
      props: named(yard.props, 'Xprop'),
      scenes: named(yard.scenes, 'Xszene'),
      circuits: named(yard.circuits, 'Xkreis'),
      tanks: named(yard.tanks, 'Xtank'),
      zones: named(yard.zones, 'Xbereich'),
    },
  };
};

const others = LANGUAGES.filter((lang) => lang !== 'en').map((lang) => TONGUES[lang]);
const contexts = [context, atClock('21:14:01')];

/** Everything that is said by the daemon, in English and in another language, by where it comes from. */
function* everything(tongue: Tongue): Generator<[where: string, en: string, other: string]> {
  for (const base of contexts) {
    const [en, other] = [renamed(english, base), renamed(tongue, base)];
    for (const code of SAMPLED_CODES)
      for (const reason of samplesOf(code)) {
        yield [code, say(reason, en), say(reason, other)];
        const about = { reason, prop: 'ferry', scene: 'crossing', run: 'r' };
        yield [`${code}, a line`, sayEntry(about, en), sayEntry(about, other)];
      }
    for (const fault of FAULTS) yield [`${fault.code}, text`, faultText(fault, en), faultText(fault, other)];
  }
  for (const fault of FAULTS)
    for (const part of ['causes', 'checks'] as const) {
      const [en, other] = [english, tongue].map((t) => t.faults[fault.code][part](fault)) as [
        readonly string[],
        readonly string[],
      ];
      expect(other.length, `${fault.code} ${part}`).toBe(en.length);
      for (const [i, line] of en.entries()) yield [`${fault.code}, ${part} ${i}`, line, other[i]!];
    }
  for (const code of FAULT_CODES) {
    const [en, other] = [english, tongue].map((t) => {
      const { releaseWill, releaseWont, page } = t.faults[code];
      return { title: t.titles[code], releaseWill, releaseWont, page };
    });
    yield* pairsOf(en, other, code);
  }
  for (const part of ['notice', 'pages', 'plain', 'notes', 'report'] as const)
    yield* pairsOf(english[part], tongue[part], part);
}

test('every language says of itself which it is', () => {
  for (const lang of LANGUAGES) expect(TONGUES[lang].lang).toBe(lang);
  expect(new Set(LANGUAGES.map((lang) => TONGUES[lang].called)).size).toBe(LANGUAGES.length);
});

describe.each(others)('what the daemon says in $called', (tongue) => {
  test('has words for every code, and no code stands in two groups', () => {
    expect(Object.keys(tongue.sentences).sort()).toEqual(Object.keys(english.sentences).sort());
    expect([...tongue.ofScene].sort()).toEqual([...english.ofScene].sort());
    expect(Object.keys(tongue.faults).sort()).toEqual([...FAULT_CODES].sort());
    expect(Object.keys(tongue.titles).sort()).toEqual([...FAULT_CODES].sort());
    const all = GROUPS.flatMap((g) => Object.keys(g));
    expect(new Set(all).size).toBe(all.length);
  });

  test('is plain, and has nothing of English left in it', () => {
    let said = 0;
    for (const [where, en, other] of everything(tongue)) {
      said += 1;
      expectPlain(other, where);
      expectForeign(other, where);
      if (!SAME_IN_BOTH.has(en)) expect(other, where).not.toBe(en);
    }
    expect(said).toBeGreaterThan(600);
  });

  test('bears the very figures and the very words of files and boards', () => {
    const sorted = (text: string, of: RegExp) => (text.match(of) ?? []).sort();
    for (const [where, en, other] of everything(tongue)) {
      expect(sorted(other, /\d+(?:[.:]\d+)*/g), `${where}: ${other}`).toEqual(sorted(en, /\d+(?:[.:]\d+)*/g));
      expect(sorted(other, /`[^`]+`/g), where).toEqual(sorted(en, /`[^`]+`/g));
      const names = (text: string) =>
        (text.match(/\bx[a-z]+[a-h]\b/gi) ?? []).map((n) => n.toLowerCase()).sort();
      expect(names(other), where).toEqual(names(en));
    }
  });

  test('sends to the red button wherever English does', () => {
    let sent = 0;
    for (const [where, en, other] of everything(tongue)) {
      expect(/rote[rn]? Knopf/i.test(other), `${where}: ${other}`).toBe(/red button/i.test(en));
      expect(other.includes('ALLES STOPP'), where).toBe(en.includes('STOP ALL'));
      expect(/Not-Halt/.test(other), where).toBe(/emergency stop/i.test(en));
      if (/red button/i.test(en)) sent += 1;
    }
    expect(sent).toBeGreaterThan(8);
  });

  test('names the standards where English does', () => {
    expect(tongue.notice.cautions).toHaveLength(english.notice.cautions.length);
    expect(tongue.notice.cautions[0]).toBe(tongue.notice.redButton);
    for (const standard of ['ISO 13850', 'IEC 60204-1']) expect(tongue.notice.redButton).toContain(standard);
  });

  test.each(FAULT_CODES)(
    '%s sends no hand in before the power is off, secured, and the plug pulled',
    (code) => {
      const { hands, isHandsIn } = handsInOf(tongue.lang);
      for (const fault of FAULTS.filter((f) => f.code === code)) {
        const checks = tongue.faults[code].checks(fault);
        const inEnglish = english.faults[code].checks(fault);
        const first = checks.findIndex((line) => !line.startsWith(hands) && isHandsIn.test(line));
        const safe = checks.findIndex((line) => line.startsWith(hands));
        expect(safe).toBe(inEnglish.findIndex((line) => line.startsWith(HANDS_IN.en)));
        if (first >= 0) {
          expect(safe, checks[first]).toBeGreaterThanOrEqual(0);
          expect(safe, checks[first]).toBeLessThan(first);
        }
        for (const [i, line] of checks.entries())
          expect(line.includes(BENCH_IN.de), line).toBe(inEnglish[i]!.includes(BENCH_IN.en));
      }
    },
  );

  test('knows where a release moves nothing, and what the board’s own words are', () => {
    const other = renamed(tongue, context);
    expect(faultText(bareFault('travel-slow'), other)).toMatch(/Freigeben bewegt nichts\.$/);
    expect(faultText(bareFault('drift'), other)).not.toContain('Freigeben');
    const own = (why: string): string => {
      const fault: Fault = { ...bareFault('failed'), move: 'out', why };
      return faultText(fault, other);
    };
    for (const why of ['halted by itself', 'arrived but never said done', 'no reason given'])
      expectForeign(own(why), why);
    expect(own('coil open')).toContain('„coil open“');
  });

  test.each(FAULT_CODES)('has a page for %s in its language, with the stop in it', (code) => {
    for (const { html } of [faultPage(code, tongue), faultIndex(tongue)]) {
      expect(html).toMatch(new RegExp(`^<!doctype html>\\n<html lang="${tongue.lang}">`));
      expect(html).toContain(
        `<form method="post" action="/api/stop"><button type="submit">${tongue.plain.stopAll}</button></form>`,
      );
      expectForeign(
        html.replace(/<style>[\s\S]*?<\/style>/, '').replace(/<code>[^<]*<\/code>|<[^>]+>/g, ' '),
        code,
      );
    }
  });
});

// as a builder says it; common practice, no source
test.each([
  [
    {
      code: 'waits',
      prop: 'ferryman',
      move: 'row',
      sinceMs: 76_438_000 - 200,
      limitMs: 12_000,
      for: {
        code: 'need',
        prop: 'ferryman',
        move: 'row',
        need: { kind: 'made', prop: 'ferry', sensor: 'far' },
        seen: 'not-made',
      },
    },
    'Ferryman in Wartestellung: Sensor far von Ferry noch nicht belegt, 3.2 von 12 s.',
  ],
  [{ code: 'stop-pressed', by: 'gate-button', stop: 8 }, 'Stopp Nr. 8 gedrückt an Red button at the gate.'],
  [
    {
      code: 'trigger-refused',
      prop: 'path-mat',
      sensor: 'step',
      for: { code: 'zone', zone: 'pond', atMost: 1 },
    },
    'Path mat betreten, aber nichts begann: The pond voll: höchstens eine Szene.',
  ],
] as const)('in German: %j', (reason, text) => {
  expect(say(reason, { ...atClock('21:14:01'), tongue: TONGUES.de })).toBe(text);
});

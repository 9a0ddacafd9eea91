import { describe, expect, test } from 'vitest';
import { FAULT_CODES, type Fault, type FaultCode } from '../../server/show/reasons.ts';
import { english } from '../../server/words/en/english.ts';
import { HANDS, ON_BENCH } from '../../server/words/en/faults/parts.ts';
import { CAUTIONS, RED_BUTTON } from '../../server/words/en/notice.ts';
import {
  faultCauses as causesIn,
  faultChecks as checksIn,
  faultText,
  locksOut,
} from '../../server/words/faults.ts';
import {
  faultPagePath,
  faultIndex as indexIn,
  isFaultCode,
  faultPage as pageIn,
} from '../../server/words/pages.ts';
import { expectPlain, expectSentences } from './plain.ts';
import { bareFault, fullFault } from './samples.ts';
import { context } from './yard.ts';

const { faults: FAULT_WORDS, titles } = english;
const faultTitle = (code: FaultCode) => titles[code];
const releaseWill = (code: FaultCode) => FAULT_WORDS[code].releaseWill;
const releaseWont = (code: FaultCode) => FAULT_WORDS[code].releaseWont;
const faultCauses = (fault: Fault) => causesIn(fault, english);
const faultChecks = (fault: Fault) => checksIn(fault, english);
const faultPage = (code: FaultCode) => pageIn(code, english);
const faultIndex = () => indexIn(english);
const both = (code: FaultCode) => [bareFault(code), fullFault(code)];

describe('words of faults', () => {
  test('codes and words are the same set', () => {
    expect(Object.keys(FAULT_WORDS).sort()).toEqual([...FAULT_CODES].sort());
  });

  test.each(FAULT_CODES)('%s has text, causes, checks and what a release does', (code) => {
    expectPlain(faultTitle(code), code);
    for (const fault of both(code)) {
      expectSentences(faultText(fault, context), code);
      expect(faultText(fault, context)).toMatch(/^Ferry(man)? /);
      for (const line of [...faultCauses(fault), ...faultChecks(fault)]) expectSentences(line, code);
      expect(faultCauses(fault).length).toBeGreaterThan(0);
      expect(faultChecks(fault).length).toBeGreaterThan(1);
      expect(new Set(faultCauses(fault)).size).toBe(faultCauses(fault).length);
    }
    for (const line of [releaseWill(code), releaseWont(code)]) expectSentences(line, code);
  });

  test.each(FAULT_CODES)('%s sends no hand in before the power is off and the plug pulled', (code) => {
    const handsIn =
      /\b(push|press the belt|by hand|feel|wiggle|blow|tighten|clean|put a blade|your hand|a hand|measure|pull the plug of|open the box)\b/i;
    for (const fault of both(code)) {
      const checks = faultChecks(fault);
      const safe = checks.findIndex((line) => line.startsWith(HANDS));
      const first = checks.findIndex((line) => !line.startsWith(HANDS) && handsIn.test(line));
      if (first < 0) continue;
      expect(safe, checks[first]).toBeGreaterThanOrEqual(0);
      expect(safe, checks[first]).toBeLessThan(first);
    }
    // the test would be blind if the words had changed
    if (
      ['travel-slow', 'no-departure', 'travel-short', 'both-ends', 'end-lost', 'chatter', 'drift'].includes(
        code,
      )
    )
      expect(faultChecks(bareFault(code)).some((line) => handsIn.test(line) && !line.startsWith(HANDS))).toBe(
        true,
      );
  });

  test.each(FAULT_CODES)('%s says when the bench works wherever it sends to the bench', (code) => {
    for (const fault of both(code))
      for (const line of faultChecks(fault)) if (/\bbench\b/.test(line)) expect(line).toContain(ON_BENCH);
  });

  test.each(FAULT_CODES)('the text of %s bears the figures of the fault', (code) => {
    const text = faultText(fullFault(code), context);
    const figures: Partial<Record<FaultCode, RegExp[]>> = {
      'travel-slow': [/21:13:58/, /12\.0 s/, /usual 7\.1 s/, /near/, /far/],
      'no-departure': [/'out'/, /did not leave near/, /2\.4 s/, /7\.1 s/],
      // 40 % of 7.1 s is 2.84 s
      'travel-short': [/1\.9 s/, /7\.1 s/, /2\.8 s/],
      'both-ends': [/Near and far/, /21:14:10/],
      'end-lost': [/near/, /21:14:10/],
      chatter: [/9 times/, /2 s/, /more than 6/],
      'interlock-lost': [/ferry's far sensor made/, /21:14:10/, /ferry's fault/],
      overrun: [/'row'/, /50\.0 s/, /45\.0 s/],
      'no-answer': [/twice/, /21:14:10/],
      refused: [/does not know the move/],
      failed: [/'too hot'/],
      'link-lost': [/3 times within 10 min/, /21:14:10/],
      'stray-move': [/Far/, /21:14:10/],
      'two-boards': [/'ferry-board' and 'spare'/],
      'dead-halt': [/1\.0 s/, /whole yard/, /red button/],
      drift: [/9\.8 s/, /7\.1 s/, /12\.0 s/, /4 nights/],
      'by-hand': [/'belt frayed'/, /21:14/],
    };
    expect(figures[code], `figures of ${code} are named in this test`).toBeDefined();
    for (const figure of figures[code]!) expect(text).toMatch(figure);
  });

  test('only what locks out says so, and a lost board does at the third time', () => {
    expect(FAULT_CODES.filter((c) => !locksOut(bareFault(c)))).toEqual(['link-lost', 'drift']);
    expect([2, 3].map((times) => locksOut({ ...bareFault('link-lost'), times }))).toEqual([false, true]);
    for (const code of FAULT_CODES)
      for (const fault of both(code))
        expect(faultText(fault, context).includes('Release moves nothing.')).toBe(locksOut(fault));
  });

  test('the cause that the board or the yard computer names changes the words', () => {
    const failed = (why: string) => faultText({ ...bareFault('failed'), move: 'out', why }, context);
    expect(failed('arrived but never said done')).toContain('its board never said');
    expect(failed('coil open')).toContain("'coil open'");
    const noSensor = { ...bareFault('failed'), move: 'out', sensor: 'far', why: 'done without its sensor' };
    expect(faultText(noSensor, context)).toContain("'out' is done, but far is not made");
    expect(faultChecks(noSensor)).not.toEqual(faultChecks(bareFault('failed')));
    const busy = { ...bareFault('refused'), why: 'busy' };
    expect(faultCauses(busy)).not.toEqual(faultCauses(bareFault('refused')));
    const silent = { ...fullFault('interlock-lost'), why: 'silent' };
    expect(faultText(silent, context)).toContain('ferry was no longer heard');
    expect(faultText({ ...fullFault('drift'), nights: 0 }, context)).toContain('reaches the limit tonight');
    expect(faultText({ ...fullFault('drift'), nights: 1 }, context)).toContain('in 1 night.');
  });
});

/** Opening and closing tags of a page must pair up; void elements stand alone. */
function expectPaired(html: string): void {
  const open: string[] = [];
  for (const [, slash, tag] of html.matchAll(/<(\/?)([a-z0-9]+)[^>]*>/g)) {
    if (tag === 'meta') continue;
    if (slash) expect(open.pop()).toBe(tag);
    else open.push(tag!);
  }
  expect(open).toEqual([]);
}

const text = (html: string) =>
  html
    .replace(/<style>[\s\S]*<\/style>/, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/&amp;/g, '&')
    .replace(/&quot;/g, '"')
    .replace(/\s+/g, ' ');

describe('pages of faults', () => {
  test.each(FAULT_CODES)('%s has a page that agrees with its words', (code) => {
    const page = faultPage(code);
    const words = FAULT_WORDS[code];
    const seen = text(page.html).replace(/ ([.,:;)])/g, '$1');
    expect(page.title).toBe(faultTitle(code));
    const lines = [
      ...words.causes(bareFault(code)),
      ...words.checks(bareFault(code)),
      words.releaseWill,
      words.releaseWont,
      RED_BUTTON,
    ];
    for (const line of lines)
      expect(seen).toContain(
        line
          .replaceAll('`', ' ')
          .replace(/\s+/g, ' ')
          .replace(/ ([.,:;)])/g, '$1')
          .trim(),
      );
    for (const line of [
      words.page.means,
      words.page.rule,
      words.page.now,
      words.page.prevent,
      ...words.page.find,
    ])
      expectSentences(line, code);
    expectPlain(seen.trim(), code);
  });

  test.each(FAULT_CODES)('the page of %s is whole, without script or anything from elsewhere', (code) => {
    for (const { html } of [faultPage(code), faultIndex()]) {
      expectPaired(html);
      expect(html).toMatch(/^<!doctype html>\n<html lang="en">/);
      expect(html).not.toMatch(/<script|<link|<img|https?:|javascript:|\son[a-z]+=/);
      expect(html).toContain('<form method="post" action="/api/stop">');
    }
  });

  test('the index leads to every page', () => {
    const { html } = faultIndex();
    for (const code of FAULT_CODES) {
      expect(html).toContain(`href="${faultPagePath(code)}"`);
      expect(html).toContain(faultTitle(code));
    }
    expectPlain(text(html).trim(), 'index');
  });

  test('a code from outside is known or not', () => {
    expect(isFaultCode('travel-slow')).toBe(true);
    for (const other of ['constructor', '', 'TRAVEL-SLOW', 'travel-slow/'])
      expect(isFaultCode(other)).toBe(false);
  });

  // WCAG 2.2, relative luminance and contrast ratio (1.4.3 wants 4.5); #767676 on white is 4.54 there
  test('its colours can be read', () => {
    const luminance = (hex: string) => {
      const full = hex.length === 4 ? hex.replace(/[0-9a-f]/g, '$&$&') : hex;
      const [r, g, b] = [1, 3, 5].map((i) => {
        const c = Number.parseInt(full.slice(i, i + 2), 16) / 255;
        return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
      }) as [number, number, number];
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const contrast = (a: string, b: string) => {
      const [hi, lo] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
      return (hi + 0.05) / (lo + 0.05);
    };
    expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.5422, 3);
    const { html } = faultIndex();
    const backgrounds = [...html.matchAll(/background: (#[0-9a-f]+); color: (#[0-9a-f]+)/g)];
    expect(backgrounds.length).toBe(3);
    for (const [, back, front] of backgrounds) expect(contrast(back!, front!)).toBeGreaterThanOrEqual(4.5);
    const links = [...html.matchAll(/a \{ color: (#[0-9a-f]+)/g)].map(([, c]) => c!);
    expect(links).toHaveLength(2);
    expect(contrast(links[0]!, backgrounds[0]![1]!)).toBeGreaterThanOrEqual(4.5);
    expect(contrast(links[1]!, backgrounds[2]![1]!)).toBeGreaterThanOrEqual(4.5);
  });
});

describe('cautions', () => {
  test('the red button comes first, with its standards', () => {
    expect(CAUTIONS[0]).toBe(RED_BUTTON);
    expect(RED_BUTTON).toMatch(/not an emergency stop.*hard-wired.*ISO 13850.*IEC 60204-1/s);
  });

  test('guards, stored energy, mains, crushing, fog and the law are all spoken of', () => {
    const all = CAUTIONS.join('\n');
    for (const word of [
      /guards/i,
      /air/,
      /spring/,
      /mains/i,
      /wet ground/,
      /crush/i,
      /fog/i,
      /crowd/,
      /electricians/,
    ])
      expect(all).toMatch(word);
    for (const caution of CAUTIONS) expectSentences(caution, caution.slice(0, 20));
  });
});

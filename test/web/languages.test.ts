import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import { LANGUAGES } from '../../server/words/tongue.ts';
import { TONGUES } from '../../server/words/tongues.ts';
import { firstWords } from '../../web/first-words.ts';
import { first as firstInGerman } from '../../web/words/de/first-file.ts';
import { spoken as german } from '../../web/words/de.ts';
import { first } from '../../web/words/first-file.ts';
import * as page from '../../web/words.ts';
import { expectForeign, pairsOf } from '../words/foreign.ts';

const { english, speak } = page;

/** The same in both: an abbreviation, a word that both have, a figure with its unit. */
const SAME = new Set(['PIN', 'Name', '1 h', '20 min', '10 min']);
/** What is made of figures, units and names alone. */
const NO_WORDS = /^(?:X[a-e]|\d+(?:\.\d+)?|[,.: ]|s|min|h|in)*$/;

// those of the first file come with its screens
const { lockoutWord: _, lang: __, ...en } = { ...english, first };
const { lockoutWord: ___, lang: ____, ...de } = { ...german, first: firstInGerman };
const all = () => [...pairsOf(en, de, 'words')];

afterEach(() => speak('en'));

describe('the page in German', () => {
  it('says everything that it says in English, in words of its own', () => {
    const pairs = all();
    expect(pairs.length).toBeGreaterThan(400);
    for (const [where, one, other] of pairs) {
      expect(other.trim(), where).not.toBe('');
      if (!SAME.has(one) && !NO_WORDS.test(one)) expect(other, where).not.toBe(one);
      expectForeign(
        other.replace(/dusklatch \w+( my-yard\.yaml)?|--\w+|Area\/City|README, Settings|POST/g, ''),
        where,
      );
    }
  });

  it('has the very figures and names that English has', () => {
    const figures = (text: string) =>
      (text.match(/\d+(?:[.:]\d+)*|\bx[a-e]\b|psi|(?<=\d )A\b|--\w+|dusklatch \w+/gi) ?? [])
        .map((f) => f.toLowerCase())
        .sort();
    for (const [where, one, other] of all())
      expect(figures(other), `${where}: ${other}`).toEqual(figures(one));
  });

  it('sends to the red button, and speaks of the stop, wherever English does', () => {
    let sent = 0;
    for (const [where, one, other] of all()) {
      expect(/rote[rn]? Knopf/i.test(other), `${where}: ${other}`).toBe(/red button/i.test(one));
      expect(other.includes('ALLES STOPP'), where).toBe(one.includes('STOP ALL'));
      expect(other.includes('Not-Halt'), where).toBe(/emergency stop/i.test(one));
      if (/red button/i.test(one)) sent += 1;
    }
    expect(sent).toBeGreaterThan(15);
  });

  it('agrees with what the daemon says: faults, the stop, and the hint before any script', () => {
    const { titles, plain, frame } = TONGUES.de;
    expect(german.faults).toEqual(titles);
    expect(german.stop.label).toBe(plain.stopAll);
    expect(german.stop.hint).toBe(plain.hint);
    expect(german.lockout.releaseText).toBe(frame.releaseMovesNothing);
    for (const [where, , other] of all())
      for (const [, pressed] of other.matchAll(/„(Öffnen|Pause|Schließen)“/g))
        expect([german.mode.open, german.mode.hold, german.mode.close], where).toContain(pressed);
  });
});

describe('the language of the page', () => {
  it('is English until another has come, and the same object of words for whoever asks', async () => {
    expect(page.words).toBe(english);
    await speak('de');
    expect(page.words).toBe(german);
    expect(page.words.lang).toBe('de');
  });

  it('holds for the words that come with the screens of the first file', async () => {
    expect(firstWords()).toBe(first);
    await speak('de');
    expect(firstWords()).toBe(firstInGerman);
  });

  it('is there for every language of the daemon', async () => {
    for (const lang of LANGUAGES) {
      await speak(lang);
      expect(page.words.lang).toBe(lang);
    }
  });

  it.each(['fr', '', 'constructor', 'DE'])('stays English for %j', async (lang) => {
    await speak(lang);
    expect(page.words).toBe(english);
  });

  it('falls back to English whole where its part does not come, or not in time', async () => {
    await speak('de', { de: () => Promise.reject(new Error('no link')) });
    expect(page.words).toBe(english);
    await speak('de', { de: () => new Promise(() => {}) }, 1);
    expect(page.words).toBe(english);
  });

  it('has in the plain document the very words that the daemon exchanges for another language', () => {
    const document = readFileSync(new URL('../../web/index.html', import.meta.url), 'utf8');
    const manifest = readFileSync(new URL('../../web/public/manifest.webmanifest', import.meta.url), 'utf8');
    const { stopAll, hint, loading, ifItStays, about } = TONGUES.en.plain;
    for (const text of [stopAll, hint, loading, ifItStays]) expect(document).toContain(`>${text}<`);
    expect(manifest).toContain(`"${about}"`);
    expect(document).toContain('<html lang="en"');
  });
});

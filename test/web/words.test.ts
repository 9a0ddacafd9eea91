import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FAULT_CODES } from '../../server/show/reasons.ts';
import { TITLES } from '../../server/words/en/faults/titles.ts';
import { spoken as german } from '../../web/words/de.ts';
import { first } from '../../web/words/first-file.ts';
import { english } from '../../web/words.ts';

/** Every fixed text, and every function's text for plain arguments. */
function texts(of: unknown): string[] {
  if (typeof of === 'string') return [of];
  if (typeof of === 'function') return texts((of as (...args: number[]) => unknown)(1, 2, 3, 4));
  if (Array.isArray(of)) return of.flatMap(texts);
  return typeof of === 'object' && of !== null ? Object.values(of).flatMap(texts) : [];
}

const sentences = () => {
  const { listed: _, lockoutWord: __, demo, mode, stop, file, ...rest } = english;
  const { jam, free, steps, stillJammed, stands, mustHome, ...demoRest } = demo;
  const { notHeard, ...modeRest } = mode;
  const { stoppedSome, ...stopRest } = stop;
  const { waitsRest, leftOut, ...fileRest } = file;
  const { found, ...firstRest } = first;
  return [
    ...texts(rest),
    ...texts(demoRest),
    ...texts(modeRest),
    notHeard(['Gull']),
    notHeard(['Gull', 'Ferry']),
    ...texts(stopRest),
    ...texts(fileRest),
    ...texts(firstRest),
    waitsRest(['Ferry', 'The crossing']),
    leftOut(['Ferry']),
    found(['near', 'far']),
    jam('Ferry'),
    stillJammed('Ferry'),
    stands('Ferry', 'near'),
    mustHome('Ferry'),
    free('Ferry'),
    ...Object.values(steps).map((step) => step('Ferry')),
    stoppedSome(1, 2, ['Gull']),
  ];
};

describe('the words of the page', () => {
  it('avoid the words of programs', () => {
    const all = sentences();
    expect(all.length).toBeGreaterThan(150);
    for (const text of all) {
      expect(text).not.toMatch(
        /\b(epoch|session|admission|worth|roll|daemon|payload|socket|server|undefined|NaN)\b/i,
      );
    }
  });

  it('head each fault as its page in the documentation does', () => {
    expect(english.faults).toEqual(TITLES);
    expect(Object.keys(english.faults).sort()).toEqual([...FAULT_CODES].sort());
  });

  it('are those that stand in the plain document before any script', () => {
    const document = readFileSync(new URL('../../web/index.html', import.meta.url), 'utf8');
    expect(document).toContain(`>${english.stop.label}</button>`);
    expect(document).toContain(`>${english.stop.hint}</p>`);
    expect(document).toMatch(/<form method="post" action="\/api\/stop">/);
  });

  it('name a part of the README that is there, in every language', () => {
    const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
    for (const { addressText } of [english.notices, german.notices]) {
      const [, part] = /README.* [“„](.+)[”“]/.exec(addressText) ?? [];
      expect(readme).toMatch(new RegExp(`^#+ ${part}$`, 'm'));
    }
  });

  it('list names as people do', () => {
    expect(english.listed(['Ferry'])).toBe('Ferry');
    expect(english.listed(['Ferry', 'Gull'])).toBe('Ferry and Gull');
    expect(english.listed(['Ferry', 'Gull', 'Bell'])).toBe('Ferry, Gull and Bell');
    expect(english.listed(['Ferry', 'Gull', 'Bell', 'Hatch', 'Fog'])).toBe('Ferry, Gull and 3 more');
  });

  it('make no promise of an emergency stop', () => {
    for (const text of sentences().filter((t) => /emergency/i.test(t))) expect(text).toMatch(/red button/i);
  });
});

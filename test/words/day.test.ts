import { describe, expect, it } from 'vitest';
import { dayOf } from '../../server/words/day.ts';
import { day as german } from '../../server/words/de/day.ts';
import { day as english } from '../../server/words/en/day.ts';

describe('a day as people write it', () => {
  it('is in the order and the words of its language', () => {
    expect(english('2026-10-31')).toBe('Sat 31 October 2026');
    expect(german('2026-10-31')).toBe('Sa 31. Oktober 2026');
    expect(english('2027-01-01')).toBe('Fri 1 January 2027');
    expect(german('2027-03-01')).toBe('Mo 1. März 2027');
  });

  // source: ECMA-262, Date.prototype.getUTCDay and Date.UTC, which the running engine carries out
  it('has the weekday that the engine’s own calendar has, on every day of a cycle of 400 years', () => {
    for (let at = Date.UTC(1900, 0, 1); at < Date.UTC(2300, 0, 1); at += 86_400_000) {
      const date = new Date(at);
      const found = dayOf(date.toISOString());
      if (found?.weekday !== date.getUTCDay()) expect.fail(date.toISOString());
    }
    // and the months and weekdays that the Unicode CLDR gives the two languages, as Node carries it
    for (let month = 0; month < 12; month++) {
      const date = new Date(Date.UTC(2026, month, 4 + month));
      const iso = date.toISOString().slice(0, 10);
      for (const [say, lang] of [
        [english, 'en-GB'],
        [german, 'de-DE'],
      ] as const) {
        const parts = new Intl.DateTimeFormat(lang, {
          weekday: 'short',
          month: 'long',
          timeZone: 'UTC',
          day: 'numeric',
          year: 'numeric',
        }).formatToParts(date);
        const of = (type: string) => parts.find((part) => part.type === type)!.value.replace('.', '');
        expect(say(iso)).toContain(` ${of('month')} ${of('year')}`);
        expect(say(iso).slice(0, say(iso).indexOf(' '))).toBe(of('weekday'));
      }
    }
  });

  it('leaves what is no date as it is', () => {
    for (const text of ['', 'tonight', '2026-13-01', '2026-00-10', 'constructor'])
      expect([english(text), german(text)]).toEqual([text, text]);
  });
});

import { describe, expect, it } from 'vitest';
import { readSettings, SettingsError } from '../../server/settings.ts';

describe('the language of a yard', () => {
  it('is English unless another is set; the flag wins over the environment', () => {
    expect(readSettings(null, {}, {}).language).toBe('en');
    expect(readSettings(null, {}, { DUSKLATCH_LANGUAGE: '' }).language).toBe('en');
    expect(readSettings(null, {}, { DUSKLATCH_LANGUAGE: 'de' }).language).toBe('de');
    expect(readSettings(null, { language: 'en' }, { DUSKLATCH_LANGUAGE: 'de' }).language).toBe('en');
  });

  it.each(['fr', 'DE', 'Deutsch', 'constructor'])('%j is refused, with those there are', (text) => {
    const read = () => readSettings(null, { language: text }, {});
    expect(read).toThrow(SettingsError);
    expect(read).toThrow(
      `DUSKLATCH_LANGUAGE is '${text}', which is no language there is. There are: en (English), de (Deutsch).`,
    );
  });
});

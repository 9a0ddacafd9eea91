import { expect } from 'vitest';

/** Words of the inside that no page says; 'the yard computer' stands for the last two. */
const FORBIDDEN = ['epoch', 'session', 'admission', 'worth', 'roll', 'desk', 'daemon'];

/** What a broken figure or a forgotten name leaves behind. */
const BROKEN = /undefined|NaN|Infinity|\[object|\bnull\b|\? s\b|\? A\b/;

/** Holds a text for people to the plain words, and to figures that are there. */
export function expectPlain(text: string, about: string): void {
  expect(text.trim(), about).not.toBe('');
  expect(text, about).not.toMatch(BROKEN);
  for (const word of FORBIDDEN) expect(text, about).not.toMatch(new RegExp(`\\b${word}\\b`, 'i'));
  expect(text, `${about}: doubled space or stop`).not.toMatch(/ {2}|\.\.| \.|,\./);
}

/** The same for what must be whole sentences. */
export function expectSentences(text: string, about: string): void {
  expectPlain(text, about);
  expect(text, `${about}: begins large`).toMatch(/^[A-Z0-9'`]/);
  expect(text, `${about}: ends with a stop`).toMatch(/[.?!]$/);
}

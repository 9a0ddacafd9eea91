import { german } from './de/german.ts';
import { english } from './en/english.ts';
import type { Language, Tongue } from './tongue.ts';

/** Every language there is: one that `LANGUAGES` names and that is not here is a type error. */
export const TONGUES: Readonly<Record<Language, Tongue>> = { en: english, de: german };

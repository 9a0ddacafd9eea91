import type { Language } from '../server/words/tongue.ts';
import { first as german } from './words/de/first-file.ts';
import { first as english } from './words/first-file.ts';
import { words } from './words.ts';

/*
 * The words of the first yard file. They come with its screens, in every language, since the first screen of the page
 * needs none of them and there are many.
 */

const SPOKEN: Readonly<Record<Language, typeof english>> = { en: english, de: german };

/** In the language of the page. */
export const firstWords = (): typeof english => SPOKEN[words.lang as Language];

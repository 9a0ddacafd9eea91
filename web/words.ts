import type { LockoutPicture } from '../server/picture.ts';
import { day } from '../server/words/en/day.ts';
import type { Language } from '../server/words/tongue.ts';
import { demo } from './words/demo.ts';
import { field } from './words/field.ts';
import * as frame from './words/frame.ts';
import { listed } from './words/listed.ts';
import { fates, faults, modes, origins, states } from './words/names.ts';
import { notices as notice } from './words/notices.ts';
import { past } from './words/past.ts';
import * as prop from './words/prop.ts';
import { backup, file, people, redButton, setup } from './words/set-up.ts';
import * as stop from './words/stop.ts';
import { chart, nights, ruler, tonight } from './words/tonight.ts';
import * as yard from './words/yard.ts';

/** Every word of the page, in English. Another language is an object of this same type (words/de.ts). */
export const english = {
  lang: 'en',
  /** A day, of its date: `Sat 31 October 2026` of `2026-10-31`, or of the name of its night. */
  day,
  listed,
  faults,
  modes,
  fates,
  origins,
  states,
  /** Before each word while the page has no link: what is shown was so, and may not be any more. */
  was: (word: string) => `was ${word}`,
  wasSaid: (sentence: string) => `Was: ${sentence}`,
  lockoutWord: (lockout: LockoutPicture) => faults[lockout.code],
  ...frame,
  ...stop,
  ...yard,
  ...prop,
  tonight,
  nights,
  past,
  ruler,
  chart,
  backup,
  file,
  field,
  notices: notice,
  people,
  redButton,
  setup,
  demo,
};

export type Words = typeof english;

/** The words of the page: English until `speak` has another language. Whoever shows something asks here each time. */
export let words: Words = english;

type Other = Exclude<Language, 'en'>;
type Parts = Readonly<Record<Other, () => Promise<{ spoken: Words }>>>;

/** Each other language is a part of the script of its own, which the build names after it. */
const PARTS: Parts = { de: () => import('./words/de.ts') };

/** So long a language is waited for: then a page in English is better than none. */
const PATIENCE_MS = 3000;

/** Speaks the language of the document from now on, or English where there is no such, or it does not come in time. */
export async function speak(lang: string, parts: Parts = PARTS, patienceMs = PATIENCE_MS): Promise<void> {
  words = english;
  if (!Object.hasOwn(parts, lang)) return;
  const late = new Promise<null>((give) => setTimeout(give, patienceMs, null));
  const part = await Promise.race([parts[lang as Other](), late]).catch(() => null);
  if (part) words = part.spoken;
}

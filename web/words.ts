import type { LockoutPicture } from '../server/picture.ts';
import { demo } from './words/demo.ts';
import { first } from './words/first-file.ts';
import * as frame from './words/frame.ts';
import { listed } from './words/listed.ts';
import { fates, faults, modes, states } from './words/names.ts';
import { notices as notice } from './words/notices.ts';
import { past } from './words/past.ts';
import * as prop from './words/prop.ts';
import { backup, file, people, redButton, setup } from './words/set-up.ts';
import * as stop from './words/stop.ts';
import { chart, nights, ruler, tonight } from './words/tonight.ts';
import * as yard from './words/yard.ts';

/** Every word of the page, in English. A second language is another object of this same shape. */
export const english = {
  lang: 'en',
  listed,
  faults,
  modes,
  fates,
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
  first,
  notices: notice,
  people,
  redButton,
  setup,
  demo,
};

export type Words = typeof english;

/** The language of the page. */
export const words: Words = english;

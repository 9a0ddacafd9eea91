import { day } from '../../server/words/de/day.ts';
import type { Words } from '../words.ts';
import { demo } from './de/demo.ts';
import { field } from './de/field.ts';
import { frame } from './de/frame.ts';
import { listed } from './de/listed.ts';
import { names } from './de/names.ts';
import { notices } from './de/notices.ts';
import { past } from './de/past.ts';
import { sheet } from './de/prop.ts';
import { settingUp } from './de/set-up.ts';
import { stopping } from './de/stop.ts';
import { hours } from './de/tonight.ts';
import { whole } from './de/yard.ts';

/** Every word of the page, in German. A part of the script of its own, which only a German yard loads. */
export const spoken: Words = {
  lang: 'de',
  day,
  listed,
  faults: names.faults,
  modes: names.modes,
  fates: names.fates,
  origins: names.origins,
  states: names.states,
  was: (word) => `zuletzt ${word}`,
  wasSaid: (sentence) => `Zuletzt: ${sentence}`,
  lockoutWord: (lockout) => names.faults[lockout.code],
  ...frame,
  ...stopping,
  ...whole,
  ...sheet,
  ...hours,
  past,
  ...settingUp,
  field,
  notices,
  demo,
};

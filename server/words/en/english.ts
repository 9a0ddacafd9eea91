import type { Tongue } from '../tongue.ts';
import { TITLES } from './faults/titles.ts';
import { FAULTS, FRAME } from './faults.ts';
import { englishNames } from './names.ts';
import { CAUTIONS, RED_BUTTON } from './notice.ts';
import { NOTES, PAGES, PLAIN } from './pages.ts';
import { OF_SCENE, SENTENCES } from './reasons.ts';
import { REPORT } from './report.ts';

/** English: what the commands say, and the yard where no other language is set. */
export const english: Tongue = {
  lang: 'en',
  called: 'English',
  names: englishNames,
  sentences: SENTENCES,
  ofScene: OF_SCENE,
  faults: FAULTS,
  titles: TITLES,
  frame: FRAME,
  skipped: (clock, scene, clause) => `Skipped ${clock} ${scene}: ${clause}.`,
  notice: { redButton: RED_BUTTON, cautions: CAUTIONS },
  pages: PAGES,
  plain: PLAIN,
  notes: NOTES,
  report: REPORT,
};

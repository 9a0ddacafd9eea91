import type { Tongue } from '../tongue.ts';
import { TITLES } from './faults/titles.ts';
import { FAULTS, FRAME } from './faults.ts';
import { germanNames } from './names.ts';
import { CAUTIONS, RED_BUTTON } from './notice.ts';
import { NOTES, PAGES, PLAIN } from './pages.ts';
import { OF_SCENE, SENTENCES } from './reasons.ts';
import { REPORT } from './report.ts';

/** German, as it is spoken in a workshop: infinitives for what to do, the trade's own words. */
export const german: Tongue = {
  lang: 'de',
  called: 'Deutsch',
  names: germanNames,
  sentences: SENTENCES,
  ofScene: OF_SCENE,
  faults: FAULTS,
  titles: TITLES,
  frame: FRAME,
  skipped: (clock, scene, clause) => `Übersprungen ${clock} ${scene}: ${clause}.`,
  notice: { redButton: RED_BUTTON, cautions: CAUTIONS },
  pages: PAGES,
  plain: PLAIN,
  notes: NOTES,
  report: REPORT,
};

import { measured } from '../../figures.ts';
import type { SomeSentences } from '../../words.ts';
import { TITLES } from '../faults/titles.ts';
import { zitat } from '../names.ts';
import { refusal } from '../refusals.ts';

/** What became of a run. */
export const RUNS = {
  'run-done': ({ tookMs }) => `fertig in ${measured(tookMs)}`,
  'run-failed': ({ prop, fault }, w) => `gescheitert an ${w.prop(prop)}: ${zitat(TITLES[fault])}`,
  'run-abandoned': (r, w) => `aufgegeben: ${w.clause(r.for)}`,
  'run-stopped': ({ stop }) => `beendet durch Stopp Nr. ${stop}`,
  'run-unplanned': () => 'ausgelassen, weil der Hof ohne Geplantes geöffnet wurde',
  'run-skipped': (r, w) => `übersprungen um ${w.context.short(r.plannedMs)}: ${w.clause(r.for)}`,
  'tidy-passed-over': (r, w) => `beim Aufräumen ausgelassen: ${w.move(r.prop, r.move)}; ${w.clause(r.for)}`,
  'trigger-refused': (r, w) =>
    `${w.sensor(r.prop, r.sensor)} ${w.made(r.prop, r.sensor)}, aber nichts begann: ${w.clause(r.for)}`,
  'asked-refused': (r, w) => `von Hand verlangt, aber nicht gestartet: ${w.clause(r.for)}`,
  'board-refused': ({ prop, why }, w) => `${w.prop(prop)} nicht gestartet: ${refusal(why)}`,
} satisfies SomeSentences;

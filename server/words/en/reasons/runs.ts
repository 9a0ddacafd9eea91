import { measured } from '../../figures.ts';
import type { SomeSentences } from '../../words.ts';
import { TITLES } from '../faults/titles.ts';
import { agree, small } from '../names.ts';
import { refusal } from '../refusals.ts';

/** What became of a run. */
export const RUNS = {
  'run-done': ({ tookMs }) => `done in ${measured(tookMs)}`,
  'run-failed': ({ prop, fault }, w) => `failed at ${w.prop(prop)}: ${small(TITLES[fault])}`,
  'run-abandoned': (r, w) => `given up: ${w.clause(r.for)}`,
  'run-stopped': ({ stop }) => `ended by stop no. ${stop}`,
  'run-unplanned': () => 'left out, since the yard was opened with nothing planned',
  'run-skipped': (r, w) => `skipped ${w.context.short(r.plannedMs)}: ${w.clause(r.for)}`,
  'tidy-passed-over': (r, w) => `tidying left out ${w.move(r.prop, r.move)}: ${w.clause(r.for)}`,
  'trigger-refused': (r, w) =>
    `${agree(w.sensor(r.prop, r.sensor), 'was')} ${w.made(r.prop, r.sensor)}, but nothing started: ${w.clause(r.for)}`,
  'asked-refused': (r, w) => `asked for by hand, but not started: ${w.clause(r.for)}`,
  'board-refused': ({ prop, why }, w) => `${w.prop(prop)} did not start: ${refusal(why)}`,
} satisfies SomeSentences;

import type { ReasonOf } from '../../../show/reasons.ts';
import { ofLimit, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { does } from '../names.ts';
import { notYet } from './limits.ts';

/** `3.2 of 12 s` where the caller lends the present, else `since 21:13:58, 12 s at most`. */
function howFar({ sinceMs, limitMs }: { sinceMs: number; limitMs: number }, w: Words): string {
  const { now, clock } = w.context;
  if (now !== undefined) return ofLimit(now - sinceMs, limitMs);
  return `since ${clock(sinceMs)}, ${span(limitMs)} at most`;
}

function waiting(r: ReasonOf<'waits'>, w: Words): string {
  return r.for.code === 'need' ? notYet(r.for, w) : w.clause(r.for);
}

/** What a prop does, or waits for. */
export const DOINGS = {
  'opening-notice': ({ atMs }, w) => [
    `the yard is about to open: props go home from ${w.context.clock(atMs)} on`,
    'Tell everybody near them, and keep clear.',
  ],
  'opening-homes': ({ props }, w) =>
    props.length === 0
      ? 'the yard opens'
      : `the yard opens once home: ${props.map((p) => w.prop(p)).join(', ')}`,
  'held-restart': ({ atMs }, w) => [
    `the yard computer came back at ${w.context.short(atMs)} and holds the yard`,
    'Walk the yard, then press Open.',
  ],
  'at-rest': ({ prop, at }, w) => `${does(w, prop, 'is')} at rest${at === null ? '' : ` at ${at}`}`,
  'moves-now': (r, w) => `${does(w, r.prop, 'moves')} ('${r.move}'), ${howFar(r, w)}`,
  'asked-to-move': ({ prop, move }, w) => `${does(w, prop, 'was')} told '${move}', no start yet`,
  halting: ({ prop }, w) => `${does(w, prop, 'was')} told to halt, no answer yet`,
  'waits-for-step': ({ prop, scene }, w) => `${does(w, prop, 'waits')} for its turn in ${w.scene(scene)}`,
  waits: (r, w) => `${does(w, r.prop, 'waits')}: ${waiting(r, w)}, ${howFar(r, w)}`,
  homing: ({ prop }, w) => `${does(w, prop, 'is')} going home`,
  'waits-to-home': (r, w) =>
    `${does(w, r.prop, 'waits')} to go home${r.for === null ? '' : `: ${w.clause(r.for)}`}`,
  'never-heard': ({ prop }, w) => [
    `${does(w, prop, 'has')} not been heard since the yard computer started`,
    'Power its board. Then look at its Wi-Fi, and at the address of the bus in its program.',
  ],
} satisfies SomeSentences;

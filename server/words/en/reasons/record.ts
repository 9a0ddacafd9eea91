import type { Mode, Origin } from '../../../show/reasons.ts';
import { count, nightName, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { day } from '../day.ts';
import { TITLES } from '../faults/titles.ts';
import { agree, does, small } from '../names.ts';
import { MODE_WORDS } from './bars.ts';

const ORIGIN_WORDS: Readonly<Record<Origin, string>> = {
  plan: 'started as planned',
  trigger: 'set off by a guest',
  hand: 'started by hand',
  homing: 'homing started',
  bench: 'started on the bench',
  notice: 'started to give notice',
};

/** Written as the yard computer starts and has heard no board yet: what it does itself, and nothing of what moves. */
const STARTED_TODO: Readonly<Record<Mode, string>> = {
  closed: 'Nothing is started before it opens.',
  opening: 'Notice is given before anything moves.',
  open: 'Notice is given before anything moves.',
  held: 'Nothing is started before somebody presses Open. Walk the yard, then press Open.',
  closing: 'Nothing new is started.',
  stopped: 'The stop still holds. Deal with its cause, walk the yard, then clear it.',
};

/** What the core puts in the place of a person, in words. */
const NO_PERSON: Readonly<Record<string, string>> = {
  page: 'from the page',
  http: 'from outside the page',
  restart: 'after the yard computer came back',
  'by itself': 'by itself',
  'clear-unwritten': 'since the clear could not be written',
  record: 'since the record can not be written and a lockout could not have been kept',
  'its answer': 'by itself, since its board has answered the stop',
  'the hour': 'at its hour',
  'stood down': 'since another yard computer took over',
  'after a restart': 'by itself after the yard computer came back',
  'before the restart': 'before the yard computer came back',
};

/** Who did it: a stop button of the yard, a board, the page or a program, else a person's name as it stands. */
export function by(who: string, w: Words): string {
  if (Object.hasOwn(NO_PERSON, who)) return NO_PERSON[who]!;
  const [kind, id = '', how] = who.split(' ');
  if (kind === 'station') return how === 'pressed' ? `by ${w.prop(id)}` : `since ${stationWhy(id, how, w)}`;
  if (kind === 'board') return `by word of ${w.board(id)}`;
  if (kind === 'desk') return `by another yard computer ('${id}')`;
  if (kind === 'dead-halt') return `since ${w.prop(id)} did not answer a halt`;
  return w.context.yard.props.has(who) ? `by ${w.prop(who)}` : `by ${who}`;
}

function stationWhy(id: string, how: string | undefined, w: Words): string {
  return how === 'unread' ? `${does(w, id, 'gives')} no reading` : `${does(w, id, 'is')} not heard`;
}

/** Lines of the record. */
export const RECORD = {
  'stop-pressed': ({ by: who, stop }, w) => {
    const how = by(who, w);
    return how.startsWith('since ') ? `stop no. ${stop}, ${how}` : `stop no. ${stop} pressed ${how}`;
  },
  'stop-by': ({ by: who }, w) => by(who, w),
  'stop-answered': ({ controller, afterMs }, w) => `${w.board(controller)} stopped after ${span(afterMs)}`,
  'stop-cleared': ({ by: who, stop }, w) => [
    `stop no. ${stop} cleared ${by(who, w)}`,
    'Nothing moves until somebody presses Open.',
  ],
  'mode-now': ({ mode, by: who }, w) => `the yard is ${MODE_WORDS[mode]}, ${by(who, w)}`,
  'opening-waits': (r, w) => [
    `opening waits for a person: ${r.for.map((one) => w.clause(one)).join('; ')}`,
    'Put that right, walk the yard, then press Open.',
  ],
  'run-started': ({ origin }) => ORIGIN_WORDS[origin],
  'lockout-released': ({ by: who, fault }, w) => `released ${by(who, w)}, after '${small(TITLES[fault])}'`,
  acknowledged: ({ by: who, fault }, w) => `seen ${by(who, w)}: ${small(TITLES[fault])}`,
  'link-up': ({ controller }, w) => `${agree(w.board(controller), 'is')} heard`,
  'link-down': ({ controller, sinceMs }, w) =>
    `${w.board(controller)} not heard since ${w.context.clock(sinceMs)}`,
  homed: ({ prop }, w) => `${does(w, prop, 'is')} home`,
  'desk-started': ({ mode }) => [
    `the yard computer started, and the yard is ${MODE_WORDS[mode]}`,
    STARTED_TODO[mode],
  ],
  'stood-down': ({ desk }) => [
    `another yard computer ('${desk}') drives the yard, so this one sends nothing but a stop`,
    'Switch one of the two off.',
  ],
  'stood-up': () => 'this yard computer drives the yard again',
  'clock-stepped': ({ byMs }) =>
    `the wall clock was set ${byMs < 0 ? 'back' : 'forward'} by ${span(Math.abs(byMs))}`,
  'plan-drawn': ({ night, runs }) =>
    `plan of ${nightName(night, day, 'by hand')} drawn up, ${count(runs, 'run')}`,
  'plan-mended': ({ runs }) => `plan mended, ${count(runs, 'run')} still to come`,
  'yard-changed': ({ by: who, changes }, w) =>
    `the changed yard file holds from now on, saved ${by(who, w)}: ${count(changes, 'change')}`,
  'bench-moved': ({ by: who, prop, move }, w) => `${w.move(prop, move)} on the bench, ${by(who, w)}`,
  'readings-lost': ({ dropped }) => [
    `the bus was flooded and ${count(dropped, 'message')} had to be dropped, so every board is asked anew`,
    'Find the board that sends so many.',
  ],
  'loop-stalled': ({ forMs }) => [
    `the yard computer stood still for ${span(forMs)}`,
    'Look at its disk, its heat, and what else runs on it.',
  ],
  'service-due': ({ prop, cycles }, w) => [
    `${does(w, prop, 'is')} due for service after ${count(cycles, 'cycle')}`,
    'Look at belt, wheels, cables and screws.',
  ],
  'drift-over': ({ prop, move }, w) => `${w.move(prop, move)} takes no longer from night to night any more`,
} satisfies SomeSentences;

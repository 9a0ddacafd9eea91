import type { ReasonOf } from '../../../show/reasons.ts';
import { ofLimit, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { zitat } from '../names.ts';
import { notYet } from './limits.ts';

/** `3.2 von 12 s` where the caller lends the present, else `seit 21:13:58, höchstens 12 s`. */
function howFar({ sinceMs, limitMs }: { sinceMs: number; limitMs: number }, w: Words): string {
  const { now, clock } = w.context;
  if (now !== undefined) return ofLimit(now - sinceMs, limitMs, 'von');
  return `seit ${clock(sinceMs)}, höchstens ${span(limitMs)}`;
}

function waiting(r: ReasonOf<'waits'>, w: Words): string {
  return r.for.code === 'need' ? notYet(r.for, w) : w.clause(r.for);
}

/** What a prop does, or waits for. */
export const DOINGS = {
  'opening-notice': ({ atMs }, w) => [
    `der Hof wird gleich geöffnet: ab ${w.context.clock(atMs)} fahren Requisiten in Grundstellung`,
    'Allen in ihrer Nähe Bescheid sagen und Abstand halten.',
  ],
  'opening-homes': ({ props }, w) =>
    props.length === 0
      ? 'der Hof wird geöffnet'
      : `der Hof ist offen, sobald in Grundstellung: ${props.map((p) => w.prop(p)).join(', ')}`,
  'held-restart': ({ atMs }, w) => [
    `der Hofrechner ist um ${w.context.short(atMs)} wiedergekommen und hält den Hof in Pause`,
    'Den Hof abgehen, dann „Öffnen“ drücken.',
  ],
  'at-rest': ({ prop, at }, w) => `${w.prop(prop)} in Ruhe${at === null ? '' : ` bei ${at}`}`,
  'moves-now': (r, w) => `${w.prop(r.prop)} in Bewegung (${zitat(r.move)}), ${howFar(r, w)}`,
  'asked-to-move': ({ prop, move }, w) => `${w.prop(prop)} beauftragt mit ${zitat(move)}, noch kein Anlauf`,
  halting: ({ prop }, w) => `${w.prop(prop)} zum Anhalten aufgefordert, noch keine Antwort`,
  'waits-for-step': ({ prop, scene }, w) => `${w.prop(prop)} noch nicht an der Reihe in ${w.scene(scene)}`,
  waits: (r, w) => `${w.prop(r.prop)} in Wartestellung: ${waiting(r, w)}, ${howFar(r, w)}`,
  homing: ({ prop }, w) => `${w.prop(prop)} auf der Fahrt in Grundstellung`,
  'waits-to-home': (r, w) =>
    `${w.prop(r.prop)} in Wartestellung vor der Fahrt in Grundstellung${r.for === null ? '' : `: ${w.clause(r.for)}`}`,
  'never-heard': ({ prop }, w) => [
    `von ${w.prop(prop)} noch nichts gehört, seit der Hofrechner läuft`,
    'Der Platine Strom geben. Dann nach ihrem WLAN sehen und nach der Adresse des Busses in ihrem Programm.',
  ],
} satisfies SomeSentences;

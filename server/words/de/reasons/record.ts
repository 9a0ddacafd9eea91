import type { Mode, Origin } from '../../../show/reasons.ts';
import { nightName, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { day } from '../day.ts';
import { TITLES } from '../faults/titles.ts';
import { anzahl, zitat } from '../names.ts';
import { MODE_SAID } from './bars.ts';

const ORIGIN_WORDS: Readonly<Record<Origin, string>> = {
  plan: 'nach Plan gestartet',
  trigger: 'von einem Gast ausgelöst',
  hand: 'von Hand gestartet',
  homing: 'Fahrt in Grundstellung begonnen',
  bench: 'im Tippbetrieb gestartet',
  notice: 'zur Ankündigung gestartet',
};

/** Written as the yard computer starts and has heard no board yet: what it does itself, and nothing of what moves. */
const STARTED_TODO: Readonly<Record<Mode, string>> = {
  closed: 'Nichts wird gestartet, bevor er geöffnet wird.',
  opening: 'Es wird angekündigt, bevor sich etwas bewegt.',
  open: 'Es wird angekündigt, bevor sich etwas bewegt.',
  held: 'Nichts wird gestartet, bevor jemand „Öffnen“ drückt. Den Hof abgehen, dann „Öffnen“ drücken.',
  closing: 'Nichts Neues wird gestartet.',
  stopped: 'Der Stopp gilt weiter. Die Ursache beseitigen, den Hof abgehen, dann den Stopp aufheben.',
};

/** What the core puts in the place of a person, in words. */
const NO_PERSON: Readonly<Record<string, string>> = {
  page: 'von der Seite aus',
  http: 'von außerhalb der Seite',
  restart: 'nachdem der Hofrechner wiedergekommen ist',
  'by itself': 'von selbst',
  'clear-unwritten': 'weil das Aufheben nicht geschrieben werden konnte',
  record:
    'weil sich die Aufzeichnung nicht schreiben lässt und eine Sperre nicht hätte festgehalten werden können',
  'its answer': 'von selbst, da die Platine den Stopp beantwortet hat',
  'the hour': 'zur festgesetzten Zeit',
  'stood down': 'weil ein anderer Hofrechner übernommen hat',
  'after a restart': 'von selbst, nachdem der Hofrechner wiedergekommen ist',
  'before the restart': 'bevor der Hofrechner wiedergekommen ist',
};

/** Who did it: a stop button of the yard, a board, the page or a program, else a person's name as it stands. */
export function by(who: string, w: Words): string {
  if (Object.hasOwn(NO_PERSON, who)) return NO_PERSON[who]!;
  const [kind, id = '', how] = who.split(' ');
  if (kind === 'station') return how === 'pressed' ? `an ${w.prop(id)}` : `weil ${stationWhy(id, how, w)}`;
  if (kind === 'board') return `auf Meldung von ${w.board(id)}`;
  if (kind === 'desk') return `von einem anderen Hofrechner (${zitat(id)})`;
  if (kind === 'dead-halt') return `weil von ${w.prop(id)} keine Antwort auf einen Halt kam`;
  return w.context.yard.props.has(who) ? `an ${w.prop(who)}` : `von ${who}`;
}

function stationWhy(id: string, how: string | undefined, w: Words): string {
  return `von ${w.prop(id)} ${how === 'unread' ? 'kein Messwert kommt' : 'nichts zu hören ist'}`;
}

/** Lines of the record. */
export const RECORD = {
  'stop-pressed': ({ by: who, stop }, w) => {
    const how = by(who, w);
    return how.startsWith('weil ') ? `Stopp Nr. ${stop}, ${how}` : `Stopp Nr. ${stop} gedrückt ${how}`;
  },
  'stop-by': ({ by: who }, w) => by(who, w),
  'stop-answered': ({ controller, afterMs }, w) => `${w.board(controller)} gestoppt nach ${span(afterMs)}`,
  'stop-cleared': ({ by: who, stop }, w) => [
    `Stopp Nr. ${stop} aufgehoben ${by(who, w)}`,
    'Nichts bewegt sich, bis jemand „Öffnen“ drückt.',
  ],
  'mode-now': ({ mode, by: who }, w) => `${MODE_SAID[mode]}, ${by(who, w)}`,
  'opening-waits': (r, w) => [
    `das Öffnen wartet auf einen Menschen: ${r.for.map((one) => w.clause(one)).join('; ')}`,
    'Das in Ordnung bringen, den Hof abgehen, dann „Öffnen“ drücken.',
  ],
  'run-started': ({ origin }) => ORIGIN_WORDS[origin],
  'lockout-released': ({ by: who, fault }, w) => `freigegeben ${by(who, w)}, nach ${zitat(TITLES[fault])}`,
  acknowledged: ({ by: who, fault }, w) => `zur Kenntnis genommen ${by(who, w)}: ${zitat(TITLES[fault])}`,
  'link-up': ({ controller }, w) => `von ${w.board(controller)} ist zu hören`,
  'link-down': ({ controller, sinceMs }, w) =>
    `von ${w.board(controller)} nichts gehört seit ${w.context.clock(sinceMs)}`,
  homed: ({ prop }, w) => `${w.prop(prop)} in Grundstellung`,
  'desk-started': ({ mode }) => [`der Hofrechner ist gestartet, und ${MODE_SAID[mode]}`, STARTED_TODO[mode]],
  'stood-down': ({ desk }) => [
    `ein anderer Hofrechner (${zitat(desk)}) steuert den Hof, also sendet dieser nichts als einen Stopp`,
    'Einen der beiden ausschalten.',
  ],
  'stood-up': () => 'dieser Hofrechner steuert den Hof wieder',
  'clock-stepped': ({ byMs }) =>
    `die Uhr wurde um ${span(Math.abs(byMs))} ${byMs < 0 ? 'zurückgestellt' : 'vorgestellt'}`,
  'plan-drawn': ({ night, runs }) =>
    `Plan für ${nightName(night, day, 'von Hand')} aufgestellt, ${anzahl(runs, 'Lauf', 'Läufe')}`,
  'plan-mended': ({ runs }) => `Plan ausgebessert, noch ${anzahl(runs, 'Lauf', 'Läufe')}`,
  'yard-changed': ({ by: who, changes }, w) =>
    `die geänderte Hofdatei gilt ab jetzt, gespeichert ${by(who, w)}: ${anzahl(changes, 'Änderung', 'Änderungen')}`,
  'bench-moved': ({ by: who, prop, move }, w) => `${w.move(prop, move)} im Tippbetrieb, ${by(who, w)}`,
  'readings-lost': ({ dropped }) => [
    `der Bus war überflutet und ${anzahl(dropped, 'Nachricht musste', 'Nachrichten mussten')} verworfen werden, also wird jede Platine neu befragt`,
    'Die Platine finden, die so viele sendet.',
  ],
  'loop-stalled': ({ forMs }) => [
    `der Hofrechner stand ${span(forMs)} lang still`,
    'Nach seinem Datenträger sehen, nach seiner Wärme und danach, was sonst noch auf ihm läuft.',
  ],
  'service-due': ({ prop, cycles }, w) => [
    `Wartung von ${w.prop(prop)} fällig nach ${anzahl(cycles, 'Zyklus', 'Zyklen')}`,
    'Nach Riemen, Rädern, Kabeln und Schrauben sehen.',
  ],
  'drift-over': ({ prop, move }, w) => `${w.move(prop, move)} wird nicht mehr von Nacht zu Nacht langsamer`,
} satisfies SomeSentences;

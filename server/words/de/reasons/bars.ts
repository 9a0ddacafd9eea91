import type { Mode } from '../../../show/reasons.ts';
import { left } from '../../figures.ts';
import type { SomeSentences } from '../../words.ts';
import { und, zitat } from '../names.ts';

/** The mode as a clause. */
export const MODE_SAID: Readonly<Record<Mode, string>> = {
  closed: 'der Hof ist geschlossen',
  opening: 'der Hof wird geöffnet',
  open: 'der Hof ist offen',
  held: 'der Hof ist in Pause',
  closing: 'der Hof wird geschlossen',
  stopped: 'der Hof ist gestoppt',
};

const MODE_TODO: Readonly<Record<Mode, string>> = {
  closed: 'Zuerst „Öffnen“ drücken.',
  opening: 'Warten, bis er offen ist.',
  open: 'Zuerst „Pause“ oder „Schließen“ drücken.',
  held: '„Öffnen“ drücken, um weiterzumachen.',
  closing: 'Warten, bis er geschlossen ist.',
  stopped: 'Die Ursache des Stopps beseitigen, dann den Stopp aufheben.',
};

const ALREADY: Readonly<Record<Mode, string>> = {
  closed: 'der Hof ist schon geschlossen',
  opening: 'der Hof wird schon geöffnet',
  open: 'der Hof ist schon offen',
  held: 'der Hof ist schon in Pause',
  closing: 'der Hof wird schon geschlossen',
  stopped: 'der Hof ist schon gestoppt',
};

const GO_HOME =
  'Beim Öffnen fährt es in Grundstellung. Auch ein Wart kann es im Tippbetrieb dorthin bringen.';

/** Why a command can't be: the yard as a whole, its stop stations, its link, its hours, a prop's standing. */
export const BARS = {
  mode: ({ mode }) => [MODE_SAID[mode], MODE_TODO[mode]],
  stopped: ({ stop }) => [
    `Stopp Nr. ${stop} gilt, bis ein Wart ihn aufhebt`,
    'Die Ursache beseitigen, den Hof abgehen, dann den Stopp aufheben. Aufheben bewegt nichts.',
  ],
  'already-open': ({ mode }) => ALREADY[mode],
  'nothing-to-clear': () => 'es gilt kein Stopp, also ist nichts aufzuheben',
  'station-in': ({ prop }, w) => [
    `${w.prop(prop)} eingedrückt`,
    'Klären, wer gedrückt hat und warum. Dann den Knopf herausdrehen oder herausziehen.',
  ],
  'not-answered': ({ prop }, w) => [
    `von ${w.prop(prop)} noch keine Antwort auf den Stopp`,
    'Es kommt von selbst zurück, sobald seine Platine antwortet. Nach ihrem Strom und ihrer Verbindung sehen.',
  ],
  'station-silent': ({ prop }, w) => [
    `von ${w.prop(prop)} nichts zu hören`,
    'Ein Stopptaster, von dem niemand etwas hört, gilt als gedrückt. Nach dem Strom seiner Platine sehen, dann nach ihrer Verbindung.',
  ],
  'station-not-heard': ({ prop }, w) => [
    `von ${w.prop(prop)} noch nichts gehört, seit der Hofrechner läuft`,
    '10 s warten. Bleibt es so, nach dem Strom der Platine sehen.',
  ],
  'newer-trouble': ({ prop }, w) => [
    prop === null
      ? 'seit dem zuletzt Gesehenen gab es einen neuen Stopp oder eine neue Störung'
      : `bei ${w.prop(prop)} gab es neuen Ärger seit dem zuletzt Gesehenen`,
    'Noch einmal hinsehen, dann neu entscheiden.',
  ],
  'no-bus': () => [
    'der Hofrechner hat keine Verbindung zum Bus, also hört ihn kein Requisit',
    'Sehen, ob das Programm des Busses läuft (seine Adresse steht unter `bus` in der Hofdatei), dann nach dem Netz. Wenn sich noch etwas bewegt, den roten Knopf drücken.',
  ],
  'stands-down': ({ desk }) => [
    `ein anderer Hofrechner (${zitat(desk)}) steuert diesen Hof`,
    'Einen der beiden ausschalten. Dieser macht von selbst weiter, wenn der andere schweigt.',
  ],
  'record-failing': ({ why }) => [
    `die Aufzeichnung lässt sich nicht schreiben (${why.trim().replace(/\.$/, '')})`,
    'Platz auf dem Datenträger schaffen oder ihn wechseln. Nichts Neues bewegt sich, bis sich die Aufzeichnung wieder schreiben lässt; ein Stopp wirkt trotzdem.',
  ],
  'outside-hours': () => [
    'es ist außerhalb der heutigen Öffnungszeit',
    'Angeben, wie lange geöffnet werden soll, etwa 2 h.',
  ],
  'no-night': () => [
    'für jetzt ist keine Nacht geplant',
    'Angeben, wie lange geöffnet werden soll, etwa 2 h.',
  ],
  'locked-out': ({ prop, fault }, w) =>
    fault === 'by-hand'
      ? [`${w.prop(prop)} außer Betrieb`, 'Das hat jemand von Hand getan. Nachfragen, dann freigeben.']
      : [
          `${w.prop(prop)} gesperrt`,
          'Die Störung lesen, die Ursache beheben, dann freigeben. Freigeben bewegt nichts.',
        ],
  'not-locked-out': ({ prop }, w) => `${w.prop(prop)} nicht gesperrt, also ist nichts freizugeben`,
  'still-contradicts': ({ prop, sensors }, w) => [
    sensors.length === 1
      ? `${w.sensor(prop, sensors[0]!)} noch im Widerspruch zum Rest`
      : sensors.length === 0
        ? `die Sensoren von ${w.prop(prop)} widersprechen einander noch`
        : `die Sensoren ${und(sensors)} von ${w.prop(prop)} widersprechen einander noch`,
    'Zuerst den Sensor, seine Versorgung oder seine Leitung in Ordnung bringen.',
  ],
  'follows-other': ({ prop, first }, w) => [
    `der Ärger bei ${w.prop(prop)} kam von ${w.prop(first)}`,
    `${w.prop(first)} freigeben: das gibt ${w.prop(prop)} mit frei.`,
  ],
  'two-boards-still': ({ prop }, w) => [
    `noch immer melden sich zwei Platinen für ${w.prop(prop)}`,
    'Die ausschalten, die nicht da sein soll, und 10 s warten.',
  ],
  silent: ({ prop }, w) => [
    `von ${w.prop(prop)} nichts zu hören`,
    'Nach dem Strom der Platine sehen, dann nach ihrem WLAN oder Kabel.',
  ],
  'position-unknown': ({ prop }, w) => [`Stellung von ${w.prop(prop)} nicht bekannt`, GO_HOME],
  'not-at-home': ({ prop }, w) => [`${w.prop(prop)} nicht in Grundstellung`, GO_HOME],
  'no-homing-move': ({ prop }, w) => [
    `${w.prop(prop)} nicht in Grundstellung, und keine einzelne Bewegung führt dorthin`,
    'Die Bewegung mit `home-move` in der Hofdatei nennen oder es im Tippbetrieb in Grundstellung bringen.',
  ],
  'set-aside': ({ prop, why }, w) => [
    why === null
      ? `${w.prop(prop)} beiseitegelassen, weil die Fahrt in Grundstellung nicht möglich war`
      : `${w.prop(prop)} beiseitegelassen, weil die Fahrt in Grundstellung nicht möglich war: ${w.clause(why)}`,
    'Das in Ordnung bringen. Die Fahrt wird wieder versucht, wenn eine Szene es das nächste Mal braucht.',
  ],
  'too-soon-after-link': ({ prop, forMs }, w) =>
    `${w.prop(prop)} eben erst wieder da: noch ${left(forMs)} lang keine Bewegung`,
} satisfies SomeSentences;

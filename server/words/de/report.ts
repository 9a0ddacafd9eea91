import type { ReportWords } from '../en/report.ts';
import { nightName } from '../figures.ts';
import { day } from './day.ts';
import { anzahl } from './names.ts';

/** A night's report in German. */
export const REPORT: ReportWords = {
  title: (yard, night, open, close) =>
    `${yard}, Nacht vom ${nightName(night, day, 'von Hand')}, ${open} bis ${close}`,
  fates: {
    made: 'gelaufen',
    failed: 'gescheitert',
    abandoned: 'aufgegeben',
    stopped: 'gestoppt',
    skipped: 'übersprungen',
  },
  runs: { title: 'Läufe', none: 'Der Hof hat keine Szene.', scene: 'Szene' },
  missed: {
    title: 'Ausgefallen, nach Ursache',
    none: 'Kein Lauf ist ausgefallen.',
    head: ['Läufe', 'Szene', 'was daraus wurde', 'der erste davon'],
  },
  faults: {
    title: 'Störungen',
    none: 'Keine Störung.',
    head: ['um', 'Requisit', 'dauerte', 'was'],
    warning: 'eine Warnung',
    notEnded: 'nicht beendet',
    follows: (lasted, first) => `${lasted}, Folge von ${first}`,
  },
  alarms: {
    title: 'Alarme',
    none: 'Kein Alarm.',
    head: ['Flut von', 'bis', 'Alarme'],
    loads: {
      well: 'damit kommt ein Mensch mit',
      'at-most': 'das ist das Meiste, womit ein Mensch mitkommt',
      'too-many': 'das ist mehr, als womit ein Mensch mitkommt',
    },
    source:
      'Nach EEMUA 191 und ISA-18.2 kommt ein Mensch mit etwa 1 Alarm in 10 min mit, höchstens mit 2; 10 in 10 min sind eine Flut, und das sollte weniger als 1 % der Zeit sein.',
    rate: (alarms, over, perTen, load) =>
      `${anzahl(alarms, 'Alarm', 'Alarme')} in ${over}, im Mittel ${perTen} in 10 min: ${load}.`,
    tooShort: (alarms, over) =>
      `${anzahl(alarms, 'Alarm', 'Alarme')} in ${over}. Diese Zeit ist zu kurz, um nach einer Rate zu urteilen.`,
    most: (n) => `Höchstens ${n} kamen innerhalb von 10 min.`,
    flooded: (share, tooMuch) => `${share} der Zeit war Flut${tooMuch ? ', und das ist zu viel' : ''}.`,
  },
  stops: {
    title: 'Stopps',
    none: 'Kein Stopp.',
    head: ['um', 'was', 'galt', 'wer geantwortet hat'],
    notCleared: 'nicht aufgehoben',
    answered: (n, all) => `${n} von ${all}`,
    slowest: (after) => `, der letzte nach ${after}`,
    silent: (who) => `; nicht: ${who.join(', ')}`,
  },
  refused: {
    title: 'Auslöser, die nichts auslösten',
    none: 'Kein Auslöser wurde abgewiesen.',
    head: ['Mal', 'Sensor', 'Szene', 'der erste davon'],
  },
  travels: {
    title: 'Fahrzeiten',
    none: 'Keine Fahrt wurde gemessen.',
    head: ['Bewegung', 'Fahrten', 'Mitte', 'Streuung', 'kürzeste', 'längste', 'üblich', 'Grenze', 'Anstieg'],
    spread: 'Zwei von drei Fahrten liegen innerhalb der Streuung um die Mitte.',
    atLimit: 'an der Grenze',
    left: (nights) => `noch ${anzahl(nights, 'Nacht', 'Nächte')}`,
    drift: (from, now, left) => `${from} auf ${now}, ${left}`,
  },
  service: {
    title: 'Wartung fällig',
    none: 'Bei keinem Requisit wurde die Wartung fällig.',
    head: ['um', 'Requisit', 'was'],
  },
};

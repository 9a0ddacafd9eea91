import { lengthOf } from '../../time.ts';
import { listed } from './listed.ts';
import { names } from './names.ts';

/** German words of the yard as a whole. */
export const whole: typeof import('../yard.ts') = {
  yard: {
    heading: 'Hof',
    trouble: 'Schwierigkeiten',
    noTrouble: 'Keine Schwierigkeiten.',
    nowNext: 'Jetzt und gleich',
    nothingNow: 'Keine Szene läuft.',
    notOpen: 'Nichts beginnt, bis der Hof geöffnet ist.',
    closing: 'Nichts Neues beginnt: der Hof wird geschlossen.',
    planned: 'geplant',
    inTime: (ms) => `in ${lengthOf(ms)}`,
    due: 'fällig',
    since: (ms) => `seit ${lengthOf(ms)}`,
    noZone: (zones) => (zones === 0 ? 'Der Hof' : 'Anderswo'),
    allWell: (count) => (count === 1 ? '1, gut' : `alle ${count} gut`),
    someWell: (well, all) => `${well} von ${all} gut`,
    notes: 'Vom Hofrechner',
    tonight: 'Heute',
  },
  wall: {
    open: 'Groß zeigen, für die Wand',
    obeyed: (answered, all) => `${answered} von ${all} haben gehorcht.`,
    leave: 'Die Taste Esc führt zum Hof zurück.',
    back: 'Zurück im Browser führt zum Hof.',
  },
  mode: {
    sentences: names.modeSentences,
    atRest: 'Der Hof ist geschlossen. Alles ist in Ruhe.',
    noneHeard: 'Keine Platine ist zu hören; niemand hier weiß, was sich bewegt.',
    notHeard: (who) =>
      who.length === 1
        ? `Nicht zu hören: ${who[0]}. Niemand hier weiß, ob es sich bewegt.`
        : `Nicht zu hören: ${listed(who)}. Niemand hier weiß, ob sie sich bewegen.`,
    hours: (open, close) => `Offen ${open} bis ${close}`,
    quiet: (quiet) => `Nachtruhe ab ${quiet}`,
    noNight: 'Für jetzt ist keine Nacht geplant.',
    open: 'Öffnen',
    openLonger: 'für',
    hold: 'Pause',
    close: 'Schließen',
    nothingPlanned: 'ohne Geplantes',
    openWarns: 'Requisiten werden sich bewegen. Vor dem Öffnen den Hof abgehen.',
  },
};

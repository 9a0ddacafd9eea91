import { listed } from './listed.ts';

/** German words of the stop bar and of the stopped yard. */
export const stopping: typeof import('../stop.ts') = {
  stop: {
    label: 'ALLES STOPP',
    hint: 'Jemand in Gefahr? Zuerst der rote Knopf.',
    unheard: 'Keine Verbindung zu den Requisiten. Den roten Knopf drücken.',
    sending: 'Wird gestoppt…',
    rolling: (answered, all) => `Wird gestoppt… ${answered} von ${all}`,
    stoppedAll: (all) => `Gestoppt. Alle ${all} haben geantwortet.`,
    stoppedSome: (answered, all, silent) =>
      `Gestoppt: ${answered} von ${all}. Keine Antwort: ${listed(silent)}. ` +
      `${silent.length === 1 ? 'Stecker dort' : 'Die Stecker dort'} ziehen oder den roten Knopf drücken.`,
    noBus: 'Der Stopp gilt, aber es gibt keine Verbindung zu den Requisiten. Den roten Knopf drücken.',
    lost: 'Der Hof ist nicht zu erreichen. Den roten Knopf drücken.',
    trying: 'Versuche, den Hof zu erreichen… Den roten Knopf drücken.',
    failed: 'Der Stopp kam nicht durch. Den roten Knopf drücken.',
    unseen:
      'Der Hofrechner hat den Stopp angenommen. Von hier aus ist nicht zu sehen, wer gehorcht hat: hingehen und nachsehen.',
  },
  stopped: {
    heading: 'Gestoppt',
    since: (clock, by) => (by ? `Um ${clock}. ${by}` : `Um ${clock}.`),
    safety:
      'Diese Seite ist eine Bequemlichkeit. Um Motorstrom und Luft zu trennen, den roten Knopf drücken: nur der ist ein Not-Halt.',
    answered: 'Gehorcht',
    silent: 'Keine Antwort',
    nobody: 'noch niemand',
    next: 'Danach',
    barsHeading: 'Bevor der Stopp aufgehoben werden kann, in dieser Reihenfolge',
    noBars:
      'Den Hof abgehen. Wenn alle weit genug weg sind, den Stopp aufheben. Nichts wird gestartet, bis danach „Öffnen“ gedrückt wird.',
    clear: 'Halten, um den Stopp aufzuheben',
    keeperOnly: 'Nur ein Wart hebt einen Stopp auf.',
  },
};

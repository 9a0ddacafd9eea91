import { TITLES } from '../../../server/words/de/faults/titles.ts';

/** German names of what has a code: faults, modes, states, fates. */

export const names: typeof import('../names.ts') = {
  faults: TITLES,
  modes: {
    closed: 'geschlossen',
    opening: 'öffnet',
    open: 'offen',
    held: 'Pause',
    closing: 'schließt',
    stopped: 'gestoppt',
  },
  modeSentences: {
    closed: 'Der Hof ist geschlossen. Nichts beginnt von selbst.',
    opening: 'Der Hof wird geöffnet. Requisiten fahren in Grundstellung; Abstand halten.',
    open: 'Der Hof ist offen. Szenen beginnen von selbst.',
    held: 'Pause. Nichts Neues beginnt; was läuft, läuft zu Ende.',
    closing: 'Der Hof wird geschlossen. Was läuft, läuft zu Ende, dann fährt alles in Grundstellung.',
    stopped: 'Gestoppt. Nichts wird gestartet, bis der Stopp aufgehoben und der Hof dann geöffnet ist.',
  },
  fates: {
    planned: 'geplant',
    running: 'läuft',
    done: 'fertig',
    failed: 'gescheitert',
    abandoned: 'abgebrochen',
    skipped: 'übersprungen',
    stopped: 'gestoppt',
  },
  origins: {
    hand: 'von Hand',
    trigger: 'Gast',
    notice: 'Ankündigung',
  },
  states: {
    unknown: 'Stellung nicht bekannt',
    ready: 'bereit',
    moving: 'in Bewegung',
    resting: 'Ruhepause',
    'locked-out': 'gesperrt',
    silent: 'keine Antwort',
  },
};

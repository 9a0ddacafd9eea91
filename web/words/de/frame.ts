import { lengthOf } from '../../time.ts';

/** German words of the frame: strip, tabs, the lost link, sign-in, presses and their answers. */
export const frame: typeof import('../frame.ts') = {
  strip: {
    // shorter than the sentence: beside 'gestoppt' the strip of a phone has no more room
    well: (well, all) => `${well}/${all} gut`,
    yardTime: 'Hofzeit',
    age: (ms) => `${lengthOf(ms)} alt`,
    looking: 'Suche den Hofrechner…',
    lost: (ms) => `Seit ${lengthOf(ms)} nichts gehört`,
    light: (level) => `Licht: ${level}`,
  },
  lights: { auto: 'nach der Sonne', day: 'Tag', dusk: 'Dämmerung', red: 'tiefrot' },
  tabs: {
    yard: 'Hof',
    tonight: 'Heute',
    faults: 'Störungen',
    nights: 'Nächte',
    setup: 'Einrichten',
    label: 'Ansichten',
  },
  tabFaults: (count) => `${count} gesperrt`,
  title: (yard, mode, troubles) =>
    troubles > 0 ? `${troubles} in Schwierigkeiten, ${mode}: ${yard}` : `${mode}: ${yard}`,
  lost: {
    heading: 'Diese Seite erreicht den Hofrechner nicht',
    text: 'Was hier zu sehen ist, war so und muss nicht mehr so sein. Nichts, was hier gedrückt wird, wird gesendet oder für später aufgehoben; nur ALLES STOPP versucht es noch.',
    checks: [
      'Ist das WLAN des Hofs in Reichweite?',
      'Hat der Hofrechner Strom?',
      'Bis er wieder da ist, stoppt der rote Knopf den Hof.',
    ],
    notSent: 'Nicht gesendet: diese Seite erreicht den Hofrechner nicht.',
  },
  bus: {
    heading: 'Der Hofrechner hat seine Verbindung zu den Requisiten verloren',
    text: 'Requisiten, die nichts hören, halten von selbst an. Die Nachrichten laufen über ein Programm, den Bus: den eigenen des Hofrechners oder den an der Adresse unter „bus“ in der Hofdatei. Sehen, ob dieser Rechner läuft, dann nach seinem Netzkabel oder WLAN.',
    standsDown: (desk) => `Ein anderer Hofrechner (${desk}) steuert den Hof; dieser steht bereit.`,
    standsDownText:
      'Nur einer darf steuern. Den ausschalten, der es nicht soll. ALLES STOPP wirkt von beiden.',
  },
  signIn: {
    heading: 'Anmelden',
    text: 'Hinsehen geht ohne Anmeldung, und ALLES STOPP auch. Zum Öffnen, für Pause, zum Schließen oder Freigeben die eigene PIN eintippen.',
    pin: 'PIN',
    erase: 'Löschen',
    act: 'Anmelden',
    toAct: 'Zum Bedienen anmelden',
    as: (name, role) => (name === role ? `Angemeldet als ${name}.` : `Angemeldet als ${name}, ${role}.`),
    roles: { helper: 'Helfer', keeper: 'Wart' },
    out: 'Abmelden',
    keeper:
      'Ein Wart ist, wer sich um diesen Hof kümmert: die PIN des ersten wurde beim ersten Start des Hofrechners gesetzt oder ausgegeben.',
  },
  hold: {
    keep: 'Weiter halten…',
    short: 'Zu kurz. Weiter halten',
    letGo: 'Jetzt loslassen',
    again: 'Noch einmal drücken, um es zu tun',
  },
  said: {
    close: 'Diese Meldung schließen',
    refused: 'Abgelehnt',
    failed: 'Nicht getan',
    noAnswer: 'Der Hofrechner hat nicht geantwortet. Auf den Hof sehen, bevor es noch einmal versucht wird.',
  },
};

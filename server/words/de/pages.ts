import type { NoteWords, PageWords, PlainWords } from '../tongue.ts';

export const PAGES: PageWords = {
  index: 'Was Störungen bedeuten',
  intro:
    'Eine Störung nimmt ihr Requisit außer Betrieb, und alles andere läuft weiter. Sie bleibt, bis ein Wart freigibt, sobald die Ursache weg ist. Freigeben bewegt nichts. Zwei sind milder: eine verlorene Platine kommt von selbst zurück, wenn sie nicht oft verloren geht, und das Langsamerwerden ist nur eine Warnung.',
  cautions: 'Vor allem anderen',
  fault: (code) => `Störung ${code}.`,
  rule: 'Wie der Hofrechner es entscheidet',
  now: 'Was der Hof von selbst tut',
  handsIn:
    'Bevor eine Hand hineingreift: auf seiner Seite außer Betrieb nehmen, seinen Stecker ziehen, seine Luft ablassen und abstützen, was fallen kann. Außer Betrieb auf der Seite allein hindert nichts daran, sich zu bewegen.',
  checks: 'Zuerst nachsehen, in dieser Reihenfolge',
  causes: 'Wahrscheinliche Ursachen, die wahrscheinlichste zuerst',
  find: 'Die Ursache finden',
  will: 'Was Freigeben tut',
  wont: 'Was Freigeben nicht tut',
  prevent: 'Damit es nicht wiederkommt',
  all: 'Alle Störungen',
  yard: 'Der Hof',
};

export const PLAIN: PlainWords = {
  about: 'Der Hof: was läuft, wo es klemmt, und ALLES STOPP.',
  stopAll: 'ALLES STOPP',
  hint: 'Jemand in Gefahr? Zuerst der rote Knopf.',
  loading: 'Die Seite wird geladen.',
  ifItStays:
    'Bleibt das so, wurde ihr Programm nicht geladen: die Seite neu laden. ALLES STOPP unten wirkt auch so.',
  yardPage: 'Die Seite des Hofs',
  convenience: 'ALLES STOPP unten ist eine Bequemlichkeit. Der Not-Halt ist der rote Knopf im Hof.',
  stopSent: (n) => `Stopp ${n} gesendet`,
  onItsWay:
    'Der Stopp ist unterwegs zu jedem Requisit. Auf den Hof sehen. Was sich noch bewegt: den roten Knopf drücken.',
  pressRedButton: 'DEN ROTEN KNOPF DRÜCKEN',
  noBus:
    'Der Stopp konnte den Requisiten nicht übergeben werden: es gibt keinen Bus. Jetzt den roten Knopf drücken.',
};

export const NOTES: NoteWords = {
  busNotYet: 'Der Bus ist noch nicht da.',
  busGone: 'Der Bus ist nicht da.',
  anotherTookOver: (desk) => `Ein anderer Hofrechner (${desk}) hat den Bus übernommen.`,
  anotherDrives: (desk) =>
    `Ein anderer Hofrechner (${desk}) steuert diesen Bus. Dieser wartet und bewegt nichts, bis jener weg ist.`,
  numberNotKept: (why) =>
    `Dieser Rechner kann nicht beginnen, weil sich seine Nummer nicht sichern lässt: ${why}`,
  noticeFailed: (why) => `Die letzte Benachrichtigung kam nicht durch: ${why}.`,
  fileFromStart: 'Eine geänderte Hofdatei wurde gespeichert. Sie gilt ab dem nächsten Start.',
  fileOnceClosed:
    'Eine geänderte Hofdatei wurde gespeichert. Sie gilt, sobald der Hof geschlossen und in Ruhe ist.',
  fileOnceAtRest: (titles) =>
    `Eine geänderte Hofdatei wurde gespeichert. Sie gilt, sobald diese in Ruhe sind: ${titles.join(', ')}.`,
  dropped: (n) =>
    `${n} ${n === 1 ? 'Nachricht' : 'Nachrichten'} auf dem Bus ${n === 1 ? 'war' : 'waren'} nicht zu gebrauchen.`,
  mostDropped: {
    unknown: (what) =>
      `Am häufigsten: \`${what}\` steht nicht in der Hofdatei. Dort ergänzen oder die Kennung im Programm der Platine berichtigen.`,
    unreadable: (what) =>
      `Am häufigsten: was auf \`${what}\` kommt, ist nicht so geschrieben wie vereinbart. Das Programm der Platine berichtigen, die es sendet, und sie mit \`dusklatch exam\` prüfen.`,
    'too-large': (what) =>
      `Am häufigsten: eine Nachricht ist zu groß (\`${what}\`). Das Programm finden, das sie sendet.`,
    kept: (what) =>
      `Am häufigsten: was auf \`${what}\` kommt, wurde mit „retain“ gesendet und kann also alt sein. Die Platine soll es ohne das senden.`,
    barred: (what) =>
      `Am häufigsten: was auf \`${what}\` kommt, darf nur dieser Hofrechner sagen. Den anderen Absender finden.`,
  },
  flooded: (n) =>
    `Der Bus ist überflutet: ${n} Nachrichten wurden verworfen. Die Platine finden, die so viele sendet.`,
  recordFails: (why) => `Die Aufzeichnung lässt sich nicht schreiben: ${why}. Nichts Neues wird gestartet.`,
  busGoneNotice: 'Der Bus ist weg: der Hofrechner erreicht keine Platine. Jede hält von selbst an.',
  trialFailed: (why) => `Die Probe kam nicht durch: ${why}.`,
  trialNotice: (by) => `Dies ist eine Probe, verlangt von ${by}. Es ist nichts geschehen.`,
};

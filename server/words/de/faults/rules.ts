import type { Fault } from '../../../show/reasons.ts';
import type { FaultWords } from '../../fault-words.ts';
import { upper } from '../../figures.ts';
import type { Words } from '../../words.ts';
import { zitat } from '../names.ts';
import { HANDS, moveWord, ON_BENCH, RELEASE_WILL, RELEASE_WONT } from './parts.ts';

/** What the core saw of the need (`why`), after 'um 21:14:20'. */
function wentAway(f: Fault, w: Words): string {
  if (f.need === undefined || f.why === undefined) return 'galt das nicht mehr';
  if (f.why === 'silent') return `war von ${w.prop(f.need.prop)} nichts mehr zu hören`;
  return f.why === 'unknown' ? 'war der Messwert nicht mehr frisch' : 'galt das nicht mehr';
}

export const interlockLost: FaultWords = {
  seen: (f, w) => {
    const need = f.need === undefined ? 'ihre Voraussetzung' : w.need(f.need);
    return `${upper(moveWord(f))} braucht: ${need}; um ${w.context.clock(f.at)} ${wentAway(f, w)}. Es wurde angehalten.`;
  },
  look: (f, w) => (f.need === undefined ? 'was es gebraucht hat' : `zuerst ${w.prop(f.need.prop)}`),
  causes: () => [
    'Das Requisit, auf das es sich verließ, hat sich bewegt, wurde geschoben oder hat seinen Sensor verloren.',
    'Die Platine des anderen Requisits ging einen Augenblick verloren, sodass seinem Sensor nicht mehr zu trauen war.',
    'Der Sensor, den die Voraussetzung nennt, flattert.',
  ],
  checks: () => [
    'Die Störung des anderen Requisits lesen: sie kam zuerst.',
    'Sehen, wo das andere Requisit steht und ob sein Ende noch belegt ist.',
    'Sehen, dass nichts von diesem Requisit im anderen verfangen ist, bevor sich eines von beiden bewegt.',
    `${HANDS} Das gilt für beide Requisiten.`,
  ],
  releaseWill:
    'Wird das andere Requisit freigegeben, ist auch dieses freigegeben. Allein lässt es sich freigeben, wenn das andere keine Störung hat.',
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Es bewegte sich im Vertrauen auf etwas, das wahr bleiben musste, und das hörte auf, wahr zu sein.',
    rule: 'Eine Voraussetzung der Bewegung (`needs` in der Hofdatei) fiel zwischen ihrem Anfang und ihrem Ende weg: ein Sensor ging verloren, ein Requisit, das ruhen sollte, bewegte sich, oder sein Messwert ist nicht mehr frisch.',
    now: 'Es wird im selben Augenblick angehalten und gesperrt, eingeordnet unter der Störung des Requisits, auf das es sich verließ.',
    find: [
      'Die Ursache liegt fast immer beim anderen Requisit. Das in Ordnung bringen. Dann sehen, ob der Halt dieses hier in einer ungünstigen Haltung zurückgelassen hat.',
    ],
    prevent:
      'Etwas, das das andere Requisit an seinem Ende festhält: ein Schneckengetriebe, ein Magnet, eine Mulde in der Bahn.',
  },
};

export const deadHalt: FaultWords = {
  seen: (f, w) =>
    `Um ${w.context.clock(f.at)} innerhalb von 1.0 s keine Antwort auf einen Halt, deshalb wurde der ganze Hof gestoppt. Bewegt es sich noch, den roten Knopf drücken oder seinen Stecker ziehen.`,
  look: () => 'ob es sich noch bewegt, dann sein Relais oder seinen Treiber',
  causes: () => [
    'Ein Relais klebt oder seine Kontakte sind verschweißt: die Platine schaltet ab, und der Motor läuft weiter.',
    'Der Treiber hat Kurzschluss.',
    'Das Programm der Platine steht still, während der Ausgang an ist.',
    'Die Verbindung zur Platine ging gerade dann verloren, und die Platine ist von selbst in Ruhe.',
  ],
  checks: () => [
    'Abstand halten. Sehen, ob es sich bewegt oder brummt. Wenn ja, den roten Knopf drücken oder seinen Stecker ziehen.',
    HANDS,
    'Bei abgeschaltetem Strom über dem Relaiskontakt oder dem Treiber messen: offen heißt gut, geschlossen heißt verschweißt.',
    'Nach der Lampe der Platine sehen und auf der Seite, ob von ihr zu hören ist.',
    `Bei noch abgestecktem Motor bewegen, ${ON_BENCH}. Anhalten: der Ausgang muss sofort abschalten.`,
    'Nach der Nacht, bei beendetem Hofrechner, prüfen lassen: `dusklatch exam CONTROLLER --file FILE` erprobt den Halt.',
  ],
  releaseWill: `Der Stopp wird zuerst und für sich aufgehoben. Dann: ${RELEASE_WILL.charAt(0).toLowerCase()}${RELEASE_WILL.slice(1)}`,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Es sollte anhalten, und niemand weiß, ob es das tat. Das ist die eine Störung, die alles stoppt.',
    rule: 'Ein Halt wird alle 250 ms wiederholt. Weder `halted` noch `done` noch ein Neubeginn der Platine innerhalb von 1 s.',
    now: 'Stopp für den ganzen Hof, der bestehen bleibt, bis ihn ein Mensch aufhebt. Das Requisit wird gesperrt.',
    find: [
      'Elektronik, die versagt, versagt oft geschlossen. Eine Nachricht kann einen verschweißten Kontakt nicht öffnen. Das kann nur ein Schalter in der Versorgung des Motors, und dafür ist der rote Knopf da.',
      'War der Motor in Ruhe und nur die Platine verloren, es wie eine verlorene Platine behandeln: Strom, Versorgung, WLAN.',
    ],
    prevent:
      'Relais und Treiber, die für den Anlaufstrom des Motors bemessen sind. Eine Überwachung auf der Platine, die sie neu startet, mit Ausgängen, die beim Start aus sind. Ein roter Knopf, der Motorstrom und Luft trennt, vor jeder Nacht erprobt.',
  },
};

export const byHand: FaultWords = {
  seen: (f, w) => {
    const why =
      f.why === undefined || f.why.trim() === '' ? 'Es wurde kein Grund genannt.' : `Grund: ${zitat(f.why)}.`;
    return `Um ${w.context.short(f.at)} von einem Menschen außer Betrieb genommen. ${why}`;
  },
  look: (f) =>
    f.why === undefined || f.why.trim() === ''
      ? 'wer es außer Betrieb genommen hat'
      : 'den Grund, der genannt wurde',
  causes: () => [
    'Jemand hat es außer Betrieb genommen, um daran zu arbeiten oder weil etwas nicht gut aussah.',
  ],
  checks: () => [
    'Fragen, ob fertig und weit genug weg ist, wer es getan hat.',
    'Sehen, dass die Schutzvorrichtungen wieder angebracht und die Werkzeuge weggeräumt sind.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Bewegt selbst nichts und hebt keinen Stopp auf. Sie wird nur abgelehnt, solange seine Sensoren einander widersprechen.',
  page: {
    means: 'Ein Mensch hat es auf seiner Seite außer Betrieb genommen.',
    rule: 'Das tut nur ein Mensch, und er nennt einen Grund. Es bleibt über Neustarts und Nächte so, bis ein Mensch es freigibt.',
    now: 'Es wird nicht geplant, nicht bewegt und nicht in Grundstellung gefahren. Ein Wart kann es im Tippbetrieb trotzdem bewegen.',
    find: [
      'Außer Betrieb auf der Seite ist kein Schloss an der Maschine. Wer daran arbeitet, schaltet auch den Strom ab und lässt die Luft ab und behält den Stecker im Blick.',
    ],
    prevent:
      'Einen Grund hinschreiben, den der Nächste versteht, und den eigenen Namen, falls er nicht klar ist.',
  },
};

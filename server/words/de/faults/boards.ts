import type { FaultWords } from '../../fault-words.ts';
import { und, zitat } from '../names.ts';
import { refusal } from '../refusals.ts';
import { HANDS, MEASURE_CLEAR, moveWord, ON_BENCH, RELEASE_WILL, RELEASE_WONT } from './parts.ts';

const WIFI =
  'Bei WLAN: das Stromsparen des Funkmoduls der Platine abschalten. Es schläft zwischen den Nachrichten, was bestenfalls ein bis zwei Zehntelsekunden kostet und schlimmstenfalls die Verbindung.';

/** The core's word where a stop was cleared before this board had answered it. */
const NO_STOP_ANSWER = 'did not answer the stop';

export const noAnswer: FaultWords = {
  seen: (f, w) =>
    f.why === NO_STOP_ANSWER
      ? 'Die Platine hat den Stopp nicht beantwortet. Sobald sie es tut, ist es von selbst wieder in Betrieb.'
      : `Zweimal beauftragt: ${moveWord(f)}; bis ${w.context.clock(f.at)} kam kein „started“.`,
  look: () => 'die Lampe der Platine, dann ihre Versorgung',
  causes: () => [
    'Die Platine hört, aber ihr Programm hängt oder ist beschäftigt: es wartet in einem Ablauf, statt seine Nachrichten zu lesen.',
    'Die Nachrichten an sie gehen verloren: schwaches WLAN oder ein Funkmodul, das Strom spart.',
    'Die Platine hat die Aufträge dieses Requisits nicht abonniert: in ihrem Programm steht eine andere Kennung oder Wurzel als in der Hofdatei.',
    'Die Platine startet jedes Mal neu, wenn sie den Motor einschaltet: ihre Versorgung bricht ein.',
  ],
  checks: () => [
    'Ihre Zeile auf der Seite ansehen: zu hören oder nicht, und seit wann.',
    'Abstand halten. Die Platine ausschalten, 5 s warten, einschalten und sehen, ob sie wiederkommt.',
    `Von außer Reichweite bewegen, ${ON_BENCH}. Die Platine beobachten: startet sie neu, wenn der Motor anläuft?`,
    'Die Kennungen in ihrem Programm mit der Hofdatei vergleichen, Buchstabe für Buchstabe.',
    'Nach der Nacht, bei beendetem Hofrechner, prüfen lassen: `dusklatch exam CONTROLLER --file FILE` sagt, welche Pflicht sie nicht erfüllt.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Es wurde zweimal zur Bewegung aufgefordert, und seine Platine hat überhaupt nichts gesagt.',
    rule: 'Kein „started“ nach dem Auftrag, der nach 1 s unter derselben Nummer einmal wiederholt wird, damit eine Platine, die den ersten doch gehört hat, nichts zweimal tut. Nach 2 s aufgegeben.',
    now: 'Für den Fall, dass es sich doch bewegt, wird ein Halt gesendet, und es wird gesperrt. Szenen ohne es laufen weiter.',
    find: [
      WIFI,
      'Zwei Versorgungen, eine für den Motor und eine für die Platine, mit verbundenem Minus, heilen die meisten Neustarts.',
    ],
    prevent:
      'In der Hauptschleife der Platine nie warten. Dinge anstoßen, zurückkehren und beim nächsten Durchgang wieder nachsehen.',
  },
};

export const refused: FaultWords = {
  seen: (f) => `Auftrag: ${moveWord(f)}, aber ${refusal(f.why ?? '')}.`,
  look: () => 'die Bewegungen im Programm der Platine, dann die Hofdatei',
  causes: (f) =>
    f.why === 'busy'
      ? [
          'Die Platine glaubt noch, dass sie etwas bewegt: sie hat das Ende der letzten Bewegung verpasst oder meldet nie, dass sie fertig ist.',
          'Jemand bewegt es mit einem eigenen Taster.',
          'Die Platine hat zwei Requisiten und zählt sie als eines.',
        ]
      : [
          'Die Hofdatei nennt eine Bewegung, die das Programm der Platine nicht hat oder anders schreibt.',
          'Die Platine hat ein altes Programm.',
          'Die Platine hat das Programm eines anderen Requisits.',
        ],
  checks: (f) =>
    f.why === 'busy'
      ? [
          'Sehen, ob es sich bewegt. Wenn ja, Abstand halten.',
          'Abstand halten. Die Platine aus- und einschalten: sie muss in Ruhe wiederkommen.',
          'In ihrem Programm suchen, wo sie fertig meldet und ob sie immer dorthin kommt.',
        ]
      : [
          'Die Namen der Bewegungen in ihrem Programm mit der Hofdatei vergleichen, Buchstabe für Buchstabe.',
          'Die Programmversion ansehen, die sie auf ihrer Seite meldet.',
          'Nach der Nacht, bei beendetem Hofrechner, prüfen lassen: `dusklatch exam CONTROLLER --file FILE`.',
        ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Seine Platine hat den Auftrag gehört und nein gesagt, auf eine Weise, die nicht vorkommen sollte.',
    rule: 'Die Platine hat mit `unknown` oder `busy` abgelehnt. Andere Ablehnungen, etwa dass sie eben erst wiedergekommen ist, beenden den Lauf ohne Sperre.',
    now: 'Dort bewegt sich nichts. Es ist gesperrt, bis ein Mensch nachgesehen hat. Szenen ohne es laufen weiter.',
    find: ['Ein Name muss auf den Buchstaben stimmen: `out` und `Out` sind zwei Bewegungen.'],
    prevent:
      'Nach jeder Änderung an einer Platine oder an der Hofdatei die Prüfung laufen lassen, bevor geöffnet wird.',
  },
};

/** Causes that the yard computer itself puts down as `why`; any other is the board's own word and is quoted. */
const OWN_WORDS = new Map<string, (move: string) => string>([
  ['', (move) => `Die Platine hat aufgegeben: ${move}.`],
  ['no reason given', (move) => `Die Platine hat ohne Grund aufgegeben: ${move}.`],
  [
    'halted by itself',
    (move) => `Die Platine hat von sich aus angehalten, und niemand hatte es ihr gesagt: ${move}.`,
  ],
  [
    'arrived but never said done',
    (move) => `Es ist angekommen, aber die Platine hat nie gemeldet, dass es fertig ist: ${move}.`,
  ],
]);

export const failed: FaultWords = {
  seen: (f) => {
    if (f.sensor !== undefined)
      return `Die Platine hat fertig gemeldet (${moveWord(f)}), aber ${f.sensor} ist nicht belegt.`;
    return (
      OWN_WORDS.get(f.why ?? '')?.(moveWord(f)) ??
      `Die Platine hat aufgegeben (${moveWord(f)}) und sagt ${zitat(f.why!)}.`
    );
  },
  look: (f) =>
    f.sensor === undefined
      ? 'was das Wort der Platine bedeutet, dann was sie überwacht'
      : `den Sensor ${f.sensor}`,
  causes: (f) =>
    f.sensor === undefined
      ? [
          'Etwas, das die Platine selbst überwacht, ging schief: ihr eigener Strom, ihre Wärme, eine Stellung oder ein Schalter.',
          'Ein Teil, das sie antreibt, ist abgesteckt oder sitzt fest.',
        ]
      : [
          'Die Platine hat die Bewegung nach ihrer eigenen Uhr beendet, statt auf den Sensor zu warten.',
          'Der Sensor war nur einen Augenblick belegt: es lief darüber hinaus oder prallte zurück.',
          'Der Messwert des Sensors ging unterwegs verloren.',
        ],
  checks: (f) =>
    f.sensor === undefined
      ? [
          'Die eigenen Meldungen der Platine über ihr Kabel lesen.',
          HANDS,
          `Bei abgeschaltetem Strom sehen, ob alle ihre Stecker fest sitzen. Dann Abstand nehmen und es bewegen, ${ON_BENCH}.`,
        ]
      : [
          'Sehen, wo es steht: hinter dem Sensor, davor oder darin.',
          HANDS,
          `Eine Fahne in den Spalt halten (Sensor ${f.sensor}) und seine Marke auf der Seite beobachten.`,
          'Im Programm der Platine suchen, was die Bewegung beendet: es muss der Sensor sein.',
        ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Seine Platine hat die Bewegung begonnen und dann gesagt, dass sie schiefging, oder sie hat fertig gemeldet, während der Sensor etwas anderes sagt.',
    rule: 'Das Wort `failed` der Platine mit einem eigenen Grund, oder ihr Wort `done`, während der Sensor, der die Bewegung beendet, nicht belegt ist.',
    now: 'Es wird gesperrt. Szenen ohne es laufen weiter.',
    find: [
      'Das Wort der Platine wird gezeigt, wie es kam. Was es bedeutet, steht im Programm der Platine.',
      'Läuft es über seinen Sensor hinaus, die Fahne so lang machen wie den Auslauf oder den Motor früher abstellen.',
    ],
    prevent:
      'Die Platine den Grund in einem Wort sagen lassen, das auch um neun Uhr abends in der Kälte noch zu verstehen ist.',
  },
};

export const linkLost: FaultWords = {
  seen: (f, w) => {
    const when = w.context.clock(f.at);
    if ((f.times ?? 1) >= 3)
      return `Die Platine ging innerhalb von 10 min ${f.times} Mal verloren, zuletzt um ${when}.`;
    const during = f.move === undefined ? 'mitten in einem Lauf' : `mitten in der Bewegung ${moveWord(f)}`;
    return `Die Platine ging um ${when} verloren, ${during}. Sobald sie zu hören und es in Grundstellung ist, wird es von selbst wieder eingesetzt.`;
  },
  look: () => 'den Strom der Platine, dann ihr WLAN',
  causes: () => [
    'Die Platine hat den Strom verloren oder neu gestartet: die Versorgung bricht ein, wenn der Motor anläuft, oder ein Stecker ist lose.',
    'Schwaches WLAN: zu weit, nasses Laub und Menschen dazwischen, eine Menge Handys auf demselben Kanal.',
    'Das Funkmodul der Platine spart Strom und schläft.',
    'Das Programm der Platine steht länger still, als das `silence` des Hofs erlaubt.',
    'Das Programm des Busses oder der Funkzugang hat neu gestartet. Dann gingen andere im selben Augenblick verloren.',
  ],
  checks: () => [
    'Gingen andere im selben Augenblick verloren? Dann nach dem Funkzugang und dem Programm des Busses sehen, nicht nach der Platine.',
    'Es kommt von selbst wieder in Betrieb: vor dem Nähertreten außer Betrieb nehmen.',
    HANDS,
    'Nach der Lampe der Platine sehen, dann nach ihrem Stecker.',
    `Ihre Versorgung messen, während der Motor anläuft. ${MEASURE_CLEAR}, ${ON_BENCH}. Eine Platine für 5 V darf nicht weniger als 4.7 V sehen.`,
    'Die Signalstärke an der Platine ansehen; sich mit einem Handy dorthin stellen.',
    'Das Stromsparen ihres Funkmoduls in ihrem Programm abschalten.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Mitten in einem Lauf hat der Hofrechner seine Platine nicht mehr gehört, oder die Platine hat neu begonnen.',
    rule: 'Nichts von der Platine innerhalb des `silence` des Hofs, ihr letzter Wille auf dem Bus oder ein Neubeginn der Platine mitten im Lauf. Was ein Stopp oder das eigene Stocken des Hofrechners bewirkt, zählt nicht.',
    now: 'Der Lauf endet und wird aufgeräumt. Die Platine schaltet ihre Ausgänge von selbst ab, wenn sie den Hofrechner nicht mehr hört. Dies ist die eine Störung, die ohne einen Menschen vergeht: wieder zu hören und in Grundstellung, wird es eingesetzt wie zuvor. Drei innerhalb von zehn Minuten sperren es.',
    find: [
      WIFI,
      'Eine Platine, die bei jedem Anlaufen ihres Motors neu startet, hat ein Problem mit der Versorgung, nicht mit dem Netz.',
    ],
    prevent:
      'Ein eigener Funkzugang für den Hof, hoch oben, auf einem ruhigen Kanal, ohne Gäste darauf. Ein Kondensator von etwa 1000 µF an jeder Platine. Ein Kabel, wo ein Kabel hinkann.',
  },
};

export const twoBoards: FaultWords = {
  seen: (f) => {
    const who = f.controllers ?? [];
    const named = und([...new Set(who)].map((c) => zitat(c)));
    return new Set(who).size > 1
      ? `Die Platinen ${named} sagen beide, dass sie es antreiben.`
      : `Zwei Platinen sprechen unter einem Namen${named === '' ? '' : `, ${named}`}.`;
  },
  look: () => 'ob es eine zweite Platine mit demselben Namen gibt',
  causes: () => [
    'Eine Ersatzplatine mit demselben Programm wurde eingeschaltet.',
    'Eine neue Platine bekam den Namen einer alten, und die alte läuft noch.',
    'Die Hofdatei hat das Requisit einer anderen Platine zugeteilt, und die alte nennt es noch.',
  ],
  checks: () => [
    'Abstand halten: jede von beiden kann es bewegen. Die Platinen zählen. Die ausschalten, die nicht da sein soll.',
    'Die Programmversion und den Namen ansehen, die jede meldet.',
    'Die richtige Platine aus- und einschalten und sehen, ob sie allein wiederkommt.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Zwei Platinen wollen dasselbe Requisit antreiben. Auf einen Auftrag können zwei Motoren antworten.',
    rule: 'Zwei Platinen nennen das Requisit in ihren Anmeldungen, oder zwei Platinen wechseln sich unter einem Namen ab.',
    now: 'Es wird angehalten und gesperrt. Aufträge daran werden nicht gesendet.',
    find: [
      'Unter einem Namen am Bus werfen zwei Platinen einander immer wieder hinaus: beide scheinen jede Sekunde zu kommen und zu gehen.',
    ],
    prevent:
      'Den Namen jeder Platine mit Tinte auf sie schreiben. Ersatz ohne Strom und ohne Namen aufbewahren.',
  },
};

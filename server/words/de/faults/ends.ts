import type { FaultWords } from '../../fault-words.ts';
import { upper } from '../../figures.ts';
import { anzahl } from '../names.ts';
import { end, HANDS, RELEASE_WILL, RELEASE_WONT, sensorName } from './parts.ts';

const PULL_UP =
  'Eine Gabellichtschranke hat auf einer Seite eine Lampe und auf der anderen ein Auge. Mit dem üblichen Pull-up-Widerstand zeigt sie etwa 0 V, wenn das Auge die Lampe sieht, und die vollen 5 V, wenn die Fahne dazwischen ist, wenn die Lampe dunkel ist oder wenn eine Leitung gerissen ist. Eine ausgefallene Versorgung oder eine gerissene Leitung gilt also als belegt.';

export const bothEnds: FaultWords = {
  seen: (f, w) =>
    `${upper(end(f.sensor, 'das eine Ende'))} und ${end(f.other, 'das andere')} um ${w.context.clock(f.at)} zugleich belegt. Es kann nur an einem sein.`,
  look: () => 'die Versorgung der Sensoren, dann, ob eine Leitung gerissen ist',
  causes: () => [
    'Die Versorgung der Sensoren ist weg: ihre Lampen sind dunkel, und dunkel gilt als belegt.',
    'Die Leitung eines Sensors ist gerissen oder ein Stecker heraus, während es am anderen steht.',
    'Etwas ist im Spalt des einen: ein Blatt, eine Spinnwebe, eine zweite Fahne.',
    'Zwei Leitungen berühren sich: ein gequetschtes Kabel, Wasser in einem Kasten, ein Klecks Lötzinn.',
    'Die Platine liest seit der letzten Änderung an ihr den falschen Anschluss.',
  ],
  checks: () => [
    HANDS,
    'Die Versorgung der Sensoren an den Sensoren messen, nicht an der Platine: 5 V, oder was die eigenen brauchen.',
    'Beide Lampen durch eine Handykamera ansehen; viele zeigen Infrarot als blasses Leuchten.',
    'Den Stecker des einen Sensors ziehen, dann den des anderen, und die Marken auf der Seite beobachten.',
    'Beide Spalte sauber blasen.',
    'Den Kasten am Wagen öffnen und nach Wasser und grünem Kupfer sehen.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Wird abgelehnt, solange beide Enden noch belegt sind. Sie bewegt selbst nichts, und sie wählt nicht, welchem Sensor zu glauben ist.',
  page: {
    means:
      'Beide Enden seines Wegs sagen, dass es dort ist. Eines von ihnen oder beide sagen nicht die Wahrheit.',
    rule: 'Zwei Sensoren, die in der Hofdatei als `end` bezeichnet sind, waren nach frischen Messwerten zugleich belegt. Ob es sich bewegt oder ruht, macht keinen Unterschied.',
    now: 'Es wird sofort angehalten, falls es sich bewegt, und gesperrt. Nichts, was es an einem Ende braucht, beginnt.',
    find: [
      PULL_UP,
      'Beide belegt, während der Wagen in der Mitte steht: fast immer die Versorgung. Einer dauernd belegt: jener Sensor, seine Leitung oder sein Spalt.',
    ],
    prevent:
      'Die Versorgung im selben Kabel und Stecker zu den Sensoren führen wie ihre Signale, mit einem Knoten oder einer Schelle vor dem Stecker.',
  },
};

export const endLost: FaultWords = {
  seen: (f, w) =>
    `Stand bei ${end(f.sensor, 'seinem Ende')}; um ${w.context.clock(f.at)} war es dort ohne Befehl nicht mehr.`,
  look: () => 'ob es jemand geschoben hat, dann seinen Anschlag und seine Fahne',
  causes: () => [
    'Jemand oder etwas hat es geschoben: ein Gast, ein Tier, der Wind.',
    'Es ist über den Sensor hinausgelaufen: mehr Tempo, weniger Reibung, eine nasse Schiene.',
    'Es ist gerollt: die Bahn ist nicht waagerecht, oder der Riemen lässt los, wenn der Motor aus ist.',
    'Die Fahne ist verrutscht oder sitzt so, dass sie nur knapp in den Spalt reicht.',
    'Sonne oder eine starke Lampe scheint durch den Spalt.',
    'Bei Luft: sie ist entwichen, und der Zylinder ist abgesunken.',
  ],
  checks: (f) => [
    'Sehen, wer oder was in seiner Nähe ist. Ist es ein Gast, zuerst ALLES STOPP drücken.',
    `Sehen, wo es steht: davor oder dahinter (${sensorName(f.sensor, 'sein Sensor')}).`,
    HANDS,
    'An seinem Ende leicht schieben: es muss dort wieder zur Ruhe kommen.',
    'Sehen, ob die Fahne in Ruhe mitten im Spalt steht.',
    'Seine Marke auf der Seite beobachten und dabei den Sensor mit einer Hand beschatten.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont:
    'Bewegt selbst nichts. Sie bringt es nicht an sein Ende zurück: das tut nach einer Pause der nächste Lauf, der es braucht.',
  page: {
    means: 'Es stand an einem Ende, niemand hat es fortgeschickt, und der Sensor sagt, dass es weg ist.',
    rule: 'Nur beurteilt, während der Hof geöffnet wird, offen ist oder geschlossen wird, und nur für ein Requisit in Betrieb. Zu anderen Zeiten bewegen Menschen Dinge von Hand, und seine Stellung auf der Seite folgt einfach seinen Sensoren.',
    now: 'Es wird gesperrt. Eine Figur, die es dort braucht, wird im selben Augenblick angehalten.',
    find: [
      'Steht es hinter dem Sensor, ist es ausgelaufen: den Motor früher abstellen, bremsen oder die Fahne länger machen. Eine Fahne, so lang wie der Auslauf, bleibt im Spalt, wo auch immer es zur Ruhe kommt.',
      'Steht es gut im Spalt, hat der Sensor die Fahne aus dem Blick verloren: nach dem Licht und dem Stecker sehen.',
    ],
    prevent:
      'Ihm etwas geben, das es in Ruhe festhält: ein Schneckengetriebe, eine Bremse, einen Magneten, eine Mulde in der Bahn an jedem Ende.',
  },
};

export const chatter: FaultWords = {
  seen: (f, w) =>
    `${upper(end(f.sensor, 'ein Ende'))} wechselte ${anzahl(f.edges ?? 7, 'Mal', 'Mal')} innerhalb von 2 s, bis ${w.context.clock(f.at)}; mehr als 6 ist keine vorbeiziehende Fahne.`,
  look: (f) => `den Spalt (${sensorName(f.sensor, 'jener Sensor')}) und die Fahne, dann den Stecker`,
  causes: () => [
    'Die Fahne streift den Rand des Spalts oder zittert in Ruhe darin.',
    'Der Sensor hat sich gelockert, oder der Spalt fluchtet nicht mit der Fahne.',
    'Tief stehende Sonne oder eine flackernde Lampe scheint in den Spalt.',
    'Ein Stecker oder eine Leitung hat bei Erschütterung schlechten Kontakt.',
    'Die Motorleitung liegt neben der Sensorleitung und stört sie.',
  ],
  checks: () => [
    HANDS,
    'Die Fahne langsam von Hand durch den Spalt führen und die Marke auf der Seite beobachten: ein Wechsel hinein, ein Wechsel hinaus.',
    'Sehen, ob die Fahne zu beiden Seiten des Spalts Luft hat. Ein Spalt von einem Viertelzoll (6.35 mm) lässt Platz.',
    'Am Stecker und am Kabel wackeln.',
    'Den Sensor mit der Hand beschatten.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Ein Endsensor ging in einem Augenblick viele Male an und aus.',
    rule: 'Mehr als 6 Wechsel eines als `end` bezeichneten Sensors innerhalb von 2 s. Sensoren der einfachen Art, etwa eine Matte, werden nicht beurteilt.',
    now: 'Es wird angehalten, falls es sich bewegt, und gesperrt, da sich seine Stellung aus jenem Sensor nicht mehr ablesen lässt.',
    find: [
      'Herausfinden, ob es die Fahne oder die Leitung ist: wird der Wagen mitten auf seinem Weg festgehalten, darf sich die Marke nicht ändern, was auch immer mit dem Kabel geschieht.',
    ],
    prevent:
      'Eine steife Fahne, ein weiter Spalt, Schrauben mit Federringen. Motor- und Sensorleitungen getrennt führen oder jedes Paar verdrillen. Eine Platine darf 5 ms warten, bis ein Messwert steht, bevor sie ihn meldet.',
  },
};

export const strayMove: FaultWords = {
  seen: (f, w) => {
    const what = f.sensor === undefined ? 'Die Sensoren wechselten' : `${upper(f.sensor)} wechselte`;
    return `${what} um ${w.context.clock(f.at)}, als bewege es sich, und niemand hatte es befohlen.`;
  },
  look: () => 'ob der Motor läuft, dann seinen Treiber oder sein Relais',
  causes: () => [
    'Jemand oder etwas hat es geschoben.',
    'Ein Relais klebt oder ein Treiber hat Kurzschluss, und der Motor läuft von selbst. Es ist als unter Spannung zu behandeln.',
    'Ein eigener Taster oder eine eigene Zeitschaltung hat es gestartet, am Hof vorbei.',
    'Die Platine hat ihren Ausgang von selbst eingeschaltet: beim Einschalten oder nach einem Neustart mitten in der Bewegung.',
    'Ein Sensor liest falsch: Licht, Wasser, ein loser Stecker.',
  ],
  checks: () => [
    'Abstand halten und hinsehen: bewegt es sich noch, brummt der Motor? Wenn ja, den roten Knopf drücken oder den Stecker von dort ziehen, wo es nicht hinreicht.',
    'Sehen, wer oder was in seiner Nähe ist.',
    HANDS,
    'Bei abgeschaltetem Strom über dem Relaiskontakt messen: er muss offen sein.',
    'Bei noch abgestecktem Motor die Platine aus- und einschalten und ihren Ausgang beobachten: er muss aus bleiben.',
    'An den Sensorkabeln wackeln und die Marken beobachten.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Seine Sensoren erzählen von einer Fahrt, die niemand verlangt hat.',
    rule: 'Nur beurteilt, während der Hof geöffnet wird, offen ist oder geschlossen wird, und nur für ein Requisit in Betrieb.',
    now: 'Es wird angehalten und gesperrt. Bewegt es sich nach dem Halt weiter, wird der ganze Hof gestoppt.',
    find: [
      'Diese Störung ernst nehmen: ein Motor, der ohne Befehl läuft, kann es wieder tun, wenn eine Hand im Weg ist. Verschweißte Relaiskontakte sind der klassische Fall: der Stromstoß beim Anlaufen verklebt sie, und keine Nachricht kann sie öffnen.',
    ],
    prevent:
      'Ein Relais oder Treiber, der für den Anlaufstrom bemessen ist, nicht für den Laufstrom; eine Diode oder ein RC-Glied über dem Motor; ein Pull-down-Widerstand am Ausgang, sodass eine Platine, die aus ist oder startet, den Motor aus hält.',
  },
};

import type { Fault } from '../../../show/reasons.ts';
import type { FaultWords } from '../../fault-words.ts';
import { measured, upper } from '../../figures.ts';
import type { Words } from '../../words.ts';
import { anzahl } from '../names.ts';
import {
  end,
  HANDS,
  MEASURE_CLEAR,
  moveWord,
  ON_BENCH,
  RELEASE_WILL,
  RELEASE_WONT,
  sensorName,
} from './parts.ts';

/** Below this share of its usual time no real journey can have happened. Must agree with the core's rule. */
const TOO_SHORT = 0.4;

function usual(f: Fault): string {
  return f.usualMs === undefined ? '' : ` (üblich ${measured(f.usualMs)})`;
}

/** `Um 21:13:58 near verlassen` or, where it is not known when, `Auftrag: „out“`. */
function departure(f: Fault, w: Words): string {
  if (f.other === undefined || f.leftAt === undefined) return `Auftrag: ${moveWord(f)}`;
  return `Um ${w.context.clock(f.leftAt)} ${f.other} verlassen`;
}

function after(ms: number | undefined): string {
  return ms === undefined ? 'rechtzeitig' : `nach ${measured(ms)}`;
}

export const travelSlow: FaultWords = {
  seen: (f, w) => {
    const ms = f.limitMs ?? f.tookMs;
    const when = ms === undefined ? 'nicht rechtzeitig belegt' : `${after(ms)} nicht belegt`;
    return `${departure(f, w)}, ${end(f.sensor, 'das andere Ende')} ${when}${usual(f)}.`;
  },
  look: () => 'ob etwas klemmt, dann den Riemen',
  causes: (f) => [
    'Etwas ist im Weg: ein Stein oder ein Kabel in der Bahn, Stoff oder Schilf verfangen, die Figur streift ihr Gestell.',
    'Der Riemen ist durchgerutscht oder hat Zähne übersprungen, oder die Madenschraube der Riemenscheibe sitzt lose auf der Welle.',
    'Ein Rad ist von der Schiene, oder die Bahn hat sich in der Feuchte verzogen.',
    'Die Versorgung ist schwach: ein leerer Akku, ein langes dünnes Kabel, eine grün angelaufene Steckverbindung. Kaltes, zähes Fett wirkt genauso.',
    `Es ist angekommen, aber nicht gesehen worden (${sensorName(f.sensor, 'Sensor an jenem Ende')}): die Fahne ist verbogen und verfehlt den Spalt, die Sonne scheint hinein, oder eine Leitung ist ab.`,
    'Bei Luft: wenig Druck, ein geknickter Schlauch, eine zugedrehte Drossel, gefrorenes Wasser im Ventil.',
  ],
  checks: (f) => [
    'Sehen, wo es steht. Auf halbem Weg: etwas hält es fest. Am Ende: nach dem Sensor dort sehen.',
    HANDS,
    'Bei abgeschaltetem Strom von Hand den ganzen Weg schieben. Es muss leicht und gleichmäßig laufen.',
    'Bei abgeschaltetem Strom mit dem Daumen auf den Riemen drücken. Die Motorscheibe von Hand drehen: der Wagen muss sofort folgen.',
    `Eine Fahne oder einen Streifen Karton in den Spalt halten (${sensorName(f.sensor, 'Endsensor')}) und sehen, ob sich seine Marke auf der Seite ändert.`,
    `Die Versorgung am Motor messen, während er zieht. ${MEASURE_CLEAR}, ${ON_BENCH}. Mehr als ein Zehntel unter der Nennspannung ist zu wenig.`,
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means:
      'Es ist an einem Ende losgefahren und in der Zeit, die ihm gegeben war, am anderen nicht erschienen.',
    rule: 'Die Zeit zählt ab der Meldung der Platine, dass es begonnen hat, oder ab der ersten Änderung eines Sensors, je nachdem, was früher kommt, bis zum `limit` der Bewegung. Die Platine überwacht dieselbe Grenze selbst. Meldet sie es zuerst, ist es dieselbe Störung.',
    now: 'Es wird angehalten und gesperrt. Was die Szene noch braucht, um aufgeräumt zu sein, erledigen die anderen Requisiten. Szenen ohne es laufen weiter.',
    find: [
      'Wo es steht, sagt am meisten. Auf halbem Weg wurde es festgehalten oder hatte keine Kraft. Am fernen Ende ist es angekommen und wurde nicht gesehen. Wieder am Anfang hat der Motor falsch herum gedreht.',
      'Kommt es nur im kalten Teil der Nacht vor, an Fett und Akkus denken. Kommt es nur vor, wenn andere Requisiten laufen, an die Versorgung und ihr Kabel denken.',
    ],
    prevent:
      'Einmal in der Woche auf seiner Seite nach den Fahrzeiten sehen. Ein Riemen, der verschleißt, zeigt sich lange vor dem Versagen als langsamer Anstieg. Ein `limit` vom Anderthalb- bis Zweifachen der üblichen Zeit erkennt ein Klemmen ohne falschen Alarm.',
  },
};

export const noDeparture: FaultWords = {
  seen: (f) =>
    `Auftrag: ${moveWord(f)}. ${upper(end(f.other ?? f.sensor, 'das Ende'))} nicht verlassen: ${f.tookMs === undefined ? 'zu lange' : after(f.tookMs)} noch belegt${usual(f)}.`,
  look: () => 'ob es an diesem Ende klemmt, dann die Versorgung des Motors, dann seinen Treiber',
  causes: (f) => [
    'Der Motor bekam keinen Strom: seine Versorgung ist aus, eine Sicherung durchgebrannt, ein Stecker heraus.',
    'Es klemmt an seinem Anschlag oder ist daran festgefroren oder festgerostet.',
    'Der Treiber ist defekt oder hat wegen Hitze abgeschaltet.',
    'Der Motor dreht, aber Riemen oder Riemenscheibe folgen nicht.',
    `Es ist losgefahren, aber die Fahne blieb im Spalt (${sensorName(f.other ?? f.sensor, 'Endsensor')}): verbogen, abgebrochen, oder ein Blatt steckt darin.`,
    'Bei Luft: kein Druck am Ventil, oder die Spule des Ventils bekommt keinen Strom.',
  ],
  checks: (f) => [
    `Von außer Reichweite horchen, während ein Wart es bewegt, ${ON_BENCH}: Brummen heißt festgehalten, Surren heißt der Antrieb rutscht, Stille heißt kein Strom.`,
    HANDS,
    'Nach der Versorgung des Motors sehen: Sicherung heil, Stecker fest; ihre Lampe, sobald alle weg sind und sie wieder eingeschaltet ist.',
    `In den Spalt sehen (${sensorName(f.other ?? f.sensor, 'Endsensor')}): nur die Fahne darf darin sein.`,
    'Bei abgeschaltetem Strom eine Handbreit vom Anschlag wegschieben.',
    'Bei abgeschaltetem Strom den Treiber anfassen: zu heiß zum Halten heißt Überlast oder keine Luft zum Kühlen.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Es sollte sich bewegen und blieb, soweit seine Sensoren es sagen, wo es war.',
    rule: 'Sein Ende ist nach einem Drittel der üblichen Zeit noch belegt, frühestens nach 1 s.',
    now: 'Es wird angehalten und gesperrt, damit ein blockierter Motor nicht verschmort. Szenen ohne es laufen weiter.',
    find: [
      'Ein blockierter Motor zieht ein Mehrfaches seines Laufstroms. Ist auch die Sicherung gefallen, zuerst suchen, was klemmt, und dann erst eine neue einsetzen.',
      'Hat sich der Wagen doch bewegt, liegt es am Sensor: bei einer Gabellichtschranke mit Pull-up-Widerstand gilt eine dunkle Lampe oder eine gerissene Leitung für immer als belegt.',
    ],
    prevent:
      'Den Wagen knapp hinter dem Sensor auf einen weichen Anschlag treffen lassen, nicht auf einen harten. Dem Treiber einen Kühlkörper geben und einen Platz, an dem sich die Luft bewegt.',
  },
};

export const travelShort: FaultWords = {
  seen: (f) => {
    const there = upper(end(f.sensor, 'das andere Ende'));
    const took = f.tookMs === undefined ? 'zu bald' : `${measured(f.tookMs)}`;
    const left = end(f.other, 'des ersten Endes');
    const least =
      f.usualMs === undefined
        ? ''
        : `, und weniger als ${measured(f.usualMs * TOO_SHORT)} kann nicht stimmen`;
    return `${there} belegt ${took} nach Verlassen ${f.other === undefined ? left : `von ${left}`}${usual(f)}${least}.`;
  },
  look: (f) => `den Spalt (${sensorName(f.sensor, 'jener Sensor')}), dann die Leitungen des Sensors`,
  causes: (f) => [
    `Etwas anderes als die Fahne ist im Spalt (${sensorName(f.sensor, 'jener Sensor')}): ein Blatt, eine Spinnwebe, ein Kabelbinder, Nebelfluid.`,
    'Die Sensoren verlieren ihre Versorgung, wenn der Motor anläuft: ihre Lampen werden kurz dunkel, und dunkel gilt als belegt.',
    'Eine Leitung ist lose und öffnet sich, wenn der Wagen sie erschüttert.',
    'Sonne oder eine Lampe scheint auf einen Sensor der Art, die bei Licht als belegt gilt.',
    'Die beiden Sensoren sind vertauscht, oder der Motor ist verpolt, seit zuletzt daran gearbeitet wurde.',
    'Der Antrieb ist schneller, als die Datei sagt: eine andere Riemenscheibe, eine höhere Spannung.',
  ],
  checks: (f) => [
    HANDS,
    `Mit einer Taschenlampe in den Spalt sehen (${sensorName(f.sensor, 'jener Sensor')}) und ihn sauber blasen.`,
    'Seine Marke auf der Seite beobachten und dabei am Kabel und an beiden Steckern wackeln.',
    `Die Versorgung der Sensoren messen, während der Motor anläuft. ${MEASURE_CLEAR}, ${ON_BENCH}. Bricht sie ein, Sensoren und Motor getrennt versorgen.`,
    'Den Sensor mit der Hand gegen das Licht abdecken und seine Marke beobachten.',
    'Bei abgeschaltetem Strom den Wagen von Ende zu Ende führen und sehen, ob nah auch nah heißt.',
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Es schien früher am anderen Ende zu sein, als es fahren kann.',
    rule: 'Das andere Ende war in weniger als 40 % der üblichen Zeit belegt. Fahrten, die nur in Grundstellung führen, werden nicht beurteilt.',
    now: 'Es wird angehalten und gesperrt, da einer seiner Sensoren nicht die Wahrheit sagt und niemand weiß, welcher.',
    find: [
      'Eine Gabellichtschranke hat auf einer Seite eine Lampe und auf der anderen ein Auge. Mit dem üblichen Pull-up-Widerstand zeigt das Auge etwa 0 V, wenn es die Lampe sieht, und die vollen 5 V, wenn die Fahne dazwischen ist, wenn die Lampe dunkel ist oder wenn eine Leitung gerissen ist. Die meisten Fehler gelten also als belegt.',
      'Wurde die Riemenscheibe oder die Spannung geändert, ist nichts kaputt: die neue Zeit messen und als `usual` in die Hofdatei schreiben.',
    ],
    prevent:
      'Die Sensoren unter eine kleine Haube setzen und ihnen eine eigene Versorgung geben, mit einem Kondensator darüber.',
  },
};

export const overrun: FaultWords = {
  seen: (f) => {
    const ms = f.limitMs ?? f.tookMs;
    const when = ms === undefined ? 'nicht rechtzeitig zu Ende' : `${after(ms)} nicht zu Ende`;
    return `${upper(moveWord(f))} ${when}${usual(f)}.`;
  },
  look: () => 'ob es sich noch bewegt, dann seine Platine',
  causes: () => [
    'Sein Ablauf wartet auf etwas, das nicht kommt: auf einen eigenen Schalter, eine Stellung, einen Ton, der nicht geendet hat.',
    'Ein Motor oder Servo darin sitzt fest, sodass ein Schritt des Ablaufs nie endet.',
    'Die Platine ist mit anderem beschäftigt, etwa mit Ton von einer langsamen Karte, und hinkt nach.',
    'Der Ablauf wurde verlängert, und in der Hofdatei steht noch die alte Zeit.',
  ],
  checks: () => [
    'Sehen, in welchem Teil des Ablaufs es steht. Bewegt es sich noch, Abstand halten.',
    HANDS,
    'Bei abgeschaltetem Strom jedes Gelenk von Hand bewegen und das schwergängige suchen.',
    'Die eigenen Meldungen der Platine über ihr Kabel lesen.',
    `Die Zeit des Ablaufs nehmen, ${ON_BENCH}. Mit \`lasts\` und \`limit\` in der Hofdatei vergleichen.`,
  ],
  releaseWill: RELEASE_WILL,
  releaseWont: RELEASE_WONT,
  page: {
    means: 'Sein Ablauf hätte von selbst enden sollen und tat es nicht.',
    rule: 'Keine Meldung der Platine, dass er fertig ist, bis zum `limit` der Bewegung. Steht kein `limit` in der Datei, ist das das Anderthalbfache von `lasts` und 2 s dazu.',
    now: 'Es wird angehalten und gesperrt. Was es in Ruhe braucht, beginnt nicht. Szenen ohne es laufen weiter.',
    find: [
      `Allein laufen lassen, ${ON_BENCH}. Endet es dort rechtzeitig, bremst es etwas im Hof: eine einbrechende Versorgung, ein volles Netz, Kälte.`,
    ],
    prevent: 'Jedem Schritt eines Ablaufs eine Zeit geben, nach der er weitergeht oder aufgibt.',
  },
};

function within(nights: number): string {
  return nights < 1 ? 'heute Nacht' : `in ${anzahl(nights, 'Nacht', 'Nächten')}`;
}

export const drift: FaultWords = {
  seen: (f) => {
    const now = f.tookMs === undefined ? 'dauert länger' : `dauert jetzt ${measured(f.tookMs)}`;
    const limit = f.limitMs === undefined ? '' : `; die Grenze ist ${measured(f.limitMs)}`;
    const nights =
      f.nights === undefined ? '' : ` Geht es so weiter, ist die Grenze ${within(f.nights)} erreicht.`;
    return `${upper(moveWord(f))} ${now}${usual(f)}${limit}.${nights}`;
  },
  look: () => 'den Riemen, dann die Räder, dann die Versorgung',
  causes: () => [
    'Der Riemen ist gedehnt oder verschlissen und rutscht bei jedem Anlauf ein wenig.',
    'Räder, Schiene oder Lager sind schmutzig, trocken oder rostig.',
    'Ein Akku geht zu Ende, oder eine Steckverbindung ist angelaufen.',
    'Die Nächte sind kälter geworden und das Fett zäher.',
    'Bei Luft: ein schleichendes Leck, ein Filter voll Wasser.',
  ],
  checks: () => [
    'Es ist noch in Betrieb und kann jeden Augenblick anlaufen: zuerst außer Betrieb nehmen.',
    HANDS,
    'Bei abgeschaltetem Strom den ganzen Weg schieben und nach der schweren Stelle fühlen.',
    'Den Riemen spannen, bis er in der Mitte eine Fingerbreit nachgibt, und nach fehlenden Zähnen sehen.',
    'Schiene und Räder reinigen; ein Tropfen trockenes Schmiermittel.',
    `Die Versorgung am Motor messen, während er läuft. ${MEASURE_CLEAR}, ${ON_BENCH}.`,
  ],
  releaseWill: 'Es gibt nichts freizugeben: dies ist eine Warnung, und es läuft weiter.',
  releaseWont:
    'Sich darum zu kümmern bewegt nichts. Die Warnung verschwindet von selbst, sobald die Zeiten wieder stimmen.',
  page: {
    means: 'Es kommt noch rechtzeitig an, aber von Nacht zu Nacht ein wenig später.',
    rule: 'Am Ende jeder Nacht wird die Mitte seiner Fahrzeiten neben die von bis zu elf Nächten davor gestellt. Die Warnung kommt, wo sie um mehr steigen, als sie ohnehin streuen, und bei diesem Tempo innerhalb von zwanzig Nächten das `limit` erreichen würden. Eine Nacht zählt ab drei Fahrten, und es braucht sechs Nächte, um es zu erkennen. Fahrten in Grundstellung und im Tippbetrieb zählen nicht.',
    now: 'Es läuft weiter. Die Warnung steht auf seiner Seite und im Bericht, mit den Nächten, die bleiben, und wird am Ende jeder Nacht wiederholt, solange sie gilt.',
    find: [
      'Die Kurve auf seiner Seite ansehen. Ein stetiger Anstieg ist Verschleiß. Eine Stufe in einer einzigen Nacht ist etwas, das in jener Nacht geschah. Ein Anstieg in beiden Richtungen gleich ist Reibung oder Versorgung; nur in einer Richtung ist es Gefälle oder etwas, das hakt.',
    ],
    prevent: '`service-every` in die Hofdatei schreiben und bei diesem Stand reinigen und nachspannen.',
  },
};

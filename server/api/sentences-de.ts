import type { ProblemStatus } from './problem.ts';
import type { SentenceCode } from './sentences.ts';

/** The api's own sentences in German: one for every code, or it does not compile. */
export const GERMAN: Readonly<Record<SentenceCode, string>> = {
  'no-host':
    'Die Anfrage nennt keinen Rechner oder mehr als einen. Die Adresse verwenden, die beim Start ausgegeben wird.',
  'foreign-host':
    'Auf diese Adresse antwortet der Hofrechner nicht. Seine Nummer verwenden, einen Namen mit .local, oder den Namen in DUSKLATCH_NAMES eintragen.',
  'foreign-origin':
    'Der Druck kam von der Seite eines anderen Rechners und wurde nicht ausgeführt. Die Seite des Hofs selbst öffnen.',
  'no-such-page': 'Eine solche Seite oder einen solchen Aufruf gibt es hier nicht.',
  'no-such-prop': 'Der Hof hat kein Requisit dieses Namens.',
  'no-such-scene': 'Der Hof hat keine Szene dieses Namens.',
  'no-such-person': 'Niemand dieses Namens steht auf der Liste.',
  'no-report': 'Für diese Nacht ist nichts aufgezeichnet.',
  'not-kept': 'Von diesem Augenblick ist nichts erhalten, also kann niemand sagen, wie der Hof war.',
  'past-busy':
    'Der Hofrechner liest gerade seine Aufzeichnung. In einem Augenblick noch einmal versuchen. ALLES STOPP wartet nie darauf.',
  'no-join':
    'Nur dieser Rechner selbst kann die Seite öffnen. Mit DUSKLATCH_HOST=0.0.0.0 starten, damit Handys dazukommen können.',
  'no-bus-document': 'Die Beschreibung des Busses ist nicht zur Hand.',
  'wrong-method': 'Diese Adresse gibt es, aber nicht für diese Art von Anfrage.',
  'get-is-no-stop':
    'Diese Adresse anzusehen stoppt nichts. Ein POST senden, oder ALLES STOPP auf der Seite drücken.',
  'not-signed-in': 'Zuerst mit der PIN anmelden. ALLES STOPP geht ohne.',
  'wrong-pin': 'Diese PIN stimmt nicht.',
  'wrong-pin-barred':
    'Diese PIN stimmt nicht, zum fünften Mal. Eine Minute warten. ALLES STOPP geht ohne PIN.',
  barred: 'Zu viele falsche PINs von diesem Handy. Eine Minute warten. ALLES STOPP geht ohne PIN.',
  'sign-in-busy':
    'Gerade meldet sich jemand an. In einer Sekunde noch einmal versuchen. ALLES STOPP geht ohne PIN.',
  'keeper-only': 'Das darf nur ein Wart.',
  'own-pin-only': 'Die PIN eines anderen darf nur ein Wart ändern.',
  'too-many-calls':
    'Zu viele Anfragen von dieser Adresse. Ein paar Sekunden warten. ALLES STOPP wird nie aufgehalten.',
  'too-large': 'Die Anfrage ist größer als 64 KiB.',
  'file-too-large': 'Eine Hofdatei hat höchstens 256 KiB.',
  'no-address': 'Es ist noch keine Adresse eingetragen. Zuerst eine hinschreiben und speichern.',
  'not-zip': 'Eine Sicherung ist eine einzelne Zip-Datei, gesendet als application/zip.',
  'zip-too-large': 'Das ist größer als jede Sicherung: höchstens 64 MiB. Ist es die richtige Datei?',
  'backup-busy':
    'Gerade wird eine andere Sicherung gemacht oder gelesen. In einem Augenblick noch einmal versuchen.',
  'restore-not-closed':
    'Das Zurückspielen tauscht die Aufzeichnung aus und startet den Hofrechner neu, also geht es nur, solange der Hof geschlossen ist. Nichts wurde geändert. Zuerst den Hof schließen.',
  'restore-stopped':
    'Es gilt ein Stopp, und das Zurückspielen darf ihn nicht aufheben. Nichts wurde geändert. Zuerst den Stopp aufheben, dann den Hof schließen.',
  'restore-moving':
    'Etwas bewegt sich noch. Nichts wurde geändert. Zuerst warten, bis es zur Ruhe gekommen ist.',
  'restore-read-only':
    'Die Hofdatei oder ihr Ordner lässt sich von diesem Programm nicht beschreiben, also könnte die Hofdatei aus der Sicherung nicht an ihre Stelle treten. Nichts wurde geändert.',
  'restart-not-closed':
    'Der Hofrechner startet nur neu, solange der Hof geschlossen und in Ruhe ist. Zuerst schließen.',
  'not-checked':
    'Das ist nicht die Sicherung, die zuletzt gelesen wurde, also wurde nichts geändert. Die Datei noch einmal auswählen.',
  'check-busy': 'Eine andere Prüfung läuft gerade. In einem Augenblick noch einmal versuchen.',
  'check-too-long':
    'Diesen Text zu lesen dauert zu lange, also wurde es aufgegeben. Eine Hofdatei ist kurz und schlicht: nach etwas suchen, das sich wiederholt.',
  'file-changed':
    'Die Datei auf dem Datenträger wurde inzwischen geändert, also wurde nichts gespeichert. Den eigenen Text kopieren, die Datei neu lesen und die Änderungen noch einmal eintragen.',
  'demo-file':
    'Das ist die Datei der Vorführung und bleibt, wie sie ist. Eine Kopie nehmen und damit starten.',
  'not-json': 'Die Anfrage muss JSON sein, gesendet als application/json.',
  'broken-json': 'Die Anfrage ist kein gültiges JSON.',
  'broken-request': 'Die Anfrage ist nicht zu lesen.',
  'no-body': 'Die Anfrage hat keinen Inhalt.',
  stale:
    'Der Druck ist mehr als 2 s alt, oder die Uhr der Seite geht falsch. Nichts wurde getan. Auf die Seite sehen und noch einmal drücken.',
  'seen-nothing':
    'Die Seite zeigt einen älteren Start des Hofrechners. Nichts wurde getan. Noch einmal hinsehen, dann noch einmal drücken.',
  'for-not-wanted':
    'Jetzt gelten die Zeiten einer Nacht, also ist `for` nicht gefragt. „Öffnen“ ohne diese Angabe drücken.',
  'no-such-sensor': 'Es gibt keine Matte und keinen Taster dieses Namens.',
  'demo-elsewhere':
    'Das darf nur der Rechner, auf dem die Vorführung läuft. Auf anderen Handys mit der PIN anmelden, die beim Start ausgegeben wurde.',
  'unknown-fault': 'Der Ersatz für dieses Requisit kann diese Störung nicht zeigen.',
  'name-taken': 'Jemand dieses Namens steht schon auf der Liste.',
  'pin-taken': 'Diese PIN lässt sich nicht verwenden. Eine andere wählen.',
  'last-keeper': 'Das ist der letzte Wart. Zuerst einen anderen zum Wart machen.',
  'too-many-people': 'Die Liste der Leute ist mit 50 voll. Zuerst jemanden entfernen.',
  'disk-refused':
    'Der Datenträger hat es nicht angenommen, also wurde nichts geändert. Nachsehen, ob er voll ist.',
  'not-built': 'Die Seite ist auf diesem Rechner nicht gebaut. Ausführen: npm run build',
  unready: 'Der Hofrechner ist nicht bereit.',
  broke:
    'Daran ist der Hofrechner gescheitert. ALLES STOPP wirkt weiter. Die Ursache steht in der Aufzeichnung.',
};

/** What heads a plain page that says no. */
export const GERMAN_TITLES: Readonly<Record<ProblemStatus, string>> = {
  400: 'Anfrage nicht zu lesen',
  401: 'Nicht angemeldet',
  403: 'Nicht erlaubt',
  404: 'Nicht gefunden',
  405: 'So geht es hier nicht',
  409: 'Jetzt nicht möglich',
  413: 'Zu groß',
  421: 'Falsch adressiert',
  422: 'Nicht zu verwenden',
  429: 'Zu viele Anfragen',
  500: 'Fehler im Hofrechner',
  503: 'Nicht bereit',
};

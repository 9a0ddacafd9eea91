import type { Fault } from '../../../show/reasons.ts';
import { zitat } from '../names.ts';

/** Comes ahead of every check for which a hand goes in; a test holds the families to it. Common practice, no source. */
export const HANDS =
  'Bevor eine Hand hineingreift: den Motorstrom abschalten, gegen Wiedereinschalten sichern, den Stecker ziehen und im Blick behalten; die Luft ablassen und abstützen, was hängt. Nur Platine und Sensoren bleiben eingeschaltet.';
/** The bench, with what it asks for. */
export const ON_BENCH = 'im Tippbetrieb (geht nur, solange der Hof in Pause oder geschlossen ist)';
/** How a supply is measured under load without standing at the machine. */
export const MEASURE_CLEAR =
  'Das Messgerät bei abgeschaltetem Strom anklemmen, Abstand nehmen, dann bewegen lassen';

export const RELEASE_WILL =
  'Nimmt es wieder in Betrieb: ab dem nächsten Lauf, der es braucht, wird es wieder geplant und bewegt. Ist nicht bekannt, wo es steht, fährt es zuerst in Grundstellung, und das nicht sofort.';
export const RELEASE_WONT =
  'Bewegt selbst nichts, hebt keinen Stopp auf und behebt nichts: eine Ursache, die noch da ist, löst die Störung wieder aus.';

/** `Sensor far`, or a phrase where the fault names none, as on its page. */
export function sensorName(id: string | undefined, otherwise: string): string {
  return id === undefined ? otherwise : `Sensor ${id}`;
}

/** `near`, or a phrase where the fault names no end. */
export function end(id: string | undefined, otherwise: string): string {
  return id ?? otherwise;
}

/** `„out“`, or `die Bewegung`. */
export function moveWord(fault: Fault): string {
  return fault.move === undefined ? 'die Bewegung' : zitat(fault.move);
}

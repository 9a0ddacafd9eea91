import type { ReasonOf } from '../../../show/reasons.ts';
import { amps, left, measured, psi, share, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { zitat } from '../names.ts';

type Unmet = Pick<ReasonOf<'need'>, 'need' | 'seen'>;

/** The sensor that a need speaks of; of 'at home' it is the home sensor, null where the prop has none. */
function sensorOf(need: Unmet['need'], w: Words): string | null {
  if (need.kind === 'made' || need.kind === 'not-made') return need.sensor;
  return need.kind === 'at-home' ? (w.context.yard.props.get(need.prop)?.home ?? null) : null;
}

/** What stands against a need, as a clause: `Sensor far von Fähre nicht belegt`. */
export function unmet({ need, seen }: Unmet, w: Words): string {
  const sensor = sensorOf(need, w);
  const other = w.prop(need.prop);
  if (seen === 'silent') return `von ${other} nichts zu hören`;
  if (seen === 'moving') return `${other} in Bewegung`;
  if (seen === 'away' || sensor === null)
    return seen === 'unknown'
      ? `nicht bekannt, ob ${need.kind === 'at-rest' ? 'in Ruhe' : 'in Grundstellung'}: ${other}`
      : `${other} nicht in Grundstellung`;
  if (seen === 'unknown') return `kein frischer Messwert: ${w.sensor(need.prop, sensor)}`;
  return `${w.sensor(need.prop, sensor)} ${seen === 'made' ? '' : 'nicht '}${w.made(need.prop, sensor)}`;
}

/** The same while there is still hope: `Sensor far von Fähre noch nicht belegt`. */
export function notYet({ need, seen }: Unmet, w: Words): string {
  const sensor = sensorOf(need, w);
  const other = w.prop(need.prop);
  if (seen === 'silent') return `von ${other} nichts zu hören`;
  if (seen === 'moving') return `${other} noch in Bewegung`;
  if (seen === 'unknown')
    return `noch kein frischer Messwert: ${sensor === null ? other : w.sensor(need.prop, sensor)}`;
  if (seen === 'away' || sensor === null) return `${other} noch nicht in Grundstellung`;
  const name = w.sensor(need.prop, sensor);
  const made = w.made(need.prop, sensor);
  return seen === 'made' ? `${name} noch ${made}` : `${name} noch nicht ${made}`;
}

/** Why a run or a move can't be now: what is in use, what is not met, what the outlets, air and hours bear. */
export const LIMITS = {
  held: ({ prop, scene }, w) => `${w.prop(prop)} im Einsatz bei ${w.scene(scene)}`,
  moving: ({ prop, move }, w) => `${w.prop(prop)} noch in Bewegung (${zitat(move)})`,
  rests: ({ prop, forMs }, w) => `Ruhepause von ${w.prop(prop)}: noch ${left(forMs)}`,
  need: (r, w) => `${w.move(r.prop, r.move)} nicht möglich: ${unmet(r, w)}`,
  'not-let-go': ({ prop, move }, w) => [
    `${w.prop(prop)} vielleicht noch in Bewegung (${zitat(move)}): die Platine hat nicht gemeldet, dass sie losgelassen hat`,
    'Hinsehen. Wenn es steht, die Platine aus- und wieder einschalten.',
  ],
  'needed-there': ({ prop, by, move }, w) =>
    `keine Bewegung von ${w.prop(prop)}, bis ${w.move(by, move)} zu Ende ist`,
  circuit: ({ circuit, amps: flowing, limitAmps }, w) => [
    `auf ${w.circuit(circuit)} kämen ${amps(flowing)}, und ${amps(limitAmps)} sind die Grenze für Dauerlast`,
    'Erst etwas anderes enden lassen oder ein Requisit an einen anderen Stromkreis hängen.',
  ],
  surge: ({ circuit, amps: flowing, breakerAmps }, w) => [
    `auf ${w.circuit(circuit)} kämen ${amps(flowing)} beim Anlaufen der Motoren, und die Sicherung hat ${amps(breakerAmps)}`,
    'Eins nach dem anderen anlaufen lassen oder ein Requisit an einen anderen Stromkreis hängen.',
  ],
  tank: ({ tank, kpa, workingKpa }, w) => [
    `der Druck in ${w.tank(tank)} fiele auf ${psi(kpa)}, und unter ${psi(workingKpa)} geht es nicht`,
    'Auf den Kompressor warten. Kommt es oft vor, nach Lecks suchen.',
  ],
  zone: ({ zone, atMost }, w) =>
    `${w.zone(zone)} voll: höchstens ${atMost === 1 ? 'eine Szene' : `${atMost} Szenen`}`,
  'zone-gap': ({ zone, forMs }, w) => `${w.zone(zone)} noch ${left(forMs)} lang frei zu halten`,
  duty: ({ prop, on, overMs }, w) => [
    `Bewegung von ${w.prop(prop)} nur ${share(on)} von je ${span(overMs)} erlaubt, und es würde mehr`,
    'Der Motor kühlt erst ab.',
  ],
  quiet: ({ atMs }, w) =>
    `es ist laut und würde erst nach Beginn der Nachtruhe um ${w.context.short(atMs)} enden`,
  close: ({ atMs }, w) => `es würde erst nach dem Schließen um ${w.context.short(atMs)} enden`,
  'scene-running': ({ scene }, w) => `${w.scene(scene)} läuft schon`,
  'scene-rests': ({ scene, forMs }, w) => `Ruhepause von ${w.scene(scene)}: noch ${left(forMs)}`,
  'again-after': ({ scene, forMs }, w) =>
    `${w.scene(scene)} lief eben erst und lässt sich von Gästen in ${left(forMs)} wieder auslösen`,
  'too-late': ({ plannedMs, lateMs }, w) =>
    `es war für ${w.context.short(plannedMs)} geplant und ist ${measured(lateMs)} zu spät`,
  'night-ended': () => 'die Nacht ist zu Ende',
  restarted: () => 'der Hofrechner ist mittendrin neu gestartet',
  'desk-silent': () =>
    'der Hofrechner hatte zu lange geschwiegen, deshalb haben die Platinen von selbst angehalten',
  'mended-away': () =>
    'im Plan war kein Platz mehr dafür, nachdem sich etwas verspätet hatte oder ausgefallen war',
  'unknown-move': ({ prop, move }, w) => [
    `${w.prop(prop)} ohne Bewegung namens ${zitat(move)}`,
    'In der Hofdatei nachsehen.',
  ],
  'station-cannot': ({ prop }, w) =>
    `${w.prop(prop)} ist ein Stopptaster: er bewegt nichts und wird nie außer Betrieb genommen`,
} satisfies SomeSentences;

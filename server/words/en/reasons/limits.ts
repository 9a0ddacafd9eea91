import type { ReasonOf } from '../../../show/reasons.ts';
import { amps, left, measured, psi, share, span } from '../../figures.ts';
import type { SomeSentences, Words } from '../../words.ts';
import { agree, does } from '../names.ts';

type Unmet = Pick<ReasonOf<'need'>, 'need' | 'seen'>;

/** The sensor that a need speaks of; of 'at home' it is the home sensor, null where the prop has none. */
function sensorOf(need: Unmet['need'], w: Words): string | null {
  if (need.kind === 'made' || need.kind === 'not-made') return need.sensor;
  return need.kind === 'at-home' ? (w.context.yard.props.get(need.prop)?.home ?? null) : null;
}

/** What stands against a need, as a whole clause: `ferry's far sensor is not made`. */
export function unmet({ need, seen }: Unmet, w: Words): string {
  const sensor = sensorOf(need, w);
  const other = w.prop(need.prop);
  if (seen === 'silent') return `${agree(other, 'is')} not heard`;
  if (seen === 'moving') return `${agree(other, 'is')} moving`;
  if (seen === 'away' || sensor === null)
    return seen === 'unknown'
      ? `it is not known whether ${agree(other, 'is')} ${need.kind === 'at-rest' ? 'at rest' : 'at home'}`
      : `${agree(other, 'is')} not at home`;
  if (seen === 'unknown') return `${w.sensor(need.prop, sensor)} has no fresh reading`;
  return `${agree(w.sensor(need.prop, sensor), 'is')} ${seen === 'made' ? '' : 'not '}${w.made(need.prop, sensor)}`;
}

/** The same while there is still hope: `ferry's far sensor not made yet`. */
export function notYet({ need, seen }: Unmet, w: Words): string {
  const sensor = sensorOf(need, w);
  const other = w.prop(need.prop);
  if (seen === 'silent') return `${other} not heard`;
  if (seen === 'moving') return `${other} still moving`;
  if (seen === 'unknown')
    return `no fresh reading of ${sensor === null ? other : w.sensor(need.prop, sensor)} yet`;
  if (seen === 'away' || sensor === null) return `${other} not at home yet`;
  const name = w.sensor(need.prop, sensor);
  const made = w.made(need.prop, sensor);
  return seen === 'made' ? `${name} still ${made}` : `${name} not ${made} yet`;
}

/** Why a run or a move can't be now: what is in use, what is not met, what the outlets, air and hours bear. */
export const LIMITS = {
  held: ({ prop, scene }, w) => `${does(w, prop, 'is')} in use by ${w.scene(scene)}`,
  moving: ({ prop, move }, w) => `${does(w, prop, 'is')} still moving ('${move}')`,
  rests: ({ prop, forMs }, w) => `${does(w, prop, 'rests')} ${left(forMs)} more`,
  need: (r, w) => `${w.prop(r.prop)} can't do '${r.move}' while ${unmet(r, w)}`,
  'not-let-go': ({ prop, move }, w) => [
    `${w.prop(prop)} may still be moving ('${move}'): its board has not said that it let go`,
    'Look at it. If it stands, power its board off and on.',
  ],
  'needed-there': ({ prop, by, move }, w) =>
    `${w.prop(prop)} must stay where it is until ${w.move(by, move)} has ended`,
  circuit: ({ circuit, amps: flowing, limitAmps }, w) => [
    `${w.circuit(circuit)} would carry ${amps(flowing)}, and ${amps(limitAmps)} is the limit for hours on end`,
    'Let something else end first, or move a prop to another circuit.',
  ],
  surge: ({ circuit, amps: flowing, breakerAmps }, w) => [
    `${w.circuit(circuit)} would carry ${amps(flowing)} as motors start, and the breaker is ${amps(breakerAmps)}`,
    'Let one start after the other, or move a prop to another circuit.',
  ],
  tank: ({ tank, kpa, workingKpa }, w) => [
    `air in ${w.tank(tank)} would fall to ${psi(kpa)}, and ${psi(workingKpa)} is the least that works`,
    'Wait for the compressor. If it happens often, look for leaks.',
  ],
  zone: ({ zone, atMost }, w) =>
    `${agree(w.zone(zone), 'is')} full: ${atMost === 1 ? 'one scene' : `${atMost} scenes`} at most`,
  'zone-gap': ({ zone, forMs }, w) => `${agree(w.zone(zone), 'is')} kept clear ${left(forMs)} more`,
  duty: ({ prop, on, overMs }, w) => [
    `${w.prop(prop)} may move ${share(on)} of any ${span(overMs)}, and would move more`,
    'Its motor cools down first.',
  ],
  quiet: ({ atMs }, w) => `it is loud and would end after quiet at ${w.context.short(atMs)}`,
  close: ({ atMs }, w) => `it would end after close at ${w.context.short(atMs)}`,
  'scene-running': ({ scene }, w) => `${w.scene(scene)} is running already`,
  'scene-rests': ({ scene, forMs }, w) => `${w.scene(scene)} rests ${left(forMs)} more`,
  'again-after': ({ scene, forMs }, w) =>
    `${w.scene(scene)} ran only just now, and guests can set it off again in ${left(forMs)}`,
  'too-late': ({ plannedMs, lateMs }, w) =>
    `it was planned for ${w.context.short(plannedMs)} and is ${measured(lateMs)} late`,
  'night-ended': () => 'the night has ended',
  restarted: () => 'the yard computer started anew in the middle of it',
  'desk-silent': () => 'the yard computer had been silent for too long, so the boards stopped by themselves',
  'mended-away': () => 'the plan had no room left for it after something ran late or dropped out',
  'unknown-move': ({ prop, move }, w) => [
    `${does(w, prop, 'has')} no move '${move}'`,
    'Look in the yard file.',
  ],
  'station-cannot': ({ prop }, w) =>
    `${does(w, prop, 'is')} a stop button: it moves nothing and is never taken out of service`,
} satisfies SomeSentences;

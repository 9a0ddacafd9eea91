import type { PropPicture } from '../server/picture.ts';
import type { Words } from './words.ts';

/** The state of a prop in words, with 'was' before it where the page has no link; `stopped` while a stop is latched. */
export function stateText(words: Words, prop: PropPicture, old: boolean, stopped: boolean): string {
  const text = plainState(words, prop, stopped);
  return old ? words.was(text) : text;
}

function plainState(words: Words, prop: PropPicture, stopped: boolean): string {
  if (prop.kind === 'stop-station') return stationState(words, prop);
  if (prop.lockout?.code === 'by-hand') return words.prop.outOfService;
  const resting = prop.state === 'ready' || prop.state === 'resting';
  const state = resting && stopped ? words.prop.stopHolds : words.states[prop.state];
  return resting && prop.at !== null ? words.prop.at(state, prop.at) : state;
}

/** Whether a red button is known to be pressed in. */
export function stationPressed(prop: PropPicture): boolean {
  const button = Object.hasOwn(prop.sensors, 'button') ? prop.sensors.button : undefined;
  return button?.fresh === true && button.made;
}

function stationState(words: Words, prop: PropPicture): string {
  const button = Object.hasOwn(prop.sensors, 'button') ? prop.sensors.button : undefined;
  if (!button?.fresh) return words.states.silent;
  return stationPressed(prop) ? words.prop.pressedIn : words.prop.notPressed;
}

/** What a sensor says, in the word of its trade: a blade is made, a mat is stepped on, a red button is pressed. */
export function sensorText(words: Words, prop: PropPicture, sensor: PropPicture['sensors'][string]): string {
  if (!sensor.fresh) return words.prop.notKnown;
  if (prop.kind === 'stop-station') return sensor.made ? words.prop.pressedIn : words.prop.notPressed;
  if (sensor.kind === 'plain' && /\bmat\b/i.test(prop.title)) {
    return sensor.made ? words.prop.steppedOn : words.prop.notSteppedOn;
  }
  return sensor.made ? words.prop.made : words.prop.notMade;
}

/** The second line of a row: why, or when it was last heard where that is what matters. */
export function lineOf(words: Words, prop: PropPicture, nowMs: number): string {
  if (prop.state !== 'silent') return prop.why;
  return prop.heard === null ? words.prop.neverHeard : words.prop.heard(nowMs - prop.heard);
}

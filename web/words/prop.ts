import { lengthOf, secondsOf } from '../time.ts';

/** English words of a prop: its state, its times, its lockout, what a person may do to it. */

export const prop = {
  outOfService: 'out of service',
  /** In the place of 'ready' while a stop is latched. */
  stopHolds: 'stop holds',
  at: (state: string, end: string) => `${state}, at ${end}`,
  progress: (move: string, doneMs: number, limitMs: number) =>
    `${move}, ${secondsOf(doneMs)} of ${secondsOf(limitMs)} s`,
  heard: (ms: number) => `last heard ${lengthOf(ms)} ago`,
  boardHeard: 'Its link',
  live: 'live',
  usual: (ms: number) => `usually ${secondsOf(ms)} s`,
  neverHeard: 'never heard',
  silentText: 'Its board does not answer. Look for power and Wi-Fi at the prop.',
  noSuch: 'There is no prop of that name in this yard.',
  sensors: 'Sensors, live',
  noSensors: 'It has no sensors.',
  end: 'end',
  made: 'made',
  notMade: 'not made',
  notKnown: 'not known',
  steppedOn: 'stepped on',
  notSteppedOn: 'nobody on it',
  pressedIn: 'pressed in',
  notPressed: 'not pressed',
  counts: 'Counts',
  cycles: 'cycles',
  moves: 'moves',
  board: 'Its board',
  run: 'In scene',
  serviceDue: 'Service is due',
  back: 'Back to the yard',
};

export const travel = {
  heading: 'Travel times',
  none: 'Not timed yet.',
  figures: (usualMs: number, limitMs: number) =>
    `usually ${secondsOf(usualMs)} s, limit ${secondsOf(limitMs)} s`,
  last: (ms: number) => `Last ${secondsOf(ms)} s.`,
  range: (count: number, leastMs: number, mostMs: number) =>
    count === 1 ? 'Timed once.' : `The last ${count} took ${secondsOf(leastMs)} to ${secondsOf(mostMs)} s.`,
  nights: (count: number) => (count === 1 ? 'last night' : `last ${count} nights`),
  journeys: (count: number) => (count === 1 ? '1 journey' : `last ${count} journeys`),
  drift: (nowMs: number, nights: number) =>
    `Slowing down: ${secondsOf(nowMs)} s by now. At this pace it reaches its limit in ${nights === 1 ? '1 night' : `${nights} nights`}. Look at the belt, wheels and supply.`,
};

export const story = {
  heading: 'Its story',
  none: 'Nothing yet.',
  earlier: 'Further back',
};

export const lockout = {
  heading: (prop: string) => `${prop} locked out`,
  out: (prop: string) => `${prop} out of service`,
  since: (clock: string, ms: number) => `since ${clock}, for ${lengthOf(ms)}`,
  checks: 'Look at first',
  causes: 'Likely causes',
  followers: 'Released with it',
  follows: (first: string) => `Follows ${first}; it is released with it.`,
  release: 'Hold to release',
  releaseText: 'A release moves nothing.',
  keeperOnly: 'Only a keeper releases. A release moves nothing.',
  barred: 'Not yet:',
  unseen: "The yard computer can't see whether the cause is gone. Look first.",
  returned: 'Its board is heard again. It waits for a release.',
  acknowledge: 'Acknowledge',
  acknowledgeText: 'Acknowledge tells the others that you have seen it, and changes nothing else.',
  acknowledged: 'Acknowledged',
  sheet: 'Open its sheet',
  more: 'More about this fault',
};

export const service = {
  heading: 'Take out of service',
  text: 'Its scenes are skipped until someone releases it.',
  why: 'Reason',
  reasons: ['Being repaired', 'Not safe tonight', 'Guests too close', 'Weather'],
  own: 'Another reason',
  act: 'Take out of service',
};

export const bench = {
  heading: 'Bench',
  text: 'Moves while you press, and stops when you let go. Keep your eyes on the prop.',
  onlyWhen: 'Only while the yard is closed or held.',
  keeperOnly: 'Only for a keeper.',
  hold: (move: string) => `Hold: ${move}`,
  noMoves: 'It has no moves.',
};

export const faultsScreen = {
  heading: 'Faults',
  standing: 'Locked out',
  none: 'Nothing is locked out.',
  closed: 'Closed tonight',
  noneClosed: 'None yet.',
  notRead: 'The record is not read yet.',
};

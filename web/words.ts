import type { LockoutPicture } from '../server/picture.ts';
import { lengthOf, secondsOf } from './time.ts';
import { demo } from './words/demo.ts';
import { fates, faults, modeSentences, modes, states } from './words/names.ts';
import { backup, file, people, redButton, setup } from './words/set-up.ts';
import { chart, nights, ruler } from './words/tonight.ts';

/** Names of things in a row: `a`, `a and b`, `a, b and 3 more`. */
function listed(names: readonly string[]): string {
  if (names.length < 2) return names[0] ?? '';
  if (names.length === 2) return `${names[0]} and ${names[1]}`;
  const [first, second, ...rest] = names;
  return rest.length === 1
    ? `${first}, ${second} and ${rest[0]}`
    : `${first}, ${second} and ${rest.length} more`;
}

/** Every word of the page, in English. A second language is another object of this same shape. */
export const english = {
  lang: 'en',
  listed,
  faults,
  modes,
  fates,
  /** Before each word while the page has no link: what is shown was so, and may not be any more. */
  was: (word: string) => `was ${word}`,
  wasSaid: (sentence: string) => `Was: ${sentence}`,

  strip: {
    well: (well: number, all: number) => `${well} of ${all} well`,
    yardTime: 'yard time',
    age: (ms: number) => `${lengthOf(ms)} old`,
    looking: 'Looking for the yard computer…',
    lost: (ms: number) => `No word for ${lengthOf(ms)}`,
    light: (level: string) => `Light: ${level}`,
  },
  lights: { auto: 'by the sun', day: 'day', dusk: 'dusk', red: 'deep red' },
  tabs: {
    yard: 'Yard',
    tonight: 'Tonight',
    faults: 'Faults',
    nights: 'Nights',
    setup: 'Set up',
    label: 'Screens',
  },
  tabFaults: (count: number) => (count === 1 ? '1 locked out' : `${count} locked out`),
  title: (yard: string, mode: string, troubles: number) =>
    troubles > 0 ? `${troubles} in trouble, ${mode}: ${yard}` : `${mode}: ${yard}`,

  stop: {
    label: 'STOP ALL',
    hint: 'Someone in danger? Red button first.',
    unheard: 'No link to the props. Use the red button.',
    sending: 'Stopping…',
    rolling: (answered: number, all: number) => `Stopping… ${answered} of ${all}`,
    stoppedAll: (all: number) => `Stopped. All ${all} answered.`,
    stoppedSome: (answered: number, all: number, silent: readonly string[]) =>
      `Stopped ${answered} of ${all}. ${listed(silent)} ${silent.length === 1 ? 'does' : 'do'} not answer. ` +
      `Pull ${silent.length === 1 ? 'its plug' : 'their plugs'} or press the red button.`,
    noBus: 'The stop is latched, but there is no link to the props. Press the red button.',
    lost: "Can't reach the yard. Use the red button.",
    trying: 'Trying to reach the yard… Use the red button.',
    failed: 'The stop did not get through. Use the red button.',
    unseen: 'The yard computer took the stop. From here nobody can see who obeyed: go and look.',
  },

  stopped: {
    heading: 'Stopped',
    since: (clock: string, by: string | null) => (by ? `At ${clock}. ${by}` : `At ${clock}.`),
    safety:
      'This page is a convenience. To cut motion power and air, press the red button: only that is an emergency stop.',
    answered: 'Obeyed',
    silent: 'No answer',
    nobody: 'nobody yet',
    next: 'Then',
    barsHeading: 'Before it can be cleared, in this order',
    noBars:
      'Walk the yard. When everybody is clear, clear the stop. Nothing is started until you then press Open.',
    clear: 'Hold to clear the stop',
    keeperOnly: 'Only a keeper clears a stop.',
  },

  lost: {
    heading: "This phone can't reach the yard computer",
    text: 'What you see was so, and may not be any more. Nothing you press here is sent, or kept for later; only STOP ALL still tries.',
    checks: [
      'Are you in reach of the yard’s Wi-Fi?',
      'Does the yard computer have power?',
      'Until it is back, the red button stops the yard.',
    ],
    notSent: "Not sent: this phone can't reach the yard computer.",
  },
  bus: {
    heading: 'The yard computer has lost its link to the props',
    text: 'Props that hear nothing stop by themselves. See whether the message broker runs, then its network cable or Wi-Fi.',
    standsDown: (desk: string) => `Another yard computer (${desk}) drives the yard; this one stands by.`,
    standsDownText: 'Only one may drive. Switch off the one that should not. STOP ALL works from both.',
  },

  yard: {
    heading: 'Yard',
    trouble: 'Trouble',
    noTrouble: 'No trouble.',
    nowNext: 'Now and next',
    now: 'now',
    nothingNow: 'No scene runs.',
    notOpen: 'Nothing starts until the yard is opened.',
    closing: 'Nothing new starts: the yard is closing.',
    planned: 'planned',
    nothingNext: 'Nothing is planned.',
    inTime: (ms: number) => `in ${lengthOf(ms)}`,
    due: 'due',
    since: (ms: number) => `for ${lengthOf(ms)}`,
    noZone: 'Elsewhere',
    allWell: (count: number) => (count === 1 ? '1, well' : `all ${count} well`),
    someWell: (well: number, all: number) => `${well} of ${all} well`,
    notes: 'From the yard computer',
  },

  mode: {
    sentences: modeSentences,
    atRest: 'The yard is closed. Everything is at rest.',
    noneHeard: 'No board is heard; nobody here knows what moves.',
    notHeard: (names: readonly string[]) =>
      names.length === 1
        ? `${names[0]} is not heard; nobody here knows whether it moves.`
        : `${listed(names)} are not heard; nobody here knows whether they move.`,
    hours: (open: string, close: string) => `Open ${open} to ${close}`,
    quiet: (quiet: string) => `quiet from ${quiet}`,
    noNight: 'No night is planned for now.',
    open: 'Open',
    openFor: (hours: number) => `Open for ${hours} h`,
    openLonger: 'for',
    hold: 'Hold',
    close: 'Close',
    nothingPlanned: 'with nothing planned',
    openWarns: 'Props will move. Walk the yard before you open.',
  },

  states,
  prop: {
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
    station: 'Red button',
    serviceDue: 'Service is due',
    back: 'Back to the yard',
  },

  travel: {
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
  },
  story: {
    heading: 'Its story tonight',
    none: 'Nothing yet.',
  },

  lockout: {
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
    acknowledged: 'Acknowledged',
    sheet: 'Open its sheet',
    more: 'More about this fault',
  },
  service: {
    heading: 'Take out of service',
    text: 'Its scenes are skipped until someone releases it.',
    why: 'Reason',
    reasons: ['Being repaired', 'Not safe tonight', 'Guests too close', 'Weather'],
    own: 'Another reason',
    act: 'Take out of service',
  },
  bench: {
    heading: 'Bench',
    text: 'Moves while you press, and stops when you let go. Keep your eyes on the prop.',
    onlyWhen: 'Only while the yard is closed or held.',
    keeperOnly: 'Only for a keeper.',
    hold: (move: string) => `Hold: ${move}`,
    stopped: 'Let go: halted.',
    noMoves: 'It has no moves.',
  },

  faultsScreen: {
    heading: 'Faults',
    standing: 'Locked out',
    none: 'Nothing is locked out.',
    closed: 'Closed tonight',
    noneClosed: 'None yet.',
    notRead: 'The record is not read yet.',
  },
  tonight: {
    heading: 'Tonight',
    none: 'No plan is drawn for tonight yet.',
    open: 'Open',
    quiet: 'Quiet from here: nothing loud',
    close: 'Close',
    now: 'Now',
    earlier: (count: number) => (count === 1 ? '1 earlier run went well' : `${count} earlier runs went well`),
    started: (clock: string) => `started ${clock}`,
    ended: (clock: string) => `ended ${clock}`,
    scenes: 'Scenes',
    made: (made: number, wanted: number) => `${made} of ${wanted} made`,
    madeOnly: (made: number) => `${made} made`,
    skipped: (count: number) => `${count} skipped`,
    run: 'Run now',
    runOf: (scene: string) => `Run now: ${scene}`,
    loads: 'Circuits and air',
    amps: (amps: number, limit: number) => `${amps.toFixed(1)} of ${limit.toFixed(1)} A`,
    psi: (psi: number, working: number) => `${psi.toFixed(0)} psi, wants ${working.toFixed(0)}`,
    pumping: 'compressor runs',
  },

  nights,
  ruler,
  chart,

  signIn: {
    heading: 'Sign in',
    text: 'Looking needs no sign-in, and neither does STOP ALL. To open, hold, close or release, type your PIN.',
    pin: 'PIN',
    erase: 'Erase',
    act: 'Sign in',
    toAct: 'Sign in to act',
    as: (name: string, role: string) =>
      name === role ? `Signed in as ${name}.` : `Signed in as ${name}, ${role}.`,
    roles: { helper: 'helper', keeper: 'keeper' },
    out: 'Sign out',
  },
  backup,
  file,
  people,
  redButton,
  setup,
  demo,
  hold: {
    keep: 'Keep holding…',
    short: 'Too short. Keep holding',
    letGo: 'Let go now',
    again: 'Press once more to do it',
  },
  said: {
    close: 'Close this message',
    refused: 'Refused',
    failed: 'Not done',
    noAnswer: 'The yard computer did not answer. Look at the yard before you try again.',
  },
  lockoutWord: (lockout: LockoutPicture) => faults[lockout.code],
};

export type Words = typeof english;

/** The language of the page. */
export const words: Words = english;

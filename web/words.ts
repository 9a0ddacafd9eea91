import type { LockoutPicture } from '../server/picture.ts';
import { lengthOf, secondsOf } from './time.ts';
import { fates, faults, modeSentences, modes, states } from './words/names.ts';

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
      'Walk the yard. When everybody is clear, clear the stop. Nothing moves until you then press Open.',
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
    nothingNow: 'Nothing runs.',
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
    acknowledge: 'Acknowledge',
    acknowledged: 'Acknowledged',
    sheet: 'Open its sheet',
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
    returned: 'Cause gone, waiting for a release',
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

  nights: {
    heading: 'Nights',
    none: 'The record knows no night yet.',
    looking: 'Reading the record…',
    noReport: 'Nothing is recorded for that night.',
    planned: (runs: number) => (runs === 1 ? '1 run planned' : `${runs} runs planned`),
    byHand: 'opened by hand',
    pick: 'Past nights',
    table: (title: string) => `${title}, table`,
    copy: 'For a file: dusklatch report, with --csv, --json or --html.',
  },
  ruler: {
    label: 'What the ruler shows',
    ruler: 'Ruler',
    list: 'List',
    as: 'How the night is shown',
    reaches: { minutes: '20 min', hour: '1 h', night: 'Night' },
    earlier: 'Earlier',
    later: 'Later',
    quiet: 'quiet',
    sunset: 'sunset',
    clockChange: (byMs: number) => `clocks ${byMs < 0 ? 'back' : 'on'} ${lengthOf(Math.abs(byMs))}`,
    described: (from: string, to: string, runs: number) =>
      `Clock ruler from ${from} to ${to} with ${runs === 1 ? '1 run' : `${runs} runs`}. The list says the same in words.`,
    missed: (scene: string, fate: string, why: string | null) =>
      why ? `${scene}, ${fate}. ${why}` : `${scene}, ${fate}.`,
    noneMissed: 'Nothing missed in this stretch.',
  },
  chart: {
    planned: 'planned',
    real: 'so far',
    limit: (amps: number) => `limit ${amps.toFixed(1)} A`,
    breaker: (amps: number) => `breaker ${amps.toFixed(0)} A`,
    working: (psi: number) => `least ${psi.toFixed(0)} psi`,
    failed: 'The chart could not be loaded. The figures above hold.',
    amps: (title: string, planned: string, real: string) => `${title} through the night. ${planned} ${real}`,
    plannedAmps: (amps: number, clock: string) => `Planned most: ${amps.toFixed(1)} A at ${clock}.`,
    realAmps: (amps: number, clock: string) => `So far most: ${amps.toFixed(1)} A at ${clock}.`,
    plannedPsi: (psi: number, clock: string) => `Planned least: ${psi.toFixed(0)} psi at ${clock}.`,
    realPsi: (psi: number, clock: string) => `So far least: ${psi.toFixed(0)} psi at ${clock}.`,
  },

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
  file: {
    heading: 'The yard file',
    text: 'What is saved here takes effect when the yard computer is next started. Until then it goes on with the file that it started with.',
    keeperOnly: 'Only a keeper sees the file: it may hold the password of the bus.',
    reading: 'Reading…',
    runs: 'This is the file that runs now.',
    changed: 'Changed here, and not saved yet.',
    runsNot: 'This is not the file that runs now: it takes effect at the next start.',
    check: 'Check',
    save: 'Save for the next start',
    copy: 'Take a copy',
    discard: 'Throw my changes away',
    demo: 'This is the demonstration’s own file and stays as it is. Take a copy, make it yours, and start it with “dusklatch serve my-yard.yaml”.',
    saved: (lastGood: string) =>
      `Saved. It takes effect at the next start. The file that runs now is kept as ${lastGood}.`,
    errors: (count: number) => (count === 1 ? '1 mistake. Not saved.' : `${count} mistakes. Not saved.`),
    goTo: (line: number) => `Go to line ${line}`,
    fine: 'No mistakes.',
    warnings: 'To change or to know',
    review: 'Review of circuits, air and duty',
  },
  people: {
    heading: 'People and PINs',
    text: 'Looking and STOP ALL need no PIN. To open, hold, close and release, people sign in with theirs.',
    list: 'Who may sign in',
    add: 'Add someone',
    name: 'Name',
    role: 'May act as',
    pin: 'PIN, 4 to 12 digits',
    pinRule: '4 to 12 digits',
    roles:
      'A helper opens, holds, closes and runs scenes. A keeper also clears a stop, releases props, and sets up.',
    remove: 'Remove',
    removeOf: (name: string) => `Remove ${name}`,
    sure: 'Press again to remove',
    sureOf: (name: string) => `Press again to remove ${name}`,
    own: 'Your own PIN',
    ownText: 'Changing it signs you out on other phones.',
    change: 'Change it',
    changed: 'Changed.',
  },
  redButton: {
    asked: {
      where: 'Where is it?',
      cuts: 'What does it cut?',
      testedBy: 'Who tested it last?',
      testedOn: 'When?',
    },
    write: 'Write it down',
    keeperOnly: 'A keeper writes it down.',
    none: 'Nobody has said yet where the red button is, what it cuts, and who tested it.',
    say: 'Say where it is',
    change: 'Write a new test down',
    where: (where: string) => `Where: ${where}`,
    cuts: (cuts: string) => `Cuts: ${cuts}`,
    tested: (by: string, on: string) => `Tested by ${by} on ${on}`,
  },
  setup: {
    heading: 'Set up',
    back: 'Back to set up',
    file: 'The yard file',
    ownFile: 'Begin with this file',
    people: 'People and PINs',
    yard: 'Your yard',
    person: 'Who you are',
    join: 'Another phone',
    joinText: 'Join the yard’s Wi-Fi, then scan this or type the address.',
    joinLocal: 'This address works only on this computer.',
    qr: (address: string) => `Square code for ${address}`,
    light: 'Light',
    red: 'The red button',
    redText:
      'The emergency stop is a hard-wired red button that cuts motion power and air. Everybody on duty must know where it is, and someone must have tested it today. STOP ALL on this page is a convenience and never replaces it.',
    stations: 'Watched by the yard computer',
    noStations:
      'No red button is watched in this yard file. It works all the same, if it is wired to cut the power.',
    not: 'What this is not',
    notList: [
      'It is not a guard: keep people away from what crushes, lifts or swings.',
      'It can’t see people. Someone must watch the yard while it is open.',
      'A stop does not empty a tank or relax a spring. Vent and block before you reach in.',
      'It does not make wet ground safe: outdoor outlets need their own protection, fitted by an electrician.',
      'It does not count guests or thin fog: keep ways out clear and in sight.',
      'Local codes and the people who enforce them decide, not this page.',
    ],
    own: 'Your own yard',
    ownText:
      'This demonstration moves nothing real. To make it yours, write a yard file, check it with “dusklatch check my-yard.yaml”, then start it with “dusklatch serve my-yard.yaml”.',
    extras:
      'Messages to a locked phone and use without a network need a secure address (https), which this yard does not have. Keep the page open.',
  },
  demo: {
    label: 'Demonstration',
    text: 'A demonstration: nothing here is real.',
    steps: {
      shut: () => 'The yard is not open yet, so nothing moves.',
      jam: (prop: string) => `What happens when a prop sticks? Jam the ${prop.toLowerCase()} and see.`,
      wait: (prop: string) =>
        `The ${prop.toLowerCase()} is jammed. It is sent out as soon as the rules allow.`,
      locked: (prop: string) =>
        `The ${prop.toLowerCase()} is locked out, and the rest goes on. Read why, then free it.`,
      release: (prop: string) =>
        `The ${prop.toLowerCase()} is free again. Only a person lets it back in: release it.`,
      again: (prop: string) =>
        `Released. The ${prop.toLowerCase()} goes home after a notice, then it may run.`,
      runs: (prop: string) => `There it goes: the ${prop.toLowerCase()} runs again.`,
      done: () => 'That was a fault from end to end. Nothing was hurt, and the record has it.',
    },
    jam: (prop: string) => `Jam the ${prop.toLowerCase()}`,
    free: (prop: string) => `Free the ${prop.toLowerCase()}`,
    read: 'Read why',
    sheet: 'Go and release it',
    again: 'Run it again',
    over: 'Start over',
    mat: 'Step on the mat',
    reset: 'Mend everything',
    keeper: 'Be the keeper',
    own: 'Make it mine',
  },
  hold: { keep: 'Keep holding…', letGo: 'Let go now', again: 'Press once more to do it', slid: 'Not done.' },
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

/** English words of setting up. */

export const file = {
  heading: 'The yard file',
  text: 'Check it, look at what changes, then save. It runs as soon as all that it touches is at rest; until then the file before goes on, whole.',
  keeperOnly: 'Only a keeper sees the file: it may hold the password of the bus.',
  reading: 'Reading…',
  runs: 'This is the file that runs now.',
  changed: 'Changed here, and not saved yet.',
  runsNot: 'This is not the file that runs now: it takes effect at the next start.',
  waitsClosed: 'It does not run yet: it waits for the yard to be closed and at rest.',
  waitsStart: 'It does not run yet: the bus changes only at the next start.',
  waitsRest: (titles: readonly string[]) =>
    `It does not run yet: it waits until these are at rest: ${titles.join(', ')}.`,
  startAnew: 'Start the yard computer anew',
  closeFirst: 'Only while the yard is closed.',
  changes: (count: number) =>
    count === 0
      ? 'Nothing that the yard goes by changes'
      : count === 1
        ? '1 change to the file that runs'
        : `${count} changes to the file that runs`,
  was: 'before:',
  is: 'now:',
  goes: 'goes',
  when: {
    now: 'At once.',
    night: 'At once.',
    rest: 'Once it is at rest.',
    closed: 'Once the yard is closed.',
    start: 'At the next start of the yard computer.',
  },
  whenRests: (title: string) => `Once ${title} is at rest.`,
  whenEnded: (title: string) => `Once “${title}” is not running.`,
  check: 'Check',
  save: 'Save it',
  copy: 'Take a copy',
  discard: 'Throw my changes away',
  demo: 'This is the demonstration’s own file and stays as it is. Take a copy, make it yours, and start it with “npx dusklatch serve my-yard.yaml”.',
  saved: (lastGood: string, runs: string) => `Saved. ${runs} The file before it is kept as ${lastGood}.`,
  errors: (count: number) => (count === 1 ? '1 mistake. Not saved.' : `${count} mistakes. Not saved.`),
  firstIn: (count: number, line: number) =>
    count === 1 ? `1 mistake, in line ${line}.` : `${count} mistakes, first in line ${line}.`,
  warned: (count: number) =>
    `No mistakes. ${count === 1 ? '1 thing' : `${count} things`} to change or to know.`,
  goTo: (line: number) => `Go to line ${line}`,
  fine: 'No mistakes.',
  warnings: 'To change or to know',
  review: 'Review of circuits, air and duty',
  warningsLeft: 'To change or to know, as far as it can be read',
  reviewLeft: 'Review of circuits, air and duty, as far as it can be read',
  leftOut: (titles: readonly string[]) => `Not in these sums, for its mistakes: ${titles.join(', ')}.`,
};

export const people = {
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
  keeperOnly: 'A keeper adds and removes people: ask one, or sign in as one.',
  remove: 'Remove',
  removeOf: (name: string) => `Remove ${name}`,
  sure: 'Press again to remove',
  sureOf: (name: string) => `Press again to remove ${name}`,
  own: 'Your own PIN',
  ownText: 'Changing it signs you out on other phones and computers.',
  change: 'Change it',
  changed: 'Changed.',
};

export const backup = {
  heading: 'Backup and restore',
  text: 'One zip of everything that this computer keeps: the yard file, the people, the red button’s record, the settings, and the record of every night. Cards wear out: take one after each weekend, and keep it elsewhere.',
  keeperOnly: 'A keeper takes and restores backups.',
  take: 'Take one',
  takeAct: 'Take a backup now',
  secret:
    'It holds the PINs, scrambled, and perhaps the password of the bus and the address of your notices. Keep it to yourself.',
  restore: 'Restore one',
  restoreText:
    'First it is read to the last byte, and nothing is changed. It is restored only while the yard is closed. What is here now is kept as one more backup.',
  choose: 'Choose a backup',
  busy: {
    taking: 'Packing. This can take a minute.',
    reading: 'Reading it to the last byte. This can take a minute.',
    restoring: 'Keeping what is here now. This can take a minute.',
  },
  made: (when: string) => `As it was on ${when}.`,
  holds: (nights: number, people: number) =>
    `${nights === 1 ? '1 night' : `${nights} nights`}, ${people === 1 ? '1 person' : `${people} people`}.`,
  restoreAct: 'Restore this one',
  sure: 'Press again: replace what is here',
  done: (kept: string) =>
    `Restored. The yard computer starts anew with it, so this page loses it for a moment. What was here before is kept there as ${kept}.`,
};

export const redButton = {
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
};

export const setup = {
  heading: 'Set up',
  back: 'Back to set up',
  file: 'The yard file',
  ownFile: 'Begin with this file',
  people: 'People and PINs',
  backup: 'Backup and restore',
  notices: 'Notices',
  first: 'Begin a file, step by step',
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
    'This demonstration moves nothing real. To make it yours, begin a file step by step or with this one, take a copy, then start it with “npx dusklatch serve my-yard.yaml”.',
  extras:
    'To put the page on the home screen, and open it from there when the yard is out of reach, a phone wants a secure address (https). This yard has none: it would need a certificate (README, Settings). Everything else works without. Keep the page open.',
  secure:
    'This address is secure (https): a phone that trusts its certificate can put the page on its home screen, and open it from there also when the yard is out of reach. It then says so. What the yard looks like is never kept, nor any command.',
};

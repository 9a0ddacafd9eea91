import type { NoteWords, PageWords, PlainWords } from '../tongue.ts';

export const PAGES: PageWords = {
  index: 'What faults mean',
  intro:
    'A fault takes its prop out of service, and the rest of the show goes on. It stays until a keeper releases it, once the cause is gone. Releasing moves nothing. Two are milder: a board that is lost comes back by itself unless it is lost often, and slowing down is only a warning.',
  cautions: 'Before anything else',
  fault: (code) => `Fault ${code}.`,
  rule: 'How the yard computer decides it',
  now: 'What the yard does by itself',
  handsIn:
    'Before a hand goes in: lock it out on its page, pull its plug, let its air out, and prop up what can fall. Out of service on the page alone keeps nothing from moving.',
  checks: 'Look at first, in this order',
  causes: 'Likely causes, the likeliest first',
  find: 'Finding it',
  will: 'What release will do',
  wont: 'What release won’t do',
  prevent: 'So that it does not come again',
  all: 'All faults',
  yard: 'The yard',
};

export const PLAIN: PlainWords = {
  about: 'The yard: what runs, what is in trouble, and STOP ALL.',
  stopAll: 'STOP ALL',
  hint: 'Someone in danger? Red button first.',
  loading: 'The page is loading.',
  ifItStays: 'If this stays, its script did not load: reload it. STOP ALL below works even so.',
  yardPage: 'The yard page',
  convenience: 'STOP ALL below is a convenience. The emergency stop is the red button in the yard.',
  stopSent: (n) => `Stop ${n} sent`,
  onItsWay: 'The stop is on its way to every prop. Look at the yard. What still moves: press the red button.',
  pressRedButton: 'PRESS THE RED BUTTON',
  noBus: 'The stop could not be handed to the props: there is no bus. Press the red button now.',
};

export const NOTES: NoteWords = {
  busNotYet: 'The bus is not there yet.',
  busGone: 'The bus is not there.',
  anotherTookOver: (desk) => `Another yard computer (${desk}) has taken over the bus.`,
  anotherDrives: (desk) =>
    `Another yard computer (${desk}) drives this bus. This one waits and moves nothing until that one has gone.`,
  numberNotKept: (why) => `This computer can't begin, since its number can't be kept: ${why}`,
  noticeFailed: (why) => `The last notice did not get through: ${why}.`,
  fileFromStart: 'A changed yard file was saved. It holds from the next start.',
  fileOnceClosed: 'A changed yard file was saved. It holds as soon as the yard is closed and at rest.',
  fileOnceAtRest: (titles) =>
    `A changed yard file was saved. It holds as soon as these are at rest: ${titles.join(', ')}.`,
  dropped: (n) => `${n} ${n === 1 ? 'message' : 'messages'} on the bus could not be used.`,
  mostDropped: {
    unknown: (what) =>
      `Most often: \`${what}\` is not in the yard file. Add it there, or mend the id in the board’s program.`,
    unreadable: (what) =>
      `Most often: what comes on \`${what}\` is not written as agreed. Mend the program of the board that sends it, and examine it with \`dusklatch exam\`.`,
    'too-large': (what) =>
      `Most often: a message is too large (\`${what}\`). Find the program that sends it.`,
    kept: (what) =>
      `Most often: what comes on \`${what}\` was sent as retained, so it may be old. Let the board’s program send it without that.`,
    barred: (what) =>
      `Most often: what comes on \`${what}\` is for this yard computer alone to say. Find who else sends it.`,
  },
  flooded: (n) => `The bus is flooded: ${n} messages were dropped. Find the board that sends so many.`,
  recordFails: (why) => `The record can’t be written: ${why}. Nothing new is started.`,
  busGoneNotice: 'The bus is gone: the yard computer reaches no board. Each stops by itself.',
  trialFailed: (why) => `The trial did not get through: ${why}.`,
  trialNotice: (by) => `This is a trial, asked for by ${by}. Nothing has happened.`,
};

import { lengthOf } from '../time.ts';

/** English words of the frame: strip, tabs, the lost link, sign-in, presses and their answers. */

export const strip = {
  well: (well: number, all: number) => `${well} of ${all} well`,
  yardTime: 'yard time',
  age: (ms: number) => `${lengthOf(ms)} old`,
  looking: 'Looking for the yard computer…',
  lost: (ms: number) => `No word for ${lengthOf(ms)}`,
  light: (level: string) => `Light: ${level}`,
};

export const lights = { auto: 'by the sun', day: 'day', dusk: 'dusk', red: 'deep red' };

export const tabs = {
  yard: 'Yard',
  tonight: 'Tonight',
  faults: 'Faults',
  nights: 'Nights',
  setup: 'Set up',
  label: 'Screens',
};

export const tabFaults = (count: number) => (count === 1 ? '1 locked out' : `${count} locked out`);

export const title = (yard: string, mode: string, troubles: number) =>
  troubles > 0 ? `${troubles} in trouble, ${mode}: ${yard}` : `${mode}: ${yard}`;

export const lost = {
  heading: "This page can't reach the yard computer",
  text: 'What you see was so, and may not be any more. Nothing you press here is sent, or kept for later; only STOP ALL still tries.',
  checks: [
    'Are you in reach of the yard’s Wi-Fi?',
    'Does the yard computer have power?',
    'Until it is back, the red button stops the yard.',
  ],
  notSent: "Not sent: this page can't reach the yard computer.",
};

export const bus = {
  heading: 'The yard computer has lost its link to the props',
  text: 'Props that hear nothing stop by themselves. The messages go through a program called the bus: the yard computer’s own, or the one at the address under “bus” in the yard file. See whether that computer runs, then look at its network cable or Wi-Fi.',
  standsDown: (desk: string) => `Another yard computer (${desk}) drives the yard; this one stands by.`,
  standsDownText: 'Only one may drive. Switch off the one that should not. STOP ALL works from both.',
};

export const signIn = {
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
  keeper:
    'A keeper is whoever looks after this yard: the PIN of the first one was set or printed when the yard computer first started.',
};

export const hold = {
  keep: 'Keep holding…',
  short: 'Too short. Keep holding',
  letGo: 'Let go now',
  again: 'Press once more to do it',
};

export const said = {
  close: 'Close this message',
  refused: 'Refused',
  failed: 'Not done',
  noAnswer: 'The yard computer did not answer. Look at the yard before you try again.',
};

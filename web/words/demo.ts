import type { Mode } from '../../server/show/reasons.ts';

/** English words of the demonstration and its tour; `prop` is a title. */

const small = (prop: string) => prop.toLowerCase();

/** Why the tour can't go on while the yard is not open. */
const shut: Record<Exclude<Mode, 'open'>, string> = {
  closed: 'The yard is closed: no scene starts until it is opened.',
  opening: 'The yard is opening: props go home first, then scenes start.',
  held: 'The yard is held: what runs ends, and no scene starts until someone presses Open.',
  closing: 'The yard is closing: what runs ends, then props go home.',
  stopped: 'The yard is stopped: no scene starts until the stop is cleared and the yard is opened.',
};

export const demo = {
  label: 'Demonstration',
  text: 'A demonstration: nothing here is real.',
  shut,
  stillJammed: (prop: string) => `The ${small(prop)} is still jammed.`,
  steps: {
    jam: (prop: string) => `What happens when a prop sticks? Jam the ${small(prop)} and see.`,
    wait: (prop: string) =>
      `The ${small(prop)} is jammed. Wait until it is next sent out and does not arrive: half a minute, or more.`,
    locked: (prop: string) =>
      `The ${small(prop)} is locked out, and the rest goes on. Read why, then free it.`,
    release: (prop: string) => `The ${small(prop)} is free again. Only a person lets it back in: release it.`,
    again: (prop: string) => `Released. The ${small(prop)} is back in service.`,
    runs: (prop: string) => `There it goes: the ${small(prop)} runs again.`,
    done: () => 'That was a fault from end to end. Nothing was hurt, and the record has it.',
  },
  /** After a release, by where it stands. */
  stands: (prop: string, end: string) => `Released. The ${small(prop)} stands at ${end} and may run again.`,
  mustHome: (prop: string) => `Released. Nobody knows where the ${small(prop)} stands: it goes home first.`,
  jam: (prop: string) => `Jam the ${small(prop)}`,
  free: (prop: string) => `Free the ${small(prop)}`,
  read: 'Read why',
  sheet: 'Go and release it',
  again: 'Run it again',
  over: 'Start over',
  mat: 'Step on the mat',
  reset: 'Mend everything',
  keeper: 'Be the keeper',
  own: 'Make it mine',
};

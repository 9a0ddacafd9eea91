import { listed } from './listed.ts';

/** English words of the stop bar and of the stopped yard. */

export const stop = {
  label: 'STOP ALL',
  hint: 'Someone in danger? Red button first.',
  unheard: 'No link to the props. Use the red button.',
  sending: 'Stopping…',
  rolling: (answered: number, all: number) => `Stopping… ${answered} of ${all}`,
  stoppedAll: (all: number) => `Stopped. All ${all} answered.`,
  stoppedSome: (answered: number, all: number, silent: readonly string[]) =>
    `Stopped ${answered} of ${all}. ${listed(silent)} ${silent.length === 1 ? 'does' : 'do'} not answer. ` +
    `Pull ${silent.length === 1 ? 'its plug' : 'their plugs'} or press the red button.`,
  noBus: 'The stop holds, but no prop has heard it: there is no link to them. Press the red button.',
  lost: "Can't reach the yard. Use the red button.",
  trying: 'Trying to reach the yard… Use the red button.',
  failed: 'The stop did not get through. Use the red button.',
  unseen: 'The yard computer took the stop. From here nobody can see who obeyed: go and look.',
};

export const stopped = {
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
};

import type { NoticeFate } from '../../server/notices/notices.ts';

/** English words of the notices that leave the yard. */
export const notices = {
  heading: 'Notices',
  text: 'The yard computer can tell an address of what should bring somebody running: a program of yours, or a service that passes it on to a phone. It is a convenience: nothing waits for it, and no notice does not mean that all is well.',
  keeperOnly: 'A keeper sets where notices go: the address may hold a secret.',
  address: 'Address',
  addressText:
    'The web address that your program, or the service, gives you for this. Left empty, nothing is sent. What is sent, for whoever programs it, stands in the README under “Being told”.',
  addressRule: 'a web address that begins with http:// or https://',
  about: 'Tell it of',
  kinds: {
    stop: 'every stop',
    lockout: 'a prop locked out',
    record: 'a record that can’t be written',
    bus: 'a bus that is gone',
  },
  quiet: 'Quiet hours: only stops are told of',
  from: 'From',
  to: 'To',
  noQuiet: 'Leave both empty for none. The clock is the yard’s.',
  bothTimes: 'Quiet hours need both times, or none.',
  save: 'Save',
  trial: 'Send a trial',
  trialFirst: 'Save the address first.',
  last: 'The last notices',
  none: 'None yet.',
  fates: {
    sent: () => 'taken',
    failed: (why: string | null) => `did not get through: ${why ?? 'nobody knows why'}`,
    quiet: () => 'not sent: quiet hours',
    'too-many': () => 'not sent: too many at once',
  } satisfies Record<NoticeFate['fate'], (why: string | null) => string>,
  fateKinds: {
    stop: 'a stop',
    lockout: 'a lockout',
    record: 'the record',
    bus: 'the bus',
    trial: 'a trial',
  } satisfies Record<NoticeFate['what'], string>,
};

/** English words of going back through a night. */

const count = (n: number, one: string, many: string) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

export const past = {
  open: 'See the yard as it was',
  heading: (night: string) => `The yard as it was, ${night}`,
  toNight: 'Report of this night',
  looking: 'Reading the record…',
  failed: 'This screen could not be loaded. Reload the page.',
  none: 'Nothing is recorded for that night.',
  asItWas: (clock: string) => `As it was at ${clock}`,
  reading: (clock: string) => `Reading ${clock}…`,
  now: 'Only what lies outside this frame is live.',
  off: 'The yard computer was not running then. This is the last that it knew.',
  gap: 'Part of the record before this is missing, so it need not have been so.',
  slider: 'Moment of the night',
  controls: 'Going through the night',
  previous: 'Previous event',
  next: 'Next event',
  event: 'event',
  back: (seconds: number) => `Back by ${seconds} s`,
  on: (seconds: number) => `On by ${seconds} s`,
  seconds: (seconds: number) => `${seconds} s`,
  stepsLabel: 'Events',
  steps: {
    trouble: 'Faults and stops',
    missed: 'Also what was missed',
    all: 'Everything',
  },
  reach: 'What the slider spans',
  reaches: { night: 'Night', hour: '1 h', minutes: '10 min' },
  keys: 'Arrow keys go by a second, Page up and down by a minute.',
  marks: (runs: number, faults: number, stops: number, missed: number) =>
    [
      count(runs, 'run', 'runs'),
      count(faults, 'fault', 'faults'),
      count(stops, 'stop', 'stops'),
      count(missed, 'skipped', 'skipped'),
    ].join(', '),
  around: 'What happened around then',
  nothing: 'Nothing was recorded around then.',
  thenCame: 'Then came',
  /** Its time leads to the yard as it was then. */
  goTo: (clock: string) => `Go to ${clock}`,
  more: 'More around then',
};

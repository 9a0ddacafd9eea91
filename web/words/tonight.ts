import { lengthOf } from '../time.ts';

/** English words of tonight: its screen, the clock ruler, its charts. And of past nights. */

export const tonight = {
  heading: 'Tonight',
  none: 'No plan is drawn for tonight yet.',
  open: 'Open',
  quiet: 'Quiet from here: nothing loud',
  close: 'Close',
  now: 'Now',
  earlier: (count: number) => (count === 1 ? '1 earlier run went well' : `${count} earlier runs went well`),
  started: (clock: string) => `Started ${clock}`,
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
};

export const nights = {
  heading: 'Nights',
  none: 'The record knows no night yet.',
  looking: 'Reading the record…',
  noReport: 'Nothing is recorded for that night.',
  planned: (runs: number) => (runs === 1 ? '1 run planned' : `${runs} runs planned`),
  byHand: 'by hand',
  unplanned: 'nothing planned',
  pick: 'Past nights',
  table: (title: string) => `${title}, table`,
  copy: 'For a file: npx dusklatch report, with --csv, --json or --html.',
};

export const ruler = {
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
  /** `besides`: how many of them were not planned. */
  described: (from: string, to: string, runs: number, besides: number) =>
    `Clock ruler from ${from} to ${to} with ${runs === 1 ? '1 run' : `${runs} runs`}${besides > 0 ? `, ${besides} of them not planned` : ''}. The list says the same in words.`,
  missed: (scene: string, fate: string, why: string | null) =>
    why ? `${scene}, ${fate}. ${why}` : `${scene}, ${fate}.`,
  noneMissed: 'Nothing of the plan was missed in this stretch.',
  nonePlanned: 'Nothing is planned for this night. What runs by hand or for guests is shown.',
  besides: (runs: number) => `${runs} runs in this stretch that were not planned`,
};

export const chart = {
  planned: 'planned',
  real: 'so far',
  limit: (amps: number) => `limit ${amps.toFixed(1)} A`,
  breaker: (amps: number) => `breaker ${amps} A`,
  working: (psi: number) => `least ${psi.toFixed(0)} psi`,
  failed: 'The chart could not be loaded. The figures above hold.',
  amps: (title: string, planned: string, real: string) => `${title} through the night. ${planned} ${real}`,
  plannedAmps: (amps: number, clock: string) => `Planned most: ${amps.toFixed(1)} A at ${clock}.`,
  realAmps: (amps: number, clock: string) => `So far most: ${amps.toFixed(1)} A at ${clock}.`,
  plannedPsi: (psi: number, clock: string) => `Planned least: ${psi.toFixed(0)} psi at ${clock}.`,
  realPsi: (psi: number, clock: string) => `So far least: ${psi.toFixed(0)} psi at ${clock}.`,
  steady: 'Amps are the steady load, which the limit is for. Motors draw more for a moment as they start.',
  surges: (amps: number, breaker: number) =>
    `Planned most with starting motors: ${amps.toFixed(1)} A, for a breaker of ${breaker} A.`,
};

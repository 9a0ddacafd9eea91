import {
  FAULT_CODES,
  type Fault,
  type FaultCode,
  type ReasonCode,
  type ReasonOf,
} from '../../server/show/reasons.ts';
import { at } from './yard.ts';

/** Every kind of fault, once with all figures it can bear and once with none. A new code wants a line here. */
const FULL: { [C in FaultCode]: Omit<Fault, 'code' | 'prop' | 'at'> } = {
  'travel-slow': {
    move: 'out',
    sensor: 'far',
    other: 'near',
    leftAt: at('21:13:58'),
    tookMs: 13_000,
    usualMs: 7100,
    limitMs: 12_000,
  },
  'no-departure': { move: 'out', sensor: 'near', tookMs: 2400, usualMs: 7100 },
  'travel-short': { move: 'out', sensor: 'far', other: 'near', tookMs: 1900, usualMs: 7100 },
  'both-ends': { sensor: 'near', other: 'far' },
  'end-lost': { sensor: 'near' },
  chatter: { sensor: 'far', edges: 9 },
  'interlock-lost': {
    move: 'row',
    need: { kind: 'made', prop: 'ferry', sensor: 'far' },
    why: 'not-made',
    first: 'ferry',
  },
  overrun: { move: 'row', tookMs: 51_000, usualMs: 45_000, limitMs: 50_000 },
  'no-answer': { move: 'out' },
  refused: { move: 'out', why: 'unknown' },
  failed: { move: 'out', why: 'too hot' },
  'link-lost': { move: 'out', times: 3 },
  'stray-move': { sensor: 'far' },
  'two-boards': { controllers: ['ferry-board', 'spare'] },
  'dead-halt': { move: 'out', why: 'interlock' },
  drift: { move: 'out', tookMs: 9800, usualMs: 7100, limitMs: 12_000, nights: 4 },
  'by-hand': { why: 'belt frayed' },
};

export function fullFault(code: FaultCode): Fault {
  return { code, prop: code === 'interlock-lost' ? 'ferryman' : 'ferry', at: at('21:14:10'), ...FULL[code] };
}

export function bareFault(code: FaultCode): Fault {
  return { code, prop: 'ferry', at: at('21:14:10') };
}

export const FAULTS: readonly Fault[] = [
  ...FAULT_CODES.flatMap((code) => [bareFault(code), fullFault(code)]),
  { ...bareFault('no-answer'), why: 'did not answer the stop' },
];

const farNeed = { kind: 'made', prop: 'ferry', sensor: 'far' } as const;
const notOnMat = { kind: 'not-made', prop: 'path-mat', sensor: 'step' } as const;
const restNeed = { kind: 'at-rest', prop: 'ferryman' } as const;
const homeNeed = { kind: 'at-home', prop: 'ferry' } as const;
const locked = { code: 'locked-out', prop: 'ferry', fault: 'travel-slow' } as const;
const ferry = { prop: 'ferry' } as const;

/** All that the core says of who did it; `desk`, `board`, `station`, `dead-halt` bear an id. */
const WHO = [
  'page',
  'http',
  'Ada',
  'gate-button',
  'station gate-button pressed',
  'station gate-button silent',
  'station gate-button unread',
  'board ferry-board',
  'desk q4x1',
  'dead-halt ferry',
  'restart',
  'by itself',
  'its answer',
  'the hour',
  'stood down',
  'after a restart',
  'before the restart',
] as const;

type Samples = { readonly [C in ReasonCode]: readonly Omit<ReasonOf<C>, 'code'>[] };

/** Figures for every code. A new code wants a line here: without it the types and the test say so. */
const SAMPLES: Samples = {
  mode: (['closed', 'opening', 'open', 'held', 'closing', 'stopped'] as const).map((mode) => ({ mode })),
  stopped: [{ stop: 8 }],
  'already-open': [{ mode: 'opening' }],
  'nothing-to-clear': [{}],
  'station-in': [{ prop: 'gate-button' }],
  'station-silent': [{ prop: 'gate-button' }],
  'station-not-heard': [{ prop: 'gate-button' }],
  'newer-trouble': [ferry, { prop: null }],
  'no-bus': [{}],
  'stands-down': [{ desk: 'q4x1' }],
  'record-failing': [{ why: 'disk full.' }],
  'outside-hours': [{}],
  'no-night': [{}],
  'locked-out': [
    { prop: 'ferry', fault: 'travel-slow' },
    { prop: 'ferry', fault: 'by-hand' },
  ],
  'not-locked-out': [ferry],
  'still-contradicts': [
    { prop: 'ferry', sensors: ['near', 'far'] },
    { prop: 'ferry', sensors: ['near'] },
    { prop: 'ferry', sensors: [] },
  ],
  'follows-other': [{ prop: 'ferryman', first: 'ferry' }],
  'two-boards-still': [ferry],
  silent: [ferry],
  'position-unknown': [ferry],
  'not-at-home': [ferry],
  'no-homing-move': [ferry],
  'set-aside': [
    { prop: 'ferry', why: null },
    { prop: 'ferry', why: { code: 'need', prop: 'ferry', move: 'back', need: restNeed, seen: 'moving' } },
  ],
  'too-soon-after-link': [{ prop: 'ferry', forMs: 21_400 }],
  held: [{ prop: 'ferry', scene: 'crossing' }],
  moving: [{ prop: 'ferry', move: 'out' }],
  rests: [{ prop: 'ferry', forMs: 11_200 }],
  need: (['not-made', 'made', 'unknown', 'moving', 'silent', 'away'] as const).flatMap((seen) =>
    [farNeed, notOnMat, restNeed, homeNeed, { kind: 'at-home', prop: 'ned' } as const].map((need) => ({
      prop: 'ferryman',
      move: 'row',
      need,
      seen,
    })),
  ),
  circuit: [{ circuit: 'dock', amps: 12.04, limitAmps: 12 }],
  surge: [{ circuit: 'dock', amps: 16.15, breakerAmps: 15 }],
  tank: [{ tank: 'shed', kpa: 479.9, workingKpa: 482.633 }],
  zone: [
    { zone: 'pond', atMost: 1 },
    { zone: 'pond', atMost: 3 },
  ],
  'zone-gap': [{ zone: 'pond', forMs: 3000 }],
  duty: [{ prop: 'ferry', on: 0.4, overMs: 600_000 }],
  quiet: [{ atMs: at('21:00') }],
  close: [{ atMs: at('22:30') }],
  'scene-running': [{ scene: 'crossing' }],
  'scene-rests': [{ scene: 'crossing', forMs: 41_000 }],
  'again-after': [{ scene: 'crossing', forMs: 125_000 }],
  'too-late': [{ plannedMs: at('21:16'), lateMs: 185_000 }],
  'needed-there': [{ prop: 'ferry', by: 'ferryman', move: 'row' }],
  'night-ended': [{}],
  restarted: [{}],
  'desk-silent': [{}],
  'mended-away': [{}],
  'unknown-move': [{ prop: 'ferry', move: 'fly' }],
  'station-cannot': [{ prop: 'gate-button' }],
  'opening-notice': [{ atMs: at('18:06:30') }],
  'opening-homes': [{ props: ['ferry', 'lanterns'] }, { props: [] }],
  'held-restart': [{ atMs: at('20:41') }],
  'at-rest': [
    { prop: 'ferry', at: 'near' },
    { prop: 'ferryman', at: null },
  ],
  'moves-now': [{ prop: 'ferry', move: 'out', sinceMs: at('21:13:58'), limitMs: 12_000 }],
  'asked-to-move': [{ prop: 'ferry', move: 'out' }],
  halting: [ferry],
  'waits-for-step': [{ prop: 'ferryman', scene: 'crossing' }],
  waits: [
    ...(['not-made', 'made', 'unknown', 'moving', 'silent', 'away'] as const).flatMap((seen) =>
      [farNeed, notOnMat, restNeed, homeNeed].map((need) => ({
        prop: 'ferryman',
        move: 'row',
        sinceMs: at('21:13:58'),
        limitMs: 10_000,
        for: { code: 'need', prop: 'ferryman', move: 'row', need, seen } as const,
      })),
    ),
    {
      prop: 'ferryman',
      move: 'row',
      sinceMs: at('21:13:58'),
      limitMs: 10_000,
      for: { code: 'circuit', circuit: 'dock', amps: 12.4, limitAmps: 12 },
    },
  ],
  homing: [ferry],
  'waits-to-home': [
    { prop: 'ferry', for: null },
    { prop: 'ferry', for: locked },
  ],
  'never-heard': [ferry],
  'run-done': [{ tookMs: 59_000 }, { tookMs: 59_000, journeys: [['ferry', 'out', 7100]] }],
  'run-failed': [{ prop: 'ferry', fault: 'travel-slow' }],
  'run-abandoned': [{ for: { code: 'rests', prop: 'ferry', forMs: 9000 } }],
  'run-stopped': [{ stop: 8 }],
  'run-unplanned': [{}],
  'run-skipped': [{ plannedMs: at('21:16'), for: locked }],
  'tidy-passed-over': [{ prop: 'ferry', move: 'back', for: locked }],
  'trigger-refused': [
    { prop: 'path-mat', sensor: 'step', for: { code: 'again-after', scene: 'crossing', forMs: 125_000 } },
    { prop: 'ferry', sensor: 'far', for: locked },
  ],
  'asked-refused': [{ for: locked }],
  'board-refused': ['session', 'epoch', 'stopped', 'heartbeat', 'busy', 'unknown', 'cold', ''].map((why) => ({
    prop: 'ferry',
    why,
  })),
  'stop-pressed': WHO.map((by) => ({ by, stop: 8 })),
  'stop-by': WHO.map((by) => ({ by })),
  'stop-answered': [{ controller: 'ferry-board', afterMs: 120 }],
  'stop-cleared': [{ by: 'Ada', stop: 8 }],
  'mode-now': WHO.map((by) => ({ mode: 'open', by })),
  'opening-waits': [{ for: [locked, { code: 'silent', prop: 'lanterns' }] }],
  'run-started': (['plan', 'trigger', 'hand', 'homing', 'bench', 'notice'] as const).map((origin) => ({
    origin,
  })),
  'lockout-raised': FAULTS.map((fault) => ({ fault })),
  'lockout-released': [{ by: 'Ada', fault: 'travel-slow' }],
  acknowledged: [{ by: 'Ada', fault: 'travel-slow' }],
  'link-up': [
    { controller: 'ferry-board', session: 'm7q2' },
    { controller: 'twin', session: 'm7q2' },
  ],
  'link-down': [{ controller: 'ferry-board', sinceMs: at('21:14:02') }],
  homed: [ferry],
  'desk-started': (['closed', 'opening', 'open', 'held', 'closing', 'stopped'] as const).map((mode) => ({
    epoch: 12,
    mode,
  })),
  'stood-down': [{ desk: 'q4x1', epoch: 13 }],
  'stood-up': [{ epoch: 14 }],
  'clock-stepped': [{ byMs: 3_600_000 }, { byMs: -2500 }],
  'plan-drawn': [
    { night: '2026-10-31', runs: 212 },
    { night: '2026-10-31-hand', runs: 12 },
  ],
  'plan-mended': [{ runs: 1 }],
  'yard-changed': [{ by: 'Wren', changes: 3 }],
  'bench-moved': [{ by: 'Ada', prop: 'ferry', move: 'out' }],
  'loop-stalled': [{ forMs: 3200 }],
  'not-let-go': [{ prop: 'ferry', move: 'out' }],
  'not-answered': [{ prop: 'ferry' }],
  'readings-lost': [{ dropped: 1 }, { dropped: 412 }],
  'service-due': [{ prop: 'ferry', cycles: 2000 }],
  'drift-over': [{ prop: 'ferry', move: 'out' }],
};

export const SAMPLED_CODES = Object.keys(SAMPLES) as ReasonCode[];

export function samplesOf<C extends ReasonCode>(code: C): ReasonOf<C>[] {
  return SAMPLES[code].map((figures) => ({ code, ...figures }) as ReasonOf<C>);
}

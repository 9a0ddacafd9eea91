import type { NightReport } from '../../server/report/night-report.ts';

const at = (clock: string): number => Date.parse(`2026-10-31T${clock}-05:00`);

/** A night with one of everything, in round figures, and titles that a careless writer of tables would trip over. */
export const SAMPLE: NightReport = {
  night: '2026-10-31',
  yard: 'Saltmarsh Landing',
  open: at('18:00:00'),
  close: at('22:00:00'),
  scenes: {
    crossing: {
      title: 'The crossing, "out and back"',
      made: 33,
      failed: 1,
      abandoned: 0,
      stopped: 1,
      skipped: 2,
      missedBy: [
        {
          fate: 'skipped',
          code: 'locked-out',
          count: 2,
          first: 'Skipped 21:16 The crossing: ferry is locked out.',
        },
        { fate: 'failed', code: 'run-failed', count: 1, first: 'The crossing: failed at ferry: too slow.' },
        { fate: 'stopped', code: 'run-stopped', count: 1, first: 'The crossing: ended by stop no. 8.' },
      ],
    },
    'porch-scare': {
      title: '=On the <porch>',
      made: 60,
      failed: 0,
      abandoned: 0,
      stopped: 0,
      skipped: 0,
      missedBy: [],
    },
  },
  missed: [
    {
      at: at('21:14:10'),
      scene: 'crossing',
      fate: 'failed',
      text: 'The crossing: failed at ferry: too slow.',
    },
  ],
  faults: [
    {
      at: at('21:14:10'),
      prop: 'ferry',
      title: 'Ferry',
      code: 'travel-slow',
      text: 'Ferry locked out. Left near at 21:13:58, far not made after 12.0 s (usual 7.1 s).\nLook for a jam.',
      lockedOut: true,
      first: null,
      endedAt: at('21:20:10'),
      forMs: 360_000,
    },
  ],
  stops: [
    {
      at: at('21:30:00'),
      n: 8,
      text: 'Stop no. 8 pressed from the page.',
      clearedAt: at('21:32:05'),
      forMs: 125_000,
      roll: [
        { controller: 'ferry-board', afterMs: 120 },
        { controller: 'fog-board', afterMs: null },
      ],
    },
  ],
  refused: [
    {
      prop: 'path-mat',
      title: 'Path mat',
      sensor: 'step',
      scene: 'porch-scare',
      count: 5,
      by: [
        { code: 'again-after', count: 4, first: 'Path mat was stepped on, but nothing started: too soon.' },
        { code: 'zone', count: 1, first: 'Path mat was stepped on, but nothing started: the porch is full.' },
      ],
    },
  ],
  travels: [
    {
      prop: 'ferry',
      title: 'Ferry',
      move: 'out',
      count: 34,
      medianMs: 8500,
      spreadMs: 148.26,
      leastMs: 8300,
      mostMs: 9900,
      usualMs: 7100,
      limitMs: 12_000,
      drift: { nightsLeft: 4, fromMs: 7100, nowMs: 8500 },
    },
  ],
  service: [
    {
      at: at('20:00:00'),
      prop: 'ferry',
      title: 'Ferry',
      cycles: 2000,
      text: 'Ferry is due for service after 2000 cycles.',
    },
  ],
  alarms: {
    count: 1,
    overMs: 4 * 3_600_000,
    perTenMinutes: 1 / 24,
    mostInTenMinutes: 1,
    floods: [],
    floodShare: 0,
    load: 'well',
  },
};

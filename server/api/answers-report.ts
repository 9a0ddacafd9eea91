import { z } from 'zod';
import type { NightReport } from '../report/night-report.ts';

/** A night's report, for the OpenAPI document; typed by the report itself, so that neither changes without the other. */

const instant = z.number().meta({ description: 'ms since 1970.' });
const lastedMs = z.number().nullable().meta({ description: 'ms; null while it stands.' });
const fate = z.enum(['made', 'failed', 'abandoned', 'stopped', 'skipped']);

const cause = z.strictObject({
  code: z.string(),
  count: z.int(),
  first: z.string().meta({ description: 'The first of them, as the record says it.' }),
});

const scene = z.strictObject({
  title: z.string(),
  made: z.int(),
  failed: z.int(),
  abandoned: z.int(),
  stopped: z.int(),
  skipped: z.int(),
  missedBy: z.array(cause.extend({ fate })),
});

const fault = z.strictObject({
  at: instant,
  prop: z.string(),
  title: z.string(),
  code: z.string(),
  text: z.string(),
  lockedOut: z.boolean(),
  first: z.string().nullable().meta({ description: 'The prop whose fault this one follows.' }),
  endedAt: instant.nullable(),
  forMs: lastedMs,
});

const stop = z.strictObject({
  at: instant,
  n: z.int(),
  text: z.string(),
  clearedAt: instant.nullable(),
  forMs: lastedMs,
  roll: z.array(z.strictObject({ controller: z.string(), afterMs: z.number().nullable() })),
});

const refused = z.strictObject({
  prop: z.string(),
  title: z.string(),
  sensor: z.string(),
  scene: z.string(),
  count: z.int(),
  by: z.array(cause),
});

const travel = z.strictObject({
  prop: z.string(),
  title: z.string(),
  move: z.string(),
  count: z.int(),
  medianMs: z.number(),
  spreadMs: z.number().meta({ description: 'Two journeys in three lie within so much of the median.' }),
  leastMs: z.number(),
  mostMs: z.number(),
  usualMs: z.number().nullable(),
  limitMs: z.number().nullable(),
  drift: z.strictObject({ nightsLeft: z.int(), fromMs: z.number(), nowMs: z.number() }).nullable(),
});

const alarms = z.strictObject({
  count: z.int(),
  overMs: z.number(),
  perTenMinutes: z.number(),
  mostInTenMinutes: z.int(),
  floods: z.array(z.strictObject({ from: instant, to: instant, alarms: z.int() })),
  floodShare: z.number(),
  load: z
    .enum(['well', 'at-most', 'too-many'])
    .meta({ description: 'By EEMUA 191 and ISA-18.2: about 1 in ten minutes on average, or 2, or more.' }),
});

export const reportSchema = z
  .strictObject({
    night: z.string(),
    yard: z.string(),
    open: instant,
    close: instant,
    scenes: z.record(z.string(), scene),
    missed: z.array(z.strictObject({ at: instant, scene: z.string(), fate, text: z.string() })),
    faults: z.array(fault),
    stops: z.array(stop),
    refused: z.array(refused),
    travels: z.array(travel),
    service: z.array(
      z.strictObject({
        at: instant,
        prop: z.string(),
        title: z.string(),
        cycles: z.int(),
        text: z.string(),
      }),
    ),
    alarms,
  })
  .meta({ id: 'Report', description: 'What happened in a night.' }) satisfies z.ZodType<NightReport>;

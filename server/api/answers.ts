import { z } from 'zod';
import type { Curves } from '../curves.ts';
import type { RecordLine } from '../desk-door.ts';
import type { Picture, RunFate, UnplannedRun } from '../picture.ts';
import type { PlanRun } from '../plan/tonight.ts';
import { FAULT_CODES } from '../show/reasons.ts';
import type { ProblemBody } from './problem.ts';

/**
 * What is answered, for the OpenAPI document; the tests hold real answers against it. Each schema is typed by the
 * interface that it must agree with, so that neither changes without the other.
 */

const instant = z.number().meta({ description: 'ms since 1970.' });
const byId = <T extends z.ZodType>(of: T) => z.record(z.string(), of);

const lockout = z.strictObject({
  code: z.enum(FAULT_CODES),
  since: instant,
  text: z.string(),
  causes: z.array(z.string()),
  checks: z.array(z.string()),
  acknowledged: z.boolean(),
  barred: z.string().nullable(),
  first: z.string().nullable(),
});

const prop = z
  .strictObject({
    title: z.string(),
    zone: z.string().nullable(),
    kind: z.enum(['prop', 'stop-station']),
    controller: z.string(),
    state: z.enum(['unknown', 'ready', 'moving', 'resting', 'locked-out', 'silent']),
    at: z.string().nullable(),
    sensors: byId(z.strictObject({ made: z.boolean(), fresh: z.boolean(), kind: z.enum(['end', 'plain']) })),
    lockout: lockout.nullable(),
    why: z.string(),
    run: z.string().nullable(),
    move: z
      .strictObject({ move: z.string(), since: instant, usualMs: z.number(), limitMs: z.number() })
      .nullable(),
    live: z.boolean(),
    heard: instant.nullable(),
    counts: z.strictObject({ cycles: z.int(), moves: z.int() }),
    serviceDue: z.boolean(),
    drift: z.strictObject({ move: z.string(), nightsLeft: z.int() }).nullable().exactOptional(),
    moves: z.array(z.string()),
  })
  .meta({ id: 'Prop' });

const scene = z.strictObject({
  title: z.string(),
  zone: z.string().nullable(),
  running: z.boolean(),
  why: z.string().nullable(),
  made: z.int(),
  wanted: z.int(),
  skipped: z.int(),
  lastStart: instant.nullable(),
});

const circuit = z.strictObject({
  title: z.string(),
  amps: z.number(),
  limitAmps: z.number(),
  breakerAmps: z.number(),
});
const tank = z.strictObject({
  title: z.string(),
  psi: z.number(),
  workingPsi: z.number(),
  cutOutPsi: z.number(),
  pumping: z.boolean(),
});
const zone = z.strictObject({ title: z.string(), runs: z.int(), atMost: z.int().nullable() });
const run = z.strictObject({ id: z.string(), scene: z.string(), start: instant }).meta({ id: 'Run' });

export const pictureSchema = z
  .strictObject({
    seq: z.int(),
    at: instant,
    yard: z.strictObject({
      id: z.string(),
      title: z.string(),
      timezone: z.string(),
      demonstration: z.boolean(),
      sun: z.strictObject({ rise: instant.nullable(), set: instant.nullable() }).exactOptional(),
    }),
    mode: z.enum(['closed', 'opening', 'open', 'held', 'closing', 'stopped']),
    modeWhy: z.string().nullable(),
    night: z
      .strictObject({
        date: z.string(),
        open: instant,
        close: instant,
        quiet: instant.nullable(),
        notice: instant,
      })
      .nullable(),
    bus: z.strictObject({ connected: z.boolean(), epoch: z.int(), standsDown: z.string().nullable() }),
    stop: z.strictObject({
      latched: z.boolean(),
      n: z.int(),
      at: instant.nullable(),
      by: z.string().nullable(),
      answered: z.array(z.string()),
      silent: z.array(z.string()),
      bars: z.array(z.string()),
    }),
    props: byId(prop),
    scenes: byId(scene),
    circuits: byId(circuit),
    tanks: byId(tank),
    zones: byId(zone),
    now: z.array(run),
    next: z.array(run).max(20),
    notes: z.array(z.string()),
  })
  .meta({ id: 'Picture', description: 'The whole live picture.' }) satisfies z.ZodType<Picture>;

const plannedRun = z.looseObject({
  id: z.string(),
  scene: z.string(),
  start: z.number(),
  end: z.number(),
  steps: z.array(z.strictObject({ prop: z.string(), move: z.string(), start: z.number(), end: z.number() })),
  state: z
    .enum(['planned', 'running', 'done', 'failed', 'abandoned', 'skipped', 'stopped'])
    .optional() satisfies z.ZodType<RunFate['state'] | undefined>,
}) satisfies z.ZodType<PlanRun>;

const unplannedRun = z
  .strictObject({
    id: z.string(),
    scene: z.string(),
    origin: z.enum(['hand', 'trigger', 'notice']),
    state: z.enum(['running', 'done', 'failed', 'abandoned', 'stopped']),
    actualStart: instant,
    actualEnd: instant.nullable(),
    why: z.string().nullable(),
  })
  .meta({
    id: 'UnplannedRun',
    description: 'A run that is on no plan: started by hand, set off by a guest, or for the notice.',
  }) satisfies z.ZodType<UnplannedRun>;

export const planSchema = z
  .looseObject({
    night: z.string(),
    yard: z.string(),
    open: z.string(),
    close: z.string(),
    quiet: z.string().nullable(),
    runs: z.array(plannedRun),
    unplanned: z.array(unplannedRun),
    scenes: byId(z.looseObject({ wanted: z.number(), planned: z.number(), longestGap: z.number() })),
    circuits: byId(z.looseObject({ peakAmps: z.number(), limitAmps: z.number() })),
    tanks: byId(z.looseObject({ lowestPsi: z.number(), workingPsi: z.number() })),
    expects: byId(z.number()),
    level: z.number(),
    worth: z.number(),
    bound: z.strictObject({ level: z.number(), worth: z.number() }),
  })
  .meta({ id: 'Plan', description: "Tonight's plan with what became of it; seconds count from `open`." });

const amps = z.strictObject({ at: z.array(instant), amps: z.array(z.number()) });
const psi = z.strictObject({ at: z.array(instant), psi: z.array(z.number()) });

export const curvesSchema = z
  .strictObject({
    night: z.string().nullable(),
    circuits: byId(
      z.strictObject({ limitAmps: z.number(), breakerAmps: z.number(), planned: amps, soFar: amps }),
    ),
    tanks: byId(z.strictObject({ workingPsi: z.number(), cutOutPsi: z.number(), planned: psi, soFar: psi })),
  })
  .meta({
    id: 'Curves',
    description:
      'Amps are steady loads, without surges, and hold from one point to the next; psi runs straight between.',
  }) satisfies z.ZodType<Curves>;

export const recordLineSchema = z
  .strictObject({
    n: z.int(),
    at: instant,
    code: z.string(),
    text: z.string(),
    prop: z.string().nullable(),
    scene: z.string().nullable(),
    run: z.string().nullable(),
  })
  .meta({ id: 'RecordLine' }) satisfies z.ZodType<RecordLine>;

export const journalSchema = z
  .strictObject({
    lines: z.array(recordLineSchema),
    next: z.int().meta({ description: 'What to ask for as `after` next.' }),
  })
  .meta({ id: 'Journal' });

export const doneSchema = z.strictObject({ ok: z.literal(true) }).meta({ id: 'Done' });

export const meSchema = z
  .strictObject({ name: z.string(), role: z.enum(['keeper', 'helper']), until: instant })
  .meta({ id: 'Me' });

export const peopleSchema = z
  .strictObject({
    people: z.array(z.strictObject({ name: z.string(), role: z.enum(['keeper', 'helper']) })),
  })
  .meta({ id: 'People' });

export const problemSchema = z
  .looseObject({
    type: z.literal('about:blank'),
    title: z.string(),
    status: z.int(),
    detail: z.string(),
    reasons: z.array(z.strictObject({ code: z.string(), sentence: z.string() })).min(1),
  })
  .meta({ id: 'Problem', description: 'Problem details (RFC 9457).' }) satisfies z.ZodType<ProblemBody>;

export const stopSchema = z.strictObject({ n: z.int(), bus: z.literal(true) }).meta({ id: 'Stopped' });
export const stopFailedSchema = problemSchema
  .extend({ n: z.int(), bus: z.literal(false) })
  .meta({ id: 'StopFailed', description: 'Latched, but not handed to a bus: use the red button.' });

import type { Registry } from 'prom-client';
import { z } from 'zod';
import { curvesSchema, journalSchema, pictureSchema, planSchema } from './answers.ts';
import { reportSchema } from './answers-report.ts';
import { type Call, type CallParts, call, json } from './call.ts';
import { nightOf } from './calls-nights.ts';
import { Problem, problem } from './problem.ts';
import { journalQuery } from './schemas.ts';

/** What anyone may look at. */
export function readCalls({ door }: CallParts, metrics: Registry): Call[] {
  return [...healthCalls(door, metrics), ...yardCalls(door)];
}

function healthCalls(door: CallParts['door'], metrics: Registry): Call[] {
  return [
    call({
      method: 'get',
      path: '/healthz',
      who: 'any',
      does: 'Alive, at once.',
      says: { 200: { what: 'Alive.', schema: z.strictObject({ ok: z.literal(true) }) } },
      run: () => json(200, { ok: true }),
    }),
    call({
      method: 'get',
      path: '/readyz',
      who: 'any',
      does: 'Ready once the bus is connected, the epoch taken, and no other desk drives. A stop works before.',
      says: {
        200: { what: 'Ready.', schema: z.strictObject({ ready: z.literal(true) }) },
        503: { what: 'Not ready.' },
      },
      run() {
        const { ready, why } = door.ready();
        if (ready) return json(200, { ready });
        throw why === null ? problem(503, 'unready') : new Problem(503, [{ code: 'unready', sentence: why }]);
      },
    }),
    call({
      method: 'get',
      path: '/metrics',
      who: 'any',
      does: 'Figures for Prometheus.',
      says: { 200: { what: 'Prometheus text.', schema: z.string(), type: 'text/plain' } },
      run: async () => ({ status: 200, text: { type: metrics.contentType, body: await metrics.metrics() } }),
    }),
  ];
}

function yardCalls(door: CallParts['door']): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/yard',
      who: 'any',
      does: 'The whole live picture.',
      says: { 200: { what: 'The picture.', schema: pictureSchema } },
      run: ({ picture }) => json(200, picture()),
    }),
    call({
      method: 'get',
      path: '/api/plan',
      who: 'any',
      does: "Tonight's plan, or the next night's, with what became of it and what ran besides; null where none is drawn yet.",
      says: { 200: { what: 'The plan or null.', schema: planSchema.nullable() } },
      run: () => json(200, door.plan()),
    }),
    call({
      method: 'get',
      path: '/api/plan/curves',
      who: 'any',
      does: 'Loads and pressures through that night, planned and so far, with their limits.',
      says: { 200: { what: 'The curves.', schema: curvesSchema } },
      run: () => json(200, door.curves()),
    }),
    call({
      method: 'get',
      path: '/api/journal',
      who: 'any',
      does: 'The record, oldest first.',
      query: journalQuery,
      says: { 200: { what: 'Lines, and where to go on.', schema: journalSchema } },
      run({ query }) {
        const lines = door.record(query.after, query.limit);
        return json(200, { lines, next: lines.at(-1)?.n ?? query.after });
      },
    }),
    call({
      method: 'get',
      path: '/api/nights/{date}/report',
      who: 'any',
      does: "A night's report.",
      says: { 200: { what: 'The report.', schema: reportSchema }, 404: { what: 'Nothing is recorded.' } },
      run({ named }) {
        const report = door.report(nightOf(named));
        if (report === null) throw problem(404, 'no-report');
        return json(200, report);
      },
    }),
  ];
}

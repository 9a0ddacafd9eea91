import { z } from 'zod';
import type { Told } from '../report/tables.ts';
import { type Call, type CallParts, call, json } from './call.ts';
import { Problem, problem } from './problem.ts';
import { nightSchema } from './schemas.ts';

const toldSchema = z
  .strictObject({
    title: z.string(),
    sections: z
      .array(
        z.strictObject({
          title: z.string(),
          notes: z.array(z.string()).readonly(),
          head: z.array(z.string()).readonly(),
          rows: z.array(z.array(z.string()).readonly()).readonly(),
        }),
      )
      .readonly(),
  })
  .meta({ id: 'Told', description: 'A night’s report in words, as tables.' }) satisfies z.ZodType<Told>;

/** A past night in words. */
export function nightCalls({ door }: Pick<CallParts, 'door'>): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/nights/{date}/told',
      who: 'any',
      does: "A night's report in words, as the page shows it.",
      says: { 200: { what: 'The tables.', schema: toldSchema }, 404: { what: 'Nothing is recorded.' } },
      run({ named }) {
        const told = door.told(nightOf(named));
        if (told === null) throw problem(404, 'no-report');
        return json(200, told);
      },
    }),
  ];
}

/** The night that an address names; a problem where it names none. */
export function nightOf(named: string): string {
  const date = nightSchema.safeParse(named);
  if (date.success) return date.data;
  const sentence = `The night ${date.error.issues[0]?.message ?? 'is not a date'}.`;
  throw new Problem(422, [{ code: 'malformed', sentence }]);
}

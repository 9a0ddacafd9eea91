import { z } from 'zod';
import type { PropTravels } from '../prop-travels.ts';
import { type Call, type CallParts, call, json } from './call.ts';

const lastedMs = z.number();

const travelsSchema = z
  .strictObject({
    moves: z.array(
      z.strictObject({
        move: z.string(),
        usualMs: lastedMs,
        limitMs: lastedMs,
        lastMs: z.array(lastedMs).meta({ description: 'The last journeys, oldest first.' }),
        nightsMs: z
          .array(lastedMs)
          .meta({ description: 'The median of each of the last nights, oldest first.' }),
      }),
    ),
    drift: z
      .strictObject({ move: z.string(), nightsLeft: z.number(), nowMs: lastedMs })
      .nullable()
      .meta({ description: 'The move whose times trend toward its limit.' }),
  })
  .meta({ id: 'Travels' }) satisfies z.ZodType<PropTravels>;

/** What a prop's sheet shows besides the picture. */
export function sheetCalls({ door }: Pick<CallParts, 'door'>): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/props/{prop}/travels',
      who: 'any',
      does: "A prop's last travel times against usual and limit.",
      says: { 200: { what: 'The times of each move that ends at a sensor.', schema: travelsSchema } },
      run: ({ named }) => json(200, door.travels(named)),
    }),
  ];
}

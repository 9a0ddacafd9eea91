import { z } from 'zod';
import type { Course } from '../past/course.ts';
import type { KnownNight } from '../past/nights.ts';
import { PastBusy, type PastDoor } from '../past/past.ts';
import type { Then } from '../past/reader.ts';
import type { Story } from '../past/story.ts';
import { pictureSchema, recordLineSchema } from './answers.ts';
import { type Call, call, type Reply } from './call.ts';
import { nightOf } from './calls-nights.ts';
import { problem } from './problem.ts';
import { storyQuery, thenQuery } from './schemas.ts';
import type { SentenceCode } from './sentences.ts';

const instant = z.number().meta({ description: 'ms since 1970.' });

const nightsSchema = z
  .strictObject({
    nights: z.array(
      z.strictObject({
        night: z.string(),
        plannedAt: instant.nullable(),
        runs: z.int(),
        openedAt: instant.nullable(),
      }) satisfies z.ZodType<KnownNight>,
    ),
  })
  .meta({ id: 'Nights' });

const courseSchema = z
  .strictObject({
    night: z.string(),
    from: instant,
    to: instant,
    runs: z.array(z.tuple([instant, instant])),
    missed: z.array(instant),
    faults: z.array(instant),
    stops: z.array(instant),
    turns: z.array(instant).meta({ description: 'Where the mode changed, or the yard computer started.' }),
  })
  .meta({ id: 'Course', description: 'A night’s marks in order of time.' }) satisfies z.ZodType<Course>;

const thenSchema = z
  .strictObject({
    at: instant,
    picture: pictureSchema,
    lines: z.array(recordLineSchema).meta({ description: 'What was recorded around then, oldest first.' }),
    off: z.boolean().meta({ description: 'The yard computer was not running then.' }),
    gap: z.boolean().meta({ description: 'Part of the record before it is missing.' }),
  })
  .meta({ id: 'Then', description: 'The yard as it was at an instant.' }) satisfies z.ZodType<Then>;

const storySchema = z
  .strictObject({
    lines: z.array(recordLineSchema).meta({ description: 'Newest first.' }),
    before: z.int().nullable().meta({ description: 'What to ask for as `before` next; null at the end.' }),
  })
  .meta({ id: 'Story' }) satisfies z.ZodType<Story>;

const busy = { what: 'Too much is asked of the record at once.' };

/** What was, out of the record. Anyone may look; the reading is done off the desk's own loop. */
export function pastCalls({ past }: { readonly past: PastDoor }): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/nights',
      who: 'any',
      does: 'The nights that the record knows, newest first.',
      says: { 200: { what: 'The nights.', schema: nightsSchema }, 503: busy },
      run: () => told(past.nights()),
    }),
    call({
      method: 'get',
      path: '/api/nights/{date}/course',
      who: 'any',
      does: 'When what happened in a night, for going through it.',
      says: {
        200: { what: 'The marks.', schema: courseSchema },
        404: { what: 'Nothing is recorded.' },
        503: busy,
      },
      run: ({ named }) => told(past.course(nightOf(named)), 'no-report'),
    }),
    call({
      method: 'get',
      path: '/api/past',
      who: 'any',
      does: 'The yard as it was at an instant, folded from the record.',
      query: thenQuery,
      says: {
        200: { what: 'The yard then.', schema: thenSchema },
        404: { what: 'Nothing is kept of then.' },
        503: busy,
      },
      run: ({ query }) => told(past.moment(query.at), 'not-kept'),
    }),
    call({
      method: 'get',
      path: '/api/props/{prop}/story',
      who: 'any',
      does: 'Why things happened to a prop, newest first, page by page.',
      query: storyQuery,
      says: { 200: { what: 'Lines of the record.', schema: storySchema }, 503: busy },
      run: ({ named, query }) => told(past.story(named, query.before ?? null, query.limit)),
    }),
  ];
}

/** The answer as it comes; a refusal where there is none, or where the reading of the record has too much to do. */
async function told(asked: Promise<string | null>, none: SentenceCode = 'no-report'): Promise<Reply> {
  const body = await asked.catch((error: unknown) => {
    throw error instanceof PastBusy ? problem(503, 'past-busy', { 'Retry-After': '2' }) : error;
  });
  if (body === null) throw problem(404, none);
  return { status: 200, text: { type: 'application/json; charset=utf-8', body } };
}

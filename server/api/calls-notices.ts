import { z } from 'zod';
import type { NoticeDoor, NoticeFate } from '../notices/notices.ts';
import { NOTICE_KINDS, type NoticeSettings } from '../notices/settings.ts';
import type { Tongue } from '../words/tongue.ts';
import { type Call, call, json } from './call.ts';
import { Problem, problem } from './problem.ts';
import { noticesSchema } from './schemas.ts';

const fate = z.strictObject({
  at: z.number(),
  what: z.enum([...NOTICE_KINDS, 'trial']),
  fate: z.enum(['sent', 'failed', 'quiet', 'too-many']),
  why: z.string().nullable(),
}) satisfies z.ZodType<NoticeFate>;

const settings = z.strictObject({
  address: z.string().nullable(),
  about: z.array(z.enum(NOTICE_KINDS)),
  quiet: z.strictObject({ from: z.string(), to: z.string() }).nullable(),
}) satisfies z.ZodType<NoticeSettings>;

const toldSchema = z.strictObject({ settings, fates: z.array(fate) }).meta({ id: 'Notices' });

/** The address may hold a secret of its receiver, so only a keeper sees it. */
export function noticeCalls(notices: NoticeDoor, { notes }: Tongue): Call[] {
  const told = () => json(200, { settings: notices.settings, fates: notices.fates });
  return [
    call({
      method: 'get',
      path: '/api/notices',
      who: 'keeper',
      does: 'Where notices go, about what, when not, and what became of the last.',
      says: { 200: { what: 'The settings and the last notices.', schema: toldSchema } },
      run: told,
    }),
    call({
      method: 'put',
      path: '/api/notices',
      who: 'keeper',
      does: 'Sets where notices go. What was still to be sent is not sent any more.',
      body: noticesSchema,
      says: { 200: { what: 'Set.', schema: toldSchema } },
      async run({ body }) {
        try {
          await notices.set(body);
        } catch {
          throw problem(503, 'disk-refused');
        }
        return told();
      },
    }),
    call({
      method: 'post',
      path: '/api/notices/trial',
      who: 'keeper',
      does: 'Sends one notice now, and waits for what comes of it.',
      says: {
        200: { what: 'It was taken.', schema: toldSchema },
        409: { what: 'It did not get through; the sentence says why.' },
      },
      async run({ person }) {
        const posted = await notices.trial(person!.name);
        if (!posted) throw problem(409, 'no-address');
        if (!posted.ok)
          throw new Problem(409, [{ code: 'trial-failed', sentence: notes.trialFailed(posted.why) }]);
        return told();
      },
    }),
  ];
}

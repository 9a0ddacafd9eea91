import { z } from 'zod';
import { wallOf } from '../calendar/wall.ts';

/** What may be told of, by its name in the notice. */
export const NOTICE_KINDS = ['stop', 'lockout', 'record', 'bus'] as const;
export type NoticeKind = (typeof NOTICE_KINDS)[number];

/** Where notices go and when. The address may hold a secret of its receiver: it is shown to keepers alone and logged nowhere. */
export interface NoticeSettings {
  /** Null: none are sent. */
  readonly address: string | null;
  readonly about: readonly NoticeKind[];
  /** Local times of the yard between which only a stop is told of; `to` may be on the next day. */
  readonly quiet: { readonly from: string; readonly to: string } | null;
}

export const NO_NOTICES: NoticeSettings = { address: null, about: [...NOTICE_KINDS], quiet: null };

const ADDRESS_MOST = 500;

/** Whether notices can be sent there: http or https, to a host. */
export function isAddress(text: string): boolean {
  if (text.length > ADDRESS_MOST || !URL.canParse(text)) return false;
  const { protocol, hostname } = new URL(text);
  return (protocol === 'http:' || protocol === 'https:') && hostname !== '';
}

export const CLOCK_TIME = /^([01]\d|2[0-3]):[0-5]\d$/;

export const noticeSettings = z.strictObject({
  address: z.string().refine(isAddress).nullable(),
  about: z.array(z.enum(NOTICE_KINDS)),
  quiet: z.strictObject({ from: z.string().regex(CLOCK_TIME), to: z.string().regex(CLOCK_TIME) }).nullable(),
}) satisfies z.ZodType<NoticeSettings>;

/** Whether this instant lies in the quiet hours by the clock of the yard. */
export function isQuiet(quiet: NoticeSettings['quiet'], timezone: string, wallMs: number): boolean {
  if (!quiet || quiet.from === quiet.to) return false;
  const { hour, minute } = wallOf(timezone, wallMs);
  const now = hour * 60 + minute;
  const [from, to] = [minutesOf(quiet.from), minutesOf(quiet.to)];
  return from < to ? from <= now && now < to : now >= from || now < to;
}

function minutesOf(time: string): number {
  const [hour, minute] = time.split(':').map(Number);
  return hour! * 60 + minute!;
}

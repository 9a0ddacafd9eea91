import { z } from 'zod';
import { patternOf, readQuantity } from '../file/quantities.ts';
import { FILE_LIMIT_BYTES } from '../file-check.ts';
import { CLOCK_TIME, isAddress, NOTICE_KINDS } from '../notices/settings.ts';
import { PIN } from './people.ts';

/**
 * What callers send. Every message reads on from the field's name in backquotes: '`seq` is missing'. The same schemas
 * make the OpenAPI document.
 */

/** The complaint about a field: that it is missing, or what it must be. */
function must(be: string): { error: (issue: { input?: unknown }) => string } {
  return { error: ({ input }) => (input === undefined ? 'is missing' : `must be ${be}`) };
}

/** One line of a person's own words. */
function line(atMost: number, what: string) {
  const words = must(`${what}, 1 to ${atMost} characters on one line`);
  return z
    .string(words)
    .trim()
    .min(1, words)
    .max(atMost, words)
    .regex(/^\P{Cc}+$/u, words);
}

const pin = z.string(must('4 to 12 digits in quotes')).regex(PIN, must('4 to 12 digits in quotes'));

const issued = z.number(must('the time of the press, ms since 1970')).meta({
  description:
    "The desk's time as the page reckons it, ms since 1970. More than 2 s off is refused as stale.",
});
const seq = z
  .int(must('the number of the picture that was seen'))
  .min(0, must('the number of the picture that was seen'))
  .meta({ description: '`seq` of the last picture or change that was seen.' });

/** What every command carries: when it was pressed and what was seen then. */
export const commandSchema = z.strictObject({ issued, seq }).meta({ id: 'Command' });

const HOUR_MS = 3_600_000;
const NIGHT = must('a time with its unit, as `2 h` or `90 min`, 1 min to 24 h');

/** The length of a night opened by hand, written as times are in the yard file: text in, ms out. */
const nightLength = z
  .string(NIGHT)
  .regex(new RegExp(patternOf('time')), NIGHT)
  .transform((text) => {
    const read = readQuantity('time', text, '2 h');
    return read.ok ? Math.round(read.value) : 0;
  })
  .refine((ms) => ms >= 60_000 && ms <= 24 * HOUR_MS, NIGHT);

export const openSchema = commandSchema
  .extend({
    for: nightLength.optional().meta({
      description: 'Outside the hours of a night: how long to open for, as `2 h`.',
      examples: ['2 h'],
    }),
    plan: z
      .boolean(must('true or false'))
      .default(true)
      .meta({ description: 'False opens with nothing planned.' }),
  })
  .meta({ id: 'Open' });

export const lockoutSchema = commandSchema.extend({ why: line(200, 'the reason') }).meta({ id: 'Lockout' });

const move = line(100, 'a move of the prop');
const press = line(100, 'a word that names this press');

export const benchPressSchema = commandSchema
  .extend({ move, press, up: z.literal(false, must('true or false')).optional() })
  .meta({
    id: 'BenchPress',
    description: 'Repeated every 100 ms while pressed; 250 ms without one halts the move.',
  });

/** Lifting only ever halts, so it is never refused as stale and needs no more than the name of its press. */
export const benchLiftSchema = z
  .strictObject({
    press,
    up: z.literal(true),
    move: move.optional(),
    issued: issued.optional(),
    seq: seq.optional(),
  })
  .meta({ id: 'BenchLift' });

export const benchSchema = z.discriminatedUnion(
  'up',
  [benchPressSchema, benchLiftSchema],
  must('true or false'),
);

export const signInSchema = z.strictObject({ pin }).meta({ id: 'SignIn' });

const role = z.enum(['keeper', 'helper'], must('`keeper` or `helper`'));
export const newPersonSchema = z
  .strictObject({ name: line(40, 'a name'), role: role.default('helper'), pin })
  .meta({ id: 'NewPerson' });
export const newPinSchema = z.strictObject({ pin }).meta({ id: 'NewPin' });

export const demoFaultSchema = z
  .strictObject({
    prop: line(100, 'a prop'),
    fault: line(100, 'a fault'),
    on: z.boolean(must('true or false')),
    issued: issued.optional(),
    seq: seq.optional(),
  })
  .meta({ id: 'DemoFault' });

export const demoRunSchema = z
  .strictObject({ scene: line(100, 'a scene'), issued: issued.optional(), seq: seq.optional() })
  .meta({ id: 'DemoRun' });

export const demoPressSchema = z
  .strictObject({
    prop: line(100, 'a prop'),
    sensor: line(100, 'a sensor'),
    issued: issued.optional(),
    seq: seq.optional(),
  })
  .meta({ id: 'DemoPress' });

/** A call that takes nothing but what every command may carry. */
export const nothingSchema = z
  .strictObject({ issued: issued.optional(), seq: seq.optional() })
  .meta({ id: 'Nothing' });

const yardText = z
  .string(must('the text of a yard file'))
  .refine((text) => Buffer.byteLength(text) <= FILE_LIMIT_BYTES, must('at most 256 KiB'));
export const fileCheckSchema = z.strictObject({ text: yardText }).meta({ id: 'FileCheck' });
export const fileSaveSchema = z
  .strictObject({
    text: yardText,
    base: line(64, 'the hash of the text that was changed'),
  })
  .meta({ id: 'FileSave' });

export const redButtonSchema = z
  .strictObject({
    where: line(200, 'where it is'),
    cuts: line(200, 'what it cuts'),
    testedBy: line(80, 'who tested it'),
    testedOn: z
      .string(must('a date as `2026-10-31`'))
      .regex(/^\d{4}-\d{2}-\d{2}$/, must('a date as `2026-10-31`')),
  })
  .meta({ id: 'RedButtonSaid' });

const clockTime = z
  .string(must('a time of the clock as `21:30`'))
  .regex(CLOCK_TIME, must('a time of the clock as `21:30`'));
const address = must('an address that begins with `http://` or `https://`');

export const noticesSchema = z
  .strictObject({
    address: z.string(address).trim().refine(isAddress, address).nullable(),
    about: z
      .array(z.enum(NOTICE_KINDS, must('`stop`, `lockout`, `record` or `bus`')))
      .max(NOTICE_KINDS.length),
    quiet: z.strictObject({ from: clockTime, to: clockTime }).nullable(),
  })
  .meta({ id: 'NoticeSettings' });

export const restoreSchema = z
  .strictObject({ sum: line(64, 'the sum of the backup that was read') })
  .meta({ id: 'Restore' });

/** A whole number in an address. */
function count(atMost: number) {
  const number = must(`a whole number, 0 to ${atMost}`);
  return z
    .string(number)
    .regex(/^\d{1,16}$/, number)
    .transform(Number)
    .refine((n) => n <= atMost, number);
}

export const journalQuery = z.object({
  after: count(Number.MAX_SAFE_INTEGER)
    .default(0)
    .meta({ description: 'Lines numbered above this; 0 without.' }),
  limit: count(1_000)
    .default(200)
    .meta({ description: 'At most so many lines; 200 without, 1,000 at most.' }),
});

/** Of the past: whole ms since 1970. */
export const thenQuery = z.object({
  at: count(Number.MAX_SAFE_INTEGER).meta({ description: 'The instant, ms since 1970.' }),
});

export const storyQuery = z.object({
  before: count(Number.MAX_SAFE_INTEGER)
    .optional()
    .meta({ description: 'Lines numbered below this; the newest without.' }),
  limit: count(200).default(40).meta({ description: 'At most so many lines; 40 without, 200 at most.' }),
});

export const joinQuery = z.object({
  n: count(99).default(0).meta({ description: 'Which of the addresses, from 0.' }),
});

export const nightSchema = z
  .string()
  .regex(
    /^\d{4}-\d{2}-\d{2}(-hand)?$/,
    must('a date as `2026-10-31`, with `-hand` behind it for a night by hand'),
  );

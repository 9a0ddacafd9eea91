import { z } from 'zod';
import type { BackupDoor } from '../backup/backups.ts';
import type { StrangerBoard } from '../bus/strangers.ts';
import { type Checked, FILE_LIMIT_BYTES } from '../file-check.ts';
import type { NoticeDoor } from '../notices/notices.ts';
import { type RedButton, redButtonSaid } from '../red-button.ts';
import type { Tongue } from '../words/tongue.ts';
import type { CheckedFile, FileTold, YardFileDoor } from '../yard-file.ts';
import { type Call, call, json } from './call.ts';
import { backupCalls } from './calls-backup.ts';
import { noticeCalls } from './calls-notices.ts';
import { Problem, problem } from './problem.ts';
import { fileCheckSchema, fileSaveSchema, redButtonSchema } from './schemas.ts';

/** What the set-up screen changes. */
export interface SetUpParts {
  readonly file: YardFileDoor;
  readonly redButton: RedButton;
  readonly backups: BackupDoor;
  readonly notices: NoticeDoor;
  /** Boards that speak on the bus and are not in the yard file. */
  readonly strangers: () => readonly StrangerBoard[];
  /** The desk's wall time, ms. */
  readonly clock: () => number;
  /** The language of its own sentences. */
  readonly tongue: Tongue;
}

/** As JSON a text may be twice as long as it is: each quote and line end is written as two. */
const BODY_BYTES = 2 * FILE_LIMIT_BYTES + 1024;

const place = z.strictObject({ line: z.int(), column: z.int(), message: z.string() });
const checkedSchema = z
  .strictObject({
    ok: z.boolean(),
    errors: z.array(place),
    notes: z.array(place),
    findings: z.array(z.strictObject({ level: z.enum(['note', 'warning']), text: z.string() })),
    leftOut: z
      .array(z.string())
      .meta({ description: 'What has mistakes and is therefore not in the sums of the findings.' }),
    changes: z
      .array(
        z.strictObject({
          path: z.array(z.string()),
          was: z.string().nullable(),
          is: z.string().nullable(),
          when: z.enum(['now', 'rest', 'night', 'closed', 'start']),
          of: z.strictObject({ kind: z.enum(['prop', 'scene']), id: z.string() }).nullable(),
        }),
      )
      .meta({ description: 'In what it differs from the file that runs, and from when each could hold.' }),
  })
  .meta({ id: 'Checked' }) satisfies z.ZodType<CheckedFile>;

const waitsSchema = z
  .strictObject({
    when: z.enum(['rest', 'closed', 'start']),
    props: z.array(z.string()),
    scenes: z.array(z.string()),
  })
  .nullable()
  .meta({ description: 'What the file saved last waits for before it runs.' });

const fileSchema = z
  .strictObject({
    name: z.string(),
    text: z.string(),
    hash: z.string(),
    editable: z.boolean(),
    runs: z.boolean().meta({ description: 'Whether this text runs now.' }),
    waits: waitsSchema,
    lastGood: z.string(),
  })
  .meta({ id: 'File' }) satisfies z.ZodType<FileTold>;

const savedSchema = z
  .strictObject({ hash: z.string(), lastGood: z.string(), runs: z.boolean(), waits: waitsSchema })
  .meta({ id: 'Saved' });

export function setUpCalls({
  file,
  redButton,
  backups,
  notices,
  strangers,
  clock,
  tongue,
}: SetUpParts): Call[] {
  return [
    ...fileCalls(file),
    strangersCall(strangers),
    ...redButtonCalls(redButton, clock),
    ...backupCalls(backups),
    ...noticeCalls(notices, tongue),
  ];
}

/** The file may bear the password of a bus, so only a keeper reads it. */
function fileCalls(file: YardFileDoor): Call[] {
  return [
    call({
      method: 'get',
      path: '/api/file',
      who: 'keeper',
      does: 'The yard file as it lies on the disk.',
      says: { 200: { what: 'The file.', schema: fileSchema } },
      run: async () => json(200, await fromDisk(file.read())),
    }),
    call({
      method: 'post',
      path: '/api/file/check',
      who: 'keeper',
      does: 'Checks a yard file’s text and keeps nothing: errors with line and column, else the review.',
      body: fileCheckSchema,
      bodyBytes: BODY_BYTES,
      says: {
        200: { what: 'What was found.', schema: checkedSchema },
        409: { what: 'Another is being checked.' },
      },
      async run({ body }) {
        const checked = await file.check(body.text);
        if (checked === 'busy') throw problem(409, 'check-busy');
        if (checked === null) throw problem(422, 'check-too-long');
        return json(200, checked);
      },
    }),
    call({
      method: 'put',
      path: '/api/file',
      who: 'keeper',
      does: 'Saves a yard file without errors, whole or not at all. It runs as soon as all that it touches is at rest.',
      body: fileSaveSchema,
      bodyBytes: BODY_BYTES,
      says: { 200: { what: 'Saved.', schema: savedSchema }, 409: { what: 'Refused, with the reasons.' } },
      async run({ body, person }) {
        const saved = await fromDisk(file.save(body.text, body.base, person!.name));
        if (saved.kind === 'saved') {
          const { kind: _, ...told } = saved;
          return json(200, told);
        }
        if (saved.kind === 'errors') throw withErrors(saved.checked);
        if (saved.kind === 'too-long') throw problem(422, 'check-too-long');
        throw problem(409, REFUSED[saved.kind]);
      },
    }),
  ];
}

const REFUSED = { busy: 'check-busy', changed: 'file-changed', 'not-editable': 'demo-file' } as const;
const ERRORS_TOLD = 20;

function withErrors({ errors }: Checked): Problem {
  return new Problem(
    422,
    errors.slice(0, ERRORS_TOLD).map(({ message }) => ({ code: 'file-error', sentence: message })),
  );
}

const strangersSchema = z
  .strictObject({
    boards: z.array(
      z.strictObject({
        id: z.string(),
        firmware: z.string().nullable(),
        up: z.boolean(),
        props: z.array(
          z.strictObject({
            id: z.string(),
            sensors: z.array(z.strictObject({ id: z.string(), made: z.boolean().nullable() })),
          }),
        ),
      }),
    ),
  })
  .meta({ id: 'Strangers' });

function strangersCall(strangers: SetUpParts['strangers']): Call {
  return call({
    method: 'get',
    path: '/api/strangers',
    who: 'keeper',
    does: 'Boards that speak on the bus and are not in the yard file, with their props and what their sensors say.',
    says: { 200: { what: 'The boards.', schema: strangersSchema } },
    run: () => json(200, { boards: strangers() }),
  });
}

function redButtonCalls(redButton: RedButton, clock: () => number): Call[] {
  const schema = z.strictObject({ said: redButtonSaid.nullable() }).meta({ id: 'RedButton' });
  return [
    call({
      method: 'get',
      path: '/api/red-button',
      who: 'any',
      does: 'Where the hard-wired red button is, what it cuts, who tested it and when; null where nobody has said.',
      says: { 200: { what: 'What people said.', schema } },
      run: () => json(200, { said: redButton.said }),
    }),
    call({
      method: 'put',
      path: '/api/red-button',
      who: 'keeper',
      does: 'Writes that down.',
      body: redButtonSchema,
      says: { 200: { what: 'Written down.', schema } },
      async run({ body, person }) {
        await fromDisk(redButton.say({ ...body, saidBy: person!.name, saidAt: clock() }));
        return json(200, { said: redButton.said });
      },
    }),
  ];
}

async function fromDisk<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch {
    throw problem(503, 'disk-refused');
  }
}

import { z } from 'zod';

/**
 * What passes between the desk and the controllers: the payload of every message, its topic, its QoS and whether
 * it is retained. Daemon, stand-ins, examination and the published AsyncAPI document all take it from here, so that
 * none of them can drift from another. Keys that are not named here are ignored, so that the contract can grow.
 */

/** Version of the contract, in `desk` and `link`. */
export const CONTRACT = 1;
export const PAYLOAD_BYTES_MAX = 4096;
export const RUN_CHARS_MAX = 80;
export const KEEP_ALIVE_S_MAX = 10;
export const HEARTBEAT_EVERY_MS = 250;

/** Of controllers, props, sensors and moves. */
export const ID_PATTERN = /^[a-z0-9-]{1,40}$/;

const id = z.string().regex(ID_PATTERN, 'is no id: 1 to 40 of a-z, 0-9 and -');
/** A session or a desk's name for this start: opaque, made of chance. */
const word = z.string().min(1).max(80);
const run = z.string().min(1).max(RUN_CHARS_MAX);
/** Whole numbers that JSON and every language carry exactly: 0 to 2^53 - 1. */
const count = z.int().min(0);

const deskPayload = z.discriminatedUnion('up', [
  z.object({ up: z.literal(true), desk: word, epoch: count, contract: count }),
  z.object({ up: z.literal(false), desk: word, epoch: count }),
]);

const heartbeatPayload = z.object({
  desk: word,
  epoch: count,
  n: count,
  silenceMs: z.int().min(500),
  stop: count.meta({ description: 'Number of the latched stop, else 0.' }),
});

const stopPayload = z
  .object({ latched: z.boolean(), n: count, desk: word, epoch: count })
  // a heartbeat says 0 for 'no stop', so that no latched one can bear it
  .refine((stop) => !stop.latched || stop.n > 0, { path: ['n'], error: 'of a latched stop is 1 or more' });

const announcePayload = z.object({ desk: word, epoch: count });

const noticePayload = z.object({ epoch: count, inMs: count });

const linkPayload = z.discriminatedUnion('up', [
  z.object({
    up: z.literal(true),
    session: word,
    first: word.meta({ description: 'The session with which this connection began.' }),
    contract: z.literal(CONTRACT),
    props: z.array(id),
    stop: count.meta({ description: 'The last stop obeyed since boot.' }),
    epoch: count.meta({ description: 'The highest heard.' }),
    firmware: z.string().optional(),
  }),
  z.object({ up: z.literal(false), session: word }),
]);

const beatPayload = z.object({ session: word, n: count });

const stoppedPayload = z.object({ n: count, session: word, safe: z.boolean() });

const doPayload = z.object({
  prop: id,
  run,
  step: count,
  move: id,
  session: word,
  desk: word,
  epoch: count,
  limitMs: z.int().min(1),
  lastsMs: z.int().min(1).optional().meta({ description: 'Where the move is timed.' }),
});

const haltPayload = z.object({ prop: id, epoch: count, why: z.string() });

const moved = { prop: id, run, step: count, move: id, session: word };

const didPayload = z.discriminatedUnion('is', [
  z.object({ ...moved, is: z.literal('started') }),
  z.object({ ...moved, is: z.literal('done'), ms: count }),
  z.object({ ...moved, is: z.enum(['refused', 'failed']), why: z.string() }),
  // a prop halted before it ever moved has no run, step or move to name
  z.object({
    prop: id,
    run: z.string().max(RUN_CHARS_MAX).optional(),
    step: count.optional(),
    move: z.string().max(40).optional(),
    session: word,
    is: z.literal('halted'),
  }),
]);

const sensePayload = z.object({
  prop: id,
  made: z.boolean(),
  session: word,
  n: count.meta({ description: "Counts this sensor's edges since boot." }),
});

/** One kind of message: the single table that says how it is published. */
interface MessageRule<S extends z.ZodType = z.ZodType> {
  /** Under the root; `{name}` stands for an id. */
  readonly path: string;
  readonly by: 'desk' | 'controller';
  readonly retain: boolean;
  readonly qos: 0 | 1;
  readonly payload: S;
  readonly about: string;
}

const rule = <S extends z.ZodType>(given: MessageRule<S>): MessageRule<S> => given;

export const MESSAGES = {
  desk: rule({
    path: 'desk',
    by: 'desk',
    retain: true,
    qos: 1,
    payload: deskPayload,
    about: 'Which desk drives this yard; also its will. `desk` is a random word made at each start.',
  }),
  heartbeat: rule({
    path: 'heartbeat',
    by: 'desk',
    retain: false,
    qos: 0,
    payload: heartbeatPayload,
    about: `Every ${HEARTBEAT_EVERY_MS} ms. A controller without it for \`silenceMs\` turns its outputs off by itself.`,
  }),
  stop: rule({
    path: 'stop',
    by: 'desk',
    retain: true,
    qos: 1,
    payload: stopPayload,
    about: 'Stop all, latched until it is cleared. No emergency stop: that is hard-wired.',
  }),
  announce: rule({
    path: 'announce',
    by: 'desk',
    retain: false,
    qos: 1,
    payload: announcePayload,
    about: 'Every controller answers with its `link` and the present reading of each sensor.',
  }),
  notice: rule({
    path: 'notice',
    by: 'desk',
    retain: false,
    qos: 0,
    payload: noticePayload,
    about: 'Sent before an opening moves anything.',
  }),
  link: rule({
    path: 'controller/{controller}/link',
    by: 'controller',
    retain: true,
    qos: 1,
    payload: linkPayload,
    about: 'A controller is there, with its present session; its will names the session it began with.',
  }),
  beat: rule({
    path: 'controller/{controller}/beat',
    by: 'controller',
    retain: false,
    qos: 0,
    payload: beatPayload,
    about:
      'From the loop that reads the sensors and drives the outputs, at least every third of `silenceMs`.',
  }),
  stopped: rule({
    path: 'controller/{controller}/stopped',
    by: 'controller',
    retain: false,
    qos: 1,
    payload: stoppedPayload,
    about: 'It obeyed this stop. `safe` false: it could not make sure, which counts as not answered.',
  }),
  do: rule({
    path: 'prop/{prop}/do',
    by: 'desk',
    retain: false,
    qos: 0,
    payload: doPayload,
    about:
      'Start a move. Refused unless session, desk and epoch are the ones the board holds. Never retained.',
  }),
  halt: rule({
    path: 'prop/{prop}/halt',
    by: 'desk',
    retain: false,
    qos: 1,
    payload: haltPayload,
    about: 'Outputs of this prop off, at rest or not; answered with `did` halted.',
  }),
  did: rule({
    path: 'prop/{prop}/did',
    by: 'controller',
    retain: false,
    qos: 1,
    payload: didPayload,
    about: 'What became of a move. `why` where refused or failed, `ms` where done. Never retained.',
  }),
  sense: rule({
    path: 'prop/{prop}/sense/{sensor}',
    by: 'controller',
    retain: true,
    qos: 1,
    payload: sensePayload,
    about:
      'A sensor: `made` where it sees what it watches for. At each edge, and all of them after each `link`.',
  }),
};

export type MessageKind = keyof typeof MESSAGES;
export const MESSAGE_KINDS = Object.keys(MESSAGES) as readonly MessageKind[];
export type Payload<K extends MessageKind> = z.infer<(typeof MESSAGES)[K]['payload']>;

export const REFUSALS = ['session', 'epoch', 'stopped', 'heartbeat', 'busy', 'unknown'] as const;

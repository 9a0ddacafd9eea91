import { z } from 'zod';

/**
 * The bus contract as a board reads it: topics built and taken apart, payloads checked. Written for the stand-ins
 * alone and not shared with the daemon, so that each tests the other's reading of the same contract.
 */

export type Qos = 0 | 1;

/** A message on its way out. */
export interface Out {
  readonly topic: string;
  readonly payload: Readonly<Record<string, unknown>>;
  readonly retain: boolean;
  readonly qos: Qos;
}

export interface Topics {
  readonly desk: string;
  readonly heartbeat: string;
  readonly stop: string;
  readonly announce: string;
  readonly notice: string;
  link(controller: string): string;
  beat(controller: string): string;
  stopped(controller: string): string;
  order(prop: string): string;
  halt(prop: string): string;
  did(prop: string): string;
  sense(prop: string, sensor: string): string;
}

export function topicsOf(root: string): Topics {
  return {
    desk: `${root}/desk`,
    heartbeat: `${root}/heartbeat`,
    stop: `${root}/stop`,
    announce: `${root}/announce`,
    notice: `${root}/notice`,
    link: (c) => `${root}/controller/${c}/link`,
    beat: (c) => `${root}/controller/${c}/beat`,
    stopped: (c) => `${root}/controller/${c}/stopped`,
    order: (p) => `${root}/prop/${p}/do`,
    halt: (p) => `${root}/prop/${p}/halt`,
    did: (p) => `${root}/prop/${p}/did`,
    sense: (p, s) => `${root}/prop/${p}/sense/${s}`,
  };
}

/** Bytes, the most that any payload on the bus may have. */
export const MAX_PAYLOAD_BYTES = 4096;

/** ms; what a board believes until a heartbeat tells it otherwise. */
export const DEFAULT_SILENCE_MS = 1000;

const word = z.string().min(1).max(80);
const count = z.int().min(0);

/** Who speaks: of two desks the higher epoch is followed, and of two equal ones the greater word. */
const deskKeys = { desk: word, epoch: count };

export const deskSchema = z.object({ up: z.boolean(), ...deskKeys });

export const heartbeatSchema = z.object({
  ...deskKeys,
  // Outside these bounds it is no heartbeat: a bus that says 'silence is an hour' must not disarm the watch.
  silenceMs: z.number().min(500).max(60_000),
  stop: count,
});

export const stopSchema = z.object({ latched: z.boolean(), n: count, ...deskKeys });

export const linkDownSchema = z.object({ up: z.literal(false) });

export const doSchema = z.object({
  prop: word,
  run: word,
  step: count,
  move: word,
  session: word,
  ...deskKeys,
  limitMs: z.number().positive(),
  lastsMs: z.number().positive().optional(),
});
export type Order = z.infer<typeof doSchema>;

export const haltSchema = z.object({ prop: word });

// A byte order mark is no JSON (RFC 8259, 8.1): it is kept, and the parser then refuses it.
const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

/** The payload as an object, or null where it is too long, no UTF-8 JSON or no object. Never throws. */
export function readPayload(bytes: Uint8Array): Record<string, unknown> | null {
  if (bytes.length > MAX_PAYLOAD_BYTES) return null;
  try {
    const value: unknown = JSON.parse(utf8.decode(bytes));
    return typeof value === 'object' && value !== null && !Array.isArray(value)
      ? (value as Record<string, unknown>)
      : null;
  } catch {
    return null;
  }
}

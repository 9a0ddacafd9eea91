import type { z } from 'zod';
import { MESSAGES, type MessageKind, PAYLOAD_BYTES_MAX, type Payload } from './contract.ts';

export type Read<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: string };

const WHY_CHARS_MAX = 200;
// a byte order mark is kept, and is then no JSON: it has no place in a payload (RFC 8259, 8.1)
const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

/**
 * Bytes to a payload of this kind: at most 4 KiB of well-formed UTF-8, a JSON object, the keys of the contract.
 * Keys it does not know are left out. Never throws; `why` says in a few words what is wrong.
 */
export function readPayload<K extends MessageKind>(kind: K, bytes: Uint8Array): Read<Payload<K>> {
  if (bytes.length > PAYLOAD_BYTES_MAX) {
    return { ok: false, why: `${bytes.length} bytes, at most ${PAYLOAD_BYTES_MAX} are allowed` };
  }
  if (bytes.length === 0) return { ok: false, why: 'empty' };
  let text: string;
  try {
    text = utf8.decode(bytes);
  } catch {
    return { ok: false, why: 'not UTF-8' };
  }
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, why: 'not JSON' };
  }
  if (typeof json !== 'object' || json === null || Array.isArray(json)) {
    return { ok: false, why: 'not a JSON object' };
  }
  const read = MESSAGES[kind].payload.safeParse(json);
  if (!read.success) return { ok: false, why: sentence(read.error.issues[0]) };
  return { ok: true, value: read.data as Payload<K> };
}

/** What goes on the wire. */
export function writePayload<K extends MessageKind>(_kind: K, payload: Payload<K>): string {
  return JSON.stringify(payload);
}

function sentence(issue: z.core.$ZodIssue | undefined): string {
  if (issue === undefined) return 'not as agreed';
  const where = issue.path.map(String).join('.');
  return `"${where}": ${issue.message}`.slice(0, WHY_CHARS_MAX);
}

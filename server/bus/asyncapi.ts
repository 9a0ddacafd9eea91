import { z } from 'zod';
import { ID_PATTERN, KEEP_ALIVE_S_MAX, MESSAGE_KINDS, MESSAGES, type MessageKind } from './contract.ts';
import { EXAMPLES } from './examples.ts';

export interface AsyncApiOptions {
  readonly root: string;
  /** Of this software. */
  readonly version: string;
  /** Where the broker listens, `host:port`, where it may be told. */
  readonly server?: string;
}

/** What the desk hears of what desks say: its own will come late, another desk, a stop from elsewhere. */
const ALSO_RECEIVED: readonly MessageKind[] = ['desk', 'heartbeat', 'stop'];

const DESCRIPTION = `What passes between the desk (the daemon) and the controllers (the boards that drive the props), as
the desk sees it: \`send\` is said by the desk, \`receive\` is heard by it.

MQTT 3.1.1 is enough. Everyone connects with a clean session and a keep-alive of at most ${KEEP_ALIVE_S_MAX} s.
Payloads are UTF-8 JSON objects of at most 4 KiB; keys that are not named here are ignored.

Two fences stand against a late command, since boards have no clock that agrees with the desk's. A controller makes a
new session word whenever it boots, connects, goes \`silenceMs\` without a heartbeat or obeys a stop, and refuses a \`do\`
with any other. And it follows the desk with the highest epoch it has heard, and refuses a \`do\` from any other.

The stop on this bus is a convenience and no emergency stop: that is a hard-wired button that cuts motion power and air.`;

/**
 * The contract as an AsyncAPI 3.0.0 document, made from the schemas that the code itself reads with. Plain JSON.
 */
export function asyncApi(options: AsyncApiOptions): Record<string, unknown> {
  return {
    asyncapi: '3.0.0',
    info: { title: 'Dusklatch bus', version: options.version, description: DESCRIPTION },
    defaultContentType: 'application/json',
    ...(options.server === undefined
      ? {}
      : { servers: { yard: { host: options.server, protocol: 'mqtt', protocolVersion: '3.1.1' } } }),
    channels: each((kind) => channel(options.root, kind)),
    operations: operations(),
    components: { messages: each(message) },
  };
}

function each<T>(make: (kind: MessageKind) => T): Record<string, T> {
  return Object.fromEntries(MESSAGE_KINDS.map((kind) => [kind, make(kind)]));
}

function channel(root: string, kind: MessageKind): object {
  const { path, about } = MESSAGES[kind];
  const names = [...path.matchAll(/\{([a-z]+)\}/g)].map((found) => found[1]!);
  const parameters = Object.fromEntries(
    names.map((name) => [name, { description: `Id of the ${name} in the yard file: ${ID_PATTERN.source}` }]),
  );
  return {
    address: `${root}/${path}`,
    description: about,
    messages: { [kind]: { $ref: `#/components/messages/${kind}` } },
    ...(names.length === 0 ? {} : { parameters }),
  };
}

function operations(): Record<string, object> {
  const sent = MESSAGE_KINDS.filter((kind) => MESSAGES[kind].by === 'desk');
  const received = [...MESSAGE_KINDS.filter((kind) => MESSAGES[kind].by === 'controller'), ...ALSO_RECEIVED];
  return Object.fromEntries([
    ...sent.map((kind) => [`send-${kind}`, operation('send', kind)]),
    ...received.map((kind) => [`receive-${kind}`, operation('receive', kind)]),
  ]);
}

function operation(action: 'send' | 'receive', kind: MessageKind): object {
  const { qos, retain } = MESSAGES[kind];
  return {
    action,
    channel: { $ref: `#/channels/${kind}` },
    messages: [{ $ref: `#/channels/${kind}/messages/${kind}` }],
    bindings: { mqtt: { qos, retain, bindingVersion: '0.2.0' } },
  };
}

function message(kind: MessageKind): object {
  const { payload, about } = MESSAGES[kind];
  // draft 7 is the dialect of AsyncAPI's own schema object; `input`, so that unknown keys are allowed as they are when read
  const { $schema: _, ...schema } = z.toJSONSchema(payload, { target: 'draft-7', io: 'input' });
  return {
    name: kind,
    summary: about,
    contentType: 'application/json',
    payload: schema,
    examples: EXAMPLES[kind].map((example) => ({ payload: example })),
  };
}

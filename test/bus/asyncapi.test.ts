import { Ajv, type ValidateFunction } from 'ajv';
import { describe, expect, test } from 'vitest';
import { asyncApi } from '../../server/bus/asyncapi.ts';
import { MESSAGE_KINDS, MESSAGES } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { readPayload } from '../../server/bus/payload.ts';

/**
 * AsyncAPI 3.0.0 (asyncapi.com, specification v3.0.0), as far as this document uses it, from memory of its text: which
 * fields an object has, which are wanted, and that nothing else stands in it. Its own schema is no dependency of ours.
 */
const ref = (pattern: string) => ({
  type: 'object',
  properties: { $ref: { type: 'string', pattern } },
  required: ['$ref'],
  additionalProperties: false,
});
const mapOf = (value: object) => ({
  type: 'object',
  propertyNames: { pattern: '^[A-Za-z0-9_\\-]+$' },
  additionalProperties: value,
});
const text = { type: 'string', minLength: 1 };
const STRUCTURE = {
  type: 'object',
  required: ['asyncapi', 'info', 'channels', 'operations', 'components'],
  additionalProperties: false,
  properties: {
    asyncapi: { const: '3.0.0' },
    defaultContentType: text,
    info: {
      type: 'object',
      required: ['title', 'version'],
      additionalProperties: false,
      properties: { title: text, version: text, description: text },
    },
    servers: mapOf({
      type: 'object',
      required: ['host', 'protocol'],
      additionalProperties: false,
      properties: { host: { type: 'string', pattern: '^[^/]+$' }, protocol: text, protocolVersion: text },
    }),
    channels: mapOf({
      type: 'object',
      additionalProperties: false,
      properties: {
        address: text,
        description: text,
        messages: mapOf(ref('^#/components/messages/')),
        parameters: mapOf({
          type: 'object',
          // version 3 took `schema` out of parameters
          properties: { description: text, enum: {}, default: {}, examples: {}, location: {} },
          additionalProperties: false,
        }),
      },
    }),
    operations: mapOf({
      type: 'object',
      required: ['action', 'channel'],
      additionalProperties: false,
      properties: {
        // version 2 said publish and subscribe
        action: { enum: ['send', 'receive'] },
        channel: ref('^#/channels/[^/]+$'),
        messages: { type: 'array', items: ref('^#/channels/[^/]+/messages/[^/]+$') },
        bindings: {
          type: 'object',
          additionalProperties: false,
          properties: {
            // MQTT operation binding 0.2.0
            mqtt: {
              type: 'object',
              additionalProperties: false,
              properties: { qos: { enum: [0, 1, 2] }, retain: { type: 'boolean' }, bindingVersion: text },
            },
          },
        },
      },
    }),
    components: {
      type: 'object',
      additionalProperties: false,
      properties: {
        messages: mapOf({
          type: 'object',
          additionalProperties: false,
          properties: {
            name: text,
            summary: text,
            contentType: text,
            payload: { type: 'object' },
            examples: {
              type: 'array',
              items: { type: 'object', properties: { payload: {} }, required: ['payload'] },
            },
          },
        }),
      },
    },
  },
};

interface Document {
  channels: Record<string, { address: string; parameters?: object; messages: object }>;
  operations: Record<
    string,
    {
      action: string;
      channel: { $ref: string };
      messages: { $ref: string }[];
      bindings: { mqtt: { qos: number; retain: boolean } };
    }
  >;
  components: { messages: Record<string, { payload: object; examples: { payload: unknown }[] }> };
}

const document = asyncApi({
  root: 'yard',
  version: '0.1.0',
  server: '192.168.4.1:1883',
}) as unknown as Document;

function at(pointer: string): unknown {
  return pointer
    .slice(2)
    .split('/')
    .reduce<unknown>((inside, key) => (inside as Record<string, unknown> | undefined)?.[key], document);
}

function compile(kind: string): ValidateFunction {
  return new Ajv({ strict: true, strictTypes: false }).compile(document.components.messages[kind]!.payload);
}

describe('the published contract', () => {
  test('has the structure of AsyncAPI 3.0', () => {
    const validate = new Ajv({ allErrors: true, strict: false }).compile(STRUCTURE);
    validate(document);
    expect(validate.errors).toBeNull();
    const bare = new Ajv({ strict: false }).compile(STRUCTURE);
    expect(bare(asyncApi({ root: 'yard', version: '0.1.0' }))).toBe(true);
  });

  test('is plain JSON, and every reference in it leads somewhere', () => {
    const json = JSON.stringify(document);
    expect(JSON.parse(json)).toEqual(document);
    const refs = [...json.matchAll(/"\$ref":"([^"]+)"/g)].map((found) => found[1]!);
    expect(refs.length).toBeGreaterThan(30);
    for (const pointer of refs) expect(at(pointer), pointer).toBeDefined();
  });

  test('every parameter of an address is declared, and no other', () => {
    for (const [name, channel] of Object.entries(document.channels)) {
      const inAddress = [...channel.address.matchAll(/\{(\w+)\}/g)].map((found) => found[1]);
      expect(Object.keys(channel.parameters ?? {}), name).toEqual(inAddress);
    }
  });

  test('every message has a channel and an operation, with the QoS and retain of the table', () => {
    expect(Object.keys(document.channels)).toEqual([...MESSAGE_KINDS]);
    for (const kind of MESSAGE_KINDS) {
      const { by, qos, retain, path } = MESSAGES[kind];
      const operation = document.operations[`${by === 'desk' ? 'send' : 'receive'}-${kind}`]!;
      expect(operation.action).toBe(by === 'desk' ? 'send' : 'receive');
      expect(operation.bindings.mqtt).toMatchObject({ qos, retain });
      expect(operation.messages).toEqual([{ $ref: `#/channels/${kind}/messages/${kind}` }]);
      expect(document.channels[kind]!.address).toBe(`yard/${path}`);
    }
  });

  test('each example fits its own schema, with keys that nobody has thought of yet', () => {
    for (const kind of MESSAGE_KINDS) {
      const validate = compile(kind);
      for (const example of document.components.messages[kind]!.examples) {
        expect(validate(example.payload), `${kind} ${JSON.stringify(validate.errors)}`).toBe(true);
        expect(validate({ ...(example.payload as object), later: 1 })).toBe(true);
      }
    }
  });

  test('the schema and the code refuse the same: each example with a key gone or of another type', () => {
    let refused = 0;
    for (const kind of MESSAGE_KINDS) {
      const validate = compile(kind);
      for (const example of EXAMPLES[kind] as readonly Record<string, unknown>[]) {
        for (const key of Object.keys(example)) {
          const { [key]: value, ...without } = example;
          const other = typeof value === 'string' ? 7 : 'Not This';
          for (const changed of [without, { ...example, [key]: other }, { ...example, [key]: -1 }]) {
            const bySchema = validate(changed);
            const byCode = readPayload(kind, Buffer.from(JSON.stringify(changed))).ok;
            expect(bySchema, `${kind} ${JSON.stringify(changed)}`).toBe(byCode);
            if (!byCode) refused++;
          }
        }
      }
    }
    expect(refused).toBeGreaterThan(100);
  });
});

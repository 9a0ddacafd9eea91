import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MESSAGE_KINDS, MESSAGES, type MessageKind } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { readPayload, writePayload } from '../../server/bus/payload.ts';
import { filterOf, readTopic, topicOf } from '../../server/bus/topics.ts';

const bytes = (value: unknown) => Buffer.from(typeof value === 'string' ? value : JSON.stringify(value));
const id = fc.stringMatching(/^[a-z0-9-]{1,40}$/);

/**
 * The project's own published table, restated here by hand so that a slip in the code's table shows: independent boards
 * are built against it. Topic, who says it, retained, QoS.
 */
const AGREED: Record<MessageKind, [string, 'desk' | 'controller', boolean, 0 | 1]> = {
  desk: ['yard/desk', 'desk', true, 1],
  heartbeat: ['yard/heartbeat', 'desk', false, 0],
  stop: ['yard/stop', 'desk', true, 1],
  announce: ['yard/announce', 'desk', false, 1],
  notice: ['yard/notice', 'desk', false, 0],
  link: ['yard/controller/ferry-board/link', 'controller', true, 1],
  beat: ['yard/controller/ferry-board/beat', 'controller', false, 0],
  stopped: ['yard/controller/ferry-board/stopped', 'controller', false, 1],
  do: ['yard/prop/ferry/do', 'desk', false, 0],
  halt: ['yard/prop/ferry/halt', 'desk', false, 1],
  did: ['yard/prop/ferry/did', 'controller', false, 1],
  sense: ['yard/prop/ferry/sense/far', 'controller', true, 1],
};

const IDS: Partial<Record<MessageKind, string[]>> = {
  link: ['ferry-board'],
  beat: ['ferry-board'],
  stopped: ['ferry-board'],
  do: ['ferry'],
  halt: ['ferry'],
  did: ['ferry'],
  sense: ['ferry', 'far'],
};

/** Payloads as the contract's text shows them, to the letter. */
const SHOWN: [MessageKind, string][] = [
  ['desk', '{"up":true,"desk":"q4x1","epoch":12,"contract":1}'],
  ['desk', '{"up":false,"desk":"q4x1","epoch":12}'],
  ['heartbeat', '{"desk":"q4x1","epoch":12,"n":4711,"silenceMs":1000,"stop":0}'],
  ['stop', '{"latched":true,"n":8,"desk":"q4x1","epoch":12}'],
  ['stop', '{"latched":false,"n":8,"desk":"q4x1","epoch":12}'],
  ['announce', '{"desk":"q4x1","epoch":12}'],
  ['notice', '{"epoch":12,"inMs":30000}'],
  [
    'link',
    '{"up":true,"session":"m7q2","first":"k3f9","contract":1,"props":["ferry"],"stop":0,"epoch":12,"firmware":"1.2"}',
  ],
  ['link', '{"up":false,"session":"k3f9"}'],
  ['beat', '{"session":"m7q2","n":812}'],
  ['stopped', '{"n":8,"session":"m7q2","safe":true}'],
  [
    'do',
    '{"prop":"ferry","run":"2026-10-31.crossing.17","step":0,"move":"out","session":"m7q2","desk":"q4x1","epoch":12,"limitMs":12000}',
  ],
  [
    'do',
    '{"prop":"ferry","run":"2026-10-31.crossing.17","step":0,"move":"out","session":"m7q2","desk":"q4x1","epoch":12,"limitMs":12000,"lastsMs":45000}',
  ],
  ['halt', '{"prop":"ferry","epoch":12,"why":"interlock"}'],
  [
    'did',
    '{"prop":"ferry","run":"2026-10-31.crossing.17","step":0,"move":"out","is":"started","session":"m7q2"}',
  ],
  [
    'did',
    '{"prop":"ferry","run":"2026-10-31.crossing.17","step":0,"move":"out","is":"done","session":"m7q2","ms":6120}',
  ],
  ['sense', '{"prop":"ferry","made":true,"session":"m7q2","n":42}'],
];

describe('the table of messages', () => {
  test.each(MESSAGE_KINDS)('%s: topic, sender, retained, QoS', (kind) => {
    const [topic, by, retain, qos] = AGREED[kind];
    expect(topicOf('yard', kind, ...(IDS[kind] ?? []))).toBe(topic);
    expect(MESSAGES[kind]).toMatchObject({ by, retain, qos });
    expect(readTopic('yard', topic)).toEqual({ kind, ids: IDS[kind] ?? [] });
  });

  test('nothing that moves or reports a move is retained', () => {
    expect(MESSAGES.do.retain || MESSAGES.did.retain || MESSAGES.beat.retain).toBe(false);
    expect(MESSAGES.do.qos).toBe(0);
  });

  test('a built topic is taken apart into the same ids, under any root', () => {
    const root = fc.array(id, { minLength: 1, maxLength: 3 }).map((parts) => parts.join('/'));
    fc.assert(
      fc.property(root, fc.constantFrom(...MESSAGE_KINDS), id, id, (under, kind, one, two) => {
        const ids = [one, two].slice(0, (IDS[kind] ?? []).length);
        expect(readTopic(under, topicOf(under, kind, ...ids))).toEqual({ kind, ids });
      }),
    );
  });

  test.each([
    'yard',
    'yard/',
    'yard/desk/',
    'yard//desk',
    'Yard/desk',
    'yard/prop/ferry',
    'yard/prop//do',
    'yard/prop/Ferry/do',
    `yard/prop/${'a'.repeat(41)}/do`,
    'yard/prop/ferry/do/now',
    'yard/prop/+/do',
    'yard/prop/ferry/sense/',
    'other/desk',
    'yardly/desk',
    'yard/controller/ferry-board',
    'yard/prop/fer\nry/do',
  ])('%j is no topic of the contract', (topic) => {
    expect(readTopic('yard', topic)).toBeNull();
  });

  test('filters have one wildcard for each id', () => {
    expect(filterOf('yard', 'sense')).toBe('yard/prop/+/sense/+');
    expect(filterOf('yard', 'link')).toBe('yard/controller/+/link');
    expect(filterOf('yard', 'stop')).toBe('yard/stop');
  });
});

describe('payloads', () => {
  test.each(SHOWN)('%s %s', (kind, text) => {
    const read = readPayload(kind, bytes(text));
    expect(read).toEqual({ ok: true, value: JSON.parse(text) });
  });

  test.each(MESSAGE_KINDS)('the examples of %s go out and come back the same', (kind) => {
    for (const example of EXAMPLES[kind]) {
      expect(readPayload(kind, bytes(writePayload(kind, example)))).toEqual({ ok: true, value: example });
    }
  });

  test('unknown keys are ignored, whatever they are called', () => {
    const text = '{"session":"m7q2","n":1,"rssi":-61,"__proto__":{"n":9},"constructor":"x"}';
    expect(readPayload('beat', bytes(text))).toEqual({ ok: true, value: { session: 'm7q2', n: 1 } });
  });

  test.each(MESSAGE_KINDS)('%s without any one of its keys is malformed', (kind) => {
    const example = EXAMPLES[kind][0] as unknown as Record<string, unknown>;
    for (const key of Object.keys(example).filter((each) => each !== 'firmware')) {
      const { [key]: _, ...rest } = example;
      expect(readPayload(kind, bytes(rest)).ok, `${kind} without ${key}`).toBe(false);
    }
  });

  test('4096 bytes are taken and 4097 are not', () => {
    const padded = (length: number) => {
      const bare = JSON.stringify({ session: 'm7q2', n: 1, pad: '' });
      return bytes(bare.replace('""', `"${'x'.repeat(length - bare.length)}"`));
    };
    expect(padded(4096).length).toBe(4096);
    expect(readPayload('beat', padded(4096)).ok).toBe(true);
    expect(readPayload('beat', padded(4097))).toEqual({
      ok: false,
      why: '4097 bytes, at most 4096 are allowed',
    });
  });

  test('a run is at most 80 characters, and not empty where something moved', () => {
    const did = (run: string) => ({ prop: 'ferry', run, step: 0, move: 'out', is: 'started', session: 'm' });
    expect(readPayload('did', bytes(did('r'.repeat(80)))).ok).toBe(true);
    expect(readPayload('did', bytes(did('r'.repeat(81)))).ok).toBe(false);
    expect(readPayload('did', bytes(did(''))).ok).toBe(false);
  });

  test.each([-1, 0.5, 2 ** 53, 1e300, '8', null, true])('%j is no number of a stop', (n) => {
    expect(readPayload('stop', bytes({ latched: true, n, desk: 'q4x1', epoch: 1 })).ok).toBe(false);
  });

  test('a stop numbered 0 can be cleared, never latched, for a heartbeat says 0 for none', () => {
    const stop = (latched: boolean) => bytes({ latched, n: 0, desk: 'q4x1', epoch: 1 });
    expect(readPayload('stop', stop(false)).ok).toBe(true);
    expect(readPayload('stop', stop(true)).ok).toBe(false);
  });

  test('silence is never under 500 ms', () => {
    const beat = (silenceMs: number) => bytes({ desk: 'q', epoch: 1, n: 1, silenceMs, stop: 0 });
    expect(readPayload('heartbeat', beat(500)).ok).toBe(true);
    expect(readPayload('heartbeat', beat(499)).ok).toBe(false);
  });

  test.each(['refused', 'failed'])('%s says why, done says how long', (is) => {
    const did = { prop: 'ferry', run: 'r', step: 0, move: 'out', session: 'm' };
    expect(readPayload('did', bytes({ ...did, is })).ok).toBe(false);
    expect(readPayload('did', bytes({ ...did, is, why: 'busy' })).ok).toBe(true);
    expect(readPayload('did', bytes({ ...did, is: 'done' })).ok).toBe(false);
    expect(readPayload('did', bytes({ ...did, is: 'gone' })).ok).toBe(false);
  });

  test('a prop halted before it ever moved has no run to name', () => {
    const bare = { prop: 'ferry', is: 'halted', session: 'm7q2' };
    expect(readPayload('did', bytes(bare)).ok).toBe(true);
    expect(readPayload('did', bytes({ ...bare, run: '', step: 0, move: '' })).ok).toBe(true);
  });

  test('a board of another version of the contract is not taken for one of ours', () => {
    const [link] = EXAMPLES.link;
    expect(readPayload('link', bytes({ ...link, contract: 2 })).ok).toBe(false);
  });

  // RFC 3629, 3 and 10: overlong forms, lone surrogates and bytes above F4 are ill-formed; RFC 8259, 8.1: no byte order mark
  test.each([
    [[0xff, 0xfe], 'not UTF-8'],
    [[0xc0, 0x80], 'not UTF-8'],
    [[0xed, 0xa0, 0x80], 'not UTF-8'],
    [[0xef, 0xbb, 0xbf, ...Buffer.from('{"session":"m","n":1}')], 'not JSON'],
    [[...Buffer.from('{"session":"m","n":1')], 'not JSON'],
    [[...Buffer.from('[1]')], 'not a JSON object'],
    [[...Buffer.from('null')], 'not a JSON object'],
    [[...Buffer.from('"x"')], 'not a JSON object'],
    [[], 'empty'],
  ])('bytes %j are refused: %s', (given, why) => {
    expect(readPayload('beat', Uint8Array.from(given))).toEqual({ ok: false, why });
  });
});

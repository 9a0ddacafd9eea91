import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MESSAGE_KINDS, MESSAGES, type MessageKind } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { type Heard, indexYard, NUMBER_HEARD_MAX, readMessage } from '../../server/bus/intake.ts';
import { topicOf } from '../../server/bus/topics.ts';
import { landing } from './rig.ts';

const index = indexYard(landing(), { word: 'q4x1', stop: 8, cleared: 7 });

function hear(topic: string, payload: unknown, retained = false): Heard {
  const bytes =
    payload instanceof Uint8Array
      ? payload
      : Buffer.from(typeof payload === 'string' ? payload : JSON.stringify(payload));
  return readMessage(index, topic, bytes, retained);
}

const link = EXAMPLES.link[0] as Extract<(typeof EXAMPLES.link)[number], { up: true }>;
const sense = { prop: 'ferry', made: true, session: 'm7q2', n: 42 };
const did = { prop: 'ferry', run: 'r.1', step: 0, move: 'out', session: 'm7q2' };

describe('from controllers', () => {
  test('a link, live and retained', () => {
    const fact = {
      kind: 'linkHeard',
      controller: 'ferry-board',
      up: true,
      session: 'm7q2',
      first: 'k3f9',
      props: ['ferry'],
      stop: 0,
      epoch: 12,
      firmware: '1.2',
    };
    expect(hear('yard/controller/ferry-board/link', link)).toEqual({ fact: { ...fact, retained: false } });
    expect(hear('yard/controller/ferry-board/link', link, true)).toEqual({
      fact: { ...fact, retained: true },
    });
  });

  test('a link without firmware has no such key', () => {
    const { firmware: _, ...bare } = link;
    const heard = hear('yard/controller/ferry-board/link', bare) as { fact: object };
    expect('firmware' in heard.fact).toBe(false);
  });

  test('a will', () => {
    expect(hear('yard/controller/ferry-board/link', { up: false, session: 'k3f9' }, true)).toEqual({
      fact: { kind: 'linkHeard', controller: 'ferry-board', up: false, session: 'k3f9', retained: true },
    });
  });

  test('props that the yard does not know are left out of a link, and those named twice are there once', () => {
    const props = ['ferry', 'gull', 'ferry', 'constructor', 'ferryman'];
    const heard = hear('yard/controller/ferry-board/link', { ...link, props });
    expect(heard).toMatchObject({ fact: { props: ['ferry', 'ferryman'] } });
  });

  test('a beat', () => {
    expect(hear('yard/controller/ferry-board/beat', { session: 'm7q2', n: 812 })).toEqual({
      beat: ['ferry-board', 'm7q2'],
    });
  });

  test('stopped', () => {
    expect(hear('yard/controller/ferry-board/stopped', { n: 8, session: 'm7q2', safe: false })).toEqual({
      fact: { kind: 'stoppedHeard', controller: 'ferry-board', stop: 8, session: 'm7q2', safe: false },
    });
  });

  test.each(['gull-board', 'constructor', '__proto__', 'ferry'])('controller %s is not of this yard', (c) => {
    for (const last of ['link', 'beat', 'stopped']) {
      expect(hear(`yard/controller/${c}/${last}`, link)).toHaveProperty('dropped');
    }
  });

  test.each([
    [{ ...did, is: 'started' }, { is: 'started' }],
    [
      { ...did, is: 'done', ms: 6120 },
      { is: 'done', ms: 6120 },
    ],
    [
      { ...did, is: 'refused', why: 'session' },
      { is: 'refused', why: 'session' },
    ],
    [
      { ...did, is: 'failed', why: 'limit' },
      { is: 'failed', why: 'limit' },
    ],
    [{ ...did, is: 'halted' }, { is: 'halted' }],
  ])('did %j', (said, fact) => {
    expect(hear('yard/prop/ferry/did', said)).toEqual({ fact: { kind: 'moveReported', ...did, ...fact } });
  });

  test('halted before it ever moved', () => {
    expect(hear('yard/prop/ferry/did', { prop: 'ferry', is: 'halted', session: 'm7q2' })).toEqual({
      fact: { kind: 'moveReported', ...did, run: '', step: 0, move: '', is: 'halted' },
    });
  });

  test('a long why is cut, not refused', () => {
    const heard = hear('yard/prop/ferry/did', { ...did, is: 'failed', why: 'x'.repeat(3000) });
    expect((heard as { fact: { why: string } }).fact.why).toBe('x'.repeat(200));
  });

  test('a sensor, live and retained', () => {
    const fact = {
      kind: 'sensorChanged',
      prop: 'ferry',
      sensor: 'far',
      made: true,
      session: 'm7q2',
      count: 42,
    };
    expect(hear('yard/prop/ferry/sense/far', sense)).toEqual({ fact: { ...fact, retained: false } });
    expect(hear('yard/prop/ferry/sense/far', sense, true)).toEqual({ fact: { ...fact, retained: true } });
  });

  test.each([
    ['yard/prop/gull/sense/far', { ...sense, prop: 'gull' }, 'no prop gull in the yard file'],
    ['yard/prop/ferry/sense/mid', sense, 'ferry has no sensor mid in the yard file'],
    ['yard/prop/ferry/sense/constructor', sense, 'ferry has no sensor constructor in the yard file'],
    ['yard/prop/ferry/sense/far', { ...sense, prop: 'ferryman' }, 'is of ferryman, on the topic of ferry'],
    ['yard/prop/ferryman/did', { ...did, is: 'started' }, 'is of ferry, on the topic of ferryman'],
    ['yard/prop/ferry/did', { ...did, move: 'row', is: 'started' }, 'ferry has no move row'],
    [
      'yard/prop/constructor/did',
      { ...did, prop: 'constructor', is: 'started' },
      'no prop constructor in the yard file',
    ],
    ['yard/prop/ferry/nod', sense, 'no topic of the contract'],
    ['marsh/prop/ferry/did', did, 'no topic of the contract'],
  ])('%s is dropped', (topic, payload, why) => {
    expect(hear(topic, payload)).toMatchObject({ dropped: { why } });
  });
});

describe('what is unknown', () => {
  test.each([
    ['yard/controller/gull-board/beat', { session: 'k', n: 1 }, 'gull-board'],
    ['yard/prop/gull/sense/far', { ...sense, prop: 'gull' }, 'gull'],
    ['yard/prop/ferry/sense/mid', sense, 'ferry.mid'],
    ['yard/prop/ferry/did', { ...did, move: 'row', is: 'started' }, 'ferry.row'],
  ])('%s is named as the yard file would name it', (topic, payload, what) => {
    expect(hear(topic, payload)).toMatchObject({ dropped: { code: 'unknown', what } });
  });
});

describe('retained where it may not be', () => {
  test.each(MESSAGE_KINDS.filter((kind) => !MESSAGES[kind].retain))('%s', (kind) => {
    const topic = topicOf(
      'yard',
      kind,
      ...(kind === 'beat' || kind === 'stopped' ? ['ferry-board'] : ['ferry']),
    );
    expect(hear(topic, EXAMPLES[kind][0], false)).not.toHaveProperty('dropped');
    expect(hear(topic, EXAMPLES[kind][0], true)).toEqual({
      dropped: { code: 'kept', why: `retained, which a ${kind} never is` },
    });
  });
});

describe('from desks', () => {
  const own = { desk: 'q4x1', epoch: 12 };
  const other = { desk: 'z9z9', epoch: 13 };

  test.each([
    ['desk', { ...own, up: true, contract: 1 }],
    ['heartbeat', { ...own, n: 1, silenceMs: 1000, stop: 0 }],
    ['announce', own],
    ['prop/ferry/do', EXAMPLES.do[0]],
    ['prop/ferry/halt', EXAMPLES.halt[0]],
    ['notice', EXAMPLES.notice[0]],
    ['stop', { ...own, latched: true, n: 8 }],
    ['stop', { ...own, latched: false, n: 7 }],
  ])('our own %s comes back as ours: %j', (last, payload) => {
    expect(hear(`yard/${last}`, payload)).toEqual({ ours: true });
  });

  test.each([true, false])('a late will of our own is told (retained %s)', (retained) => {
    expect(hear('yard/desk', { ...own, up: false }, retained)).toEqual({
      fact: { kind: 'deskHeard', ...own, up: false, by: 'desk', retained },
    });
  });

  test('another desk, by its word or by its heartbeat, higher or lower', () => {
    expect(hear('yard/desk', { ...other, up: true, contract: 2 }, true)).toEqual({
      fact: { kind: 'deskHeard', ...other, up: true, by: 'desk', retained: true },
    });
    expect(hear('yard/heartbeat', { ...other, epoch: 1, n: 5, silenceMs: 1000, stop: 0 })).toEqual({
      fact: { kind: 'deskHeard', desk: 'z9z9', epoch: 1, up: true, by: 'heartbeat', retained: false },
    });
  });

  test("another's stop, latched and cleared", () => {
    for (const latched of [true, false]) {
      expect(hear('yard/stop', { ...other, latched, n: 3 }, true)).toEqual({
        fact: { kind: 'stopHeard', latched, stop: 3, ...other },
      });
    }
  });

  test('a higher stop in our name still stops; a clear in our name that we did not give is shown', () => {
    expect(hear('yard/stop', { ...own, latched: true, n: 9 })).toEqual({
      fact: { kind: 'stopHeard', latched: true, stop: 9, ...own },
    });
    expect(hear('yard/stop', { ...own, latched: false, n: 8 })).toEqual({
      dropped: { code: 'barred', why: "cleared stop 8 in this desk's name, which it did not" },
    });
  });

  test("another desk's orders are dropped and shown", () => {
    expect(hear('yard/announce', other)).toEqual({
      dropped: { code: 'barred', why: 'from another desk, z9z9' },
    });
    expect(hear('yard/prop/ferry/do', { ...EXAMPLES.do[0], desk: 'z9z9' })).toEqual({
      dropped: { code: 'barred', why: 'from another desk, z9z9' },
    });
  });

  test('numbers that nobody has counted to are planted, and leave room above them', () => {
    const far = NUMBER_HEARD_MAX + 1;
    const told = [
      hear('yard/desk', { ...other, epoch: far, up: true, contract: 1 }),
      hear('yard/heartbeat', { ...other, epoch: far, n: 1, silenceMs: 1000, stop: 0 }),
      hear('yard/stop', { ...other, latched: true, n: far }),
      hear('yard/stop', { ...own, latched: true, n: far }),
    ];
    for (const heard of told) expect(heard).toHaveProperty('dropped');
    // of a link the number counts as none; the board goes on being heard, also once our own number is above that bound
    const planted = hear('yard/controller/ferry-board/link', { ...link, epoch: far, stop: far });
    expect(planted).toMatchObject({ fact: { kind: 'linkHeard', stop: 0, epoch: 0 } });
    expect(hear('yard/desk', { ...other, epoch: NUMBER_HEARD_MAX, up: true, contract: 1 })).toHaveProperty(
      'fact',
    );
    expect(Number.isSafeInteger(NUMBER_HEARD_MAX + 1_000_000)).toBe(true);
  });
});

describe('whatever comes', () => {
  const shapes = ['fact', 'beat', 'dropped', 'ours'];
  const topics = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 80 }),
    fc.constantFrom(
      ...MESSAGE_KINDS.flatMap((kind) =>
        [
          ['ferry', 'far'],
          ['ferry-board', 'far'],
          ['gate-button', 'button'],
          ['constructor', '__proto__'],
        ].map((ids) => topicOf('yard', kind, ...ids)),
      ),
    ),
  );

  function isWellFormed(heard: Heard): void {
    expect(Object.keys(heard)).toHaveLength(1);
    expect(shapes).toContain(Object.keys(heard)[0]);
    if ('fact' in heard) {
      // plain JSON, since the journal keeps it and a replay reads it back
      expect(JSON.stringify(JSON.parse(JSON.stringify(heard.fact)))).toBe(JSON.stringify(heard.fact));
      expect(Object.values(heard.fact)).not.toContain(undefined);
      const fact = heard.fact as { prop?: string; controller?: string };
      if (fact.prop !== undefined) expect(index.props.has(fact.prop)).toBe(true);
      if (fact.controller !== undefined) expect(index.controllers.has(fact.controller)).toBe(true);
    }
    if ('dropped' in heard) expect(heard.dropped.why.length).toBeGreaterThan(3);
  }

  test('any bytes on any topic: one answer, never a throw', () => {
    fc.assert(
      fc.property(topics, fc.uint8Array({ maxLength: 300 }), fc.boolean(), (topic, bytes, retained) =>
        isWellFormed(readMessage(index, topic, bytes, retained)),
      ),
      { numRuns: 3000 },
    );
  });

  test('any JSON on any topic', () => {
    fc.assert(
      fc.property(topics, fc.json(), fc.boolean(), (topic, text, retained) =>
        isWellFormed(readMessage(index, topic, Buffer.from(text), retained)),
      ),
      { numRuns: 3000 },
    );
  });

  /** A good message with one thing wrong: a key changed or gone, bytes flipped, cut or doubled. */
  const nearly = fc.constantFrom(...MESSAGE_KINDS).chain((kind) =>
    fc.record({
      kind: fc.constant<MessageKind>(kind),
      example: fc.constantFrom(...(EXAMPLES[kind] as readonly object[])),
      key: fc.nat(12),
      value: fc.oneof(
        fc.constant(undefined),
        fc.jsonValue(),
        fc.integer(),
        fc.double(),
        fc.constantFrom(2 ** 53, -0, 1e308, 'ferry', '', 'started', 'halted', true, false),
      ),
      flip: fc.option(fc.tuple(fc.nat(300), fc.integer({ min: 1, max: 255 })), { freq: 2 }),
      cut: fc.option(fc.nat(300), { freq: 2 }),
      retained: fc.boolean(),
    }),
  );

  test('messages that are nearly right', () => {
    let facts = 0;
    fc.assert(
      fc.property(nearly, ({ kind, example, key, value, flip, cut, retained }) => {
        const payload: Record<string, unknown> = { ...example };
        const keys = Object.keys(payload);
        payload[keys[key % keys.length]!] = value;
        let bytes = Uint8Array.from(Buffer.from(JSON.stringify(payload)));
        if (flip !== null && flip[0] < bytes.length) bytes[flip[0]]! ^= flip[1];
        if (cut !== null) bytes = bytes.slice(0, cut);
        const ids = ['link', 'beat', 'stopped'].includes(kind) ? ['ferry-board'] : ['ferry', 'far'];
        const heard = readMessage(index, topicOf('yard', kind, ...ids), bytes, retained);
        isWellFormed(heard);
        if ('fact' in heard) facts++;
      }),
      { numRuns: 12_000 },
    );
    // the property means little if everything was thrown out at the door
    expect(facts).toBeGreaterThan(100);
  });
});

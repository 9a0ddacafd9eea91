import { describe, expect, test } from 'vitest';
import { MESSAGE_KINDS, MESSAGES } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { NUMBER_HEARD_MAX } from '../../server/bus/intake.ts';
import { refusePublish } from '../../server/bus/permission.ts';
import { topicOf } from '../../server/bus/topics.ts';

/** What someone else than the desk may say on the desk's own broker. The desk's word is that of the examples. */
function refuse(topic: string, payload: unknown, retain = false, word = 'q4x1'): string | null {
  const bytes = Buffer.from(typeof payload === 'string' ? payload : JSON.stringify(payload));
  return refusePublish({ root: 'yard', word }, topic, bytes, retain)?.why ?? null;
}

const other = { desk: 'z9z9', epoch: 13 };

describe('never from others', () => {
  test.each(['do', 'halt', 'notice'] as const)('%s, by whatever word', (kind) => {
    for (const word of ['q4x1', 'z9z9']) {
      expect(refuse(topicOf('yard', kind, 'ferry'), EXAMPLES[kind][0], false, word)).toBe(
        `only the desk may say ${kind}`,
      );
    }
  });

  test('a do by will, retained or malformed is no better', () => {
    expect(refuse('yard/prop/ferry/do', EXAMPLES.do[0], true)).toBe('retained, which a do never is');
    expect(refuse('yard/prop/ferry/do', 'go')).not.toBeNull();
    expect(refuse('yard/prop/ferry/do', '', true)).not.toBeNull();
  });

  test.each(['desk', 'heartbeat', 'announce'] as const)('%s in the name of this desk', (kind) => {
    expect(refuse(`yard/${kind}`, EXAMPLES[kind][0])).toBe(`a ${kind} in this desk's name from someone else`);
    expect(refuse(`yard/${kind}`, { ...EXAMPLES[kind][0], ...other })).toBeNull();
  });

  test('a clear, an empty message over the retained stop, a stop that can not be read', () => {
    expect(refuse('yard/stop', { ...other, latched: false, n: 8 }, true)).toBe(
      'only the desk may clear a stop',
    );
    expect(refuse('yard/stop', '', true)).toBe('empty');
    expect(refuse('yard/stop', { latched: true })).not.toBeNull();
  });

  test('an empty message over the retained desk', () => {
    expect(refuse('yard/desk', '', true)).toBe('empty');
  });

  test('numbers beyond all counting', () => {
    const far = NUMBER_HEARD_MAX + 1;
    expect(refuse('yard/stop', { ...other, latched: true, n: far })).not.toBeNull();
    expect(refuse('yard/heartbeat', { ...EXAMPLES.heartbeat[0], desk: 'z9z9', epoch: far })).not.toBeNull();
  });

  test.each(MESSAGE_KINDS.filter((kind) => !MESSAGES[kind].retain))('%s retained', (kind) => {
    const topic = topicOf('yard', kind, 'ferry');
    expect(refuse(topic, EXAMPLES[kind][0], true, 'another')).toBe(`retained, which a ${kind} never is`);
  });

  test('more than 4 KiB on a topic of the contract', () => {
    expect(refuse('yard/prop/ferry/sense/far', 'x'.repeat(4097))).toBe(
      '4097 bytes, at most 4096 are allowed',
    );
  });

  test("the broker's own topics", () => {
    expect(refuse('$SYS/x', 'x')).not.toBeNull();
  });
});

describe('from anyone', () => {
  test.each([true, false])('a latched stop (retained %s), under any word', (retain) => {
    expect(refuse('yard/stop', { ...other, latched: true, n: 9 }, retain)).toBeNull();
    expect(refuse('yard/stop', { ...other, desk: 'q4x1', latched: true, n: 9 }, retain)).toBeNull();
  });

  test.each(['link', 'beat', 'stopped', 'did', 'sense'] as const)(
    '%s, as the contract retains it',
    (kind) => {
      const topic = topicOf('yard', kind, 'ferry', 'far');
      expect(refuse(topic, EXAMPLES[kind][0], MESSAGES[kind].retain)).toBeNull();
    },
  );

  test('what is none of the contract', () => {
    expect(refuse('weather/rain', 'x'.repeat(9000), true)).toBeNull();
    expect(refuse('yard/prop/ferry/nod', 'x')).toBeNull();
  });
});

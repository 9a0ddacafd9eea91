import { describe, expect, it } from 'vitest';
import { MESSAGE_KINDS, MESSAGES } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { readPayload as deskReads } from '../../server/bus/payload.ts';
import { readTopic } from '../../server/bus/topics.ts';
import { Board } from '../../server/standin/board.ts';
import { seeded } from '../../server/standin/chance.ts';
import { examineOn } from '../../server/standin/exam.ts';
import { Machine } from '../../server/standin/physics.ts';
import { supplyOf } from '../../server/standin/supply.ts';
import { type Out, readPayload } from '../../server/standin/topics.ts';
import { FERRY, FERRYMAN, HATCH, MAT, SHED } from './saltmarsh.ts';
import { type BoardLike, VirtualBus } from './virtual-bus.ts';

/** The stand-ins read and write the contract by themselves; here the desk's reading is held against theirs. */

const bytes = (payload: unknown) => new TextEncoder().encode(JSON.stringify(payload));

/** Why the desk would not take this message, or null. */
function odd({ topic, payload, retain, qos }: Out): string | null {
  const address = readTopic('yard', topic);
  if (!address) return `${topic} is no topic of the contract`;
  const rule = MESSAGES[address.kind];
  const read = deskReads(address.kind, bytes(payload));
  if (!read.ok) return `${topic}: ${read.why}`;
  if (rule.retain !== retain || rule.qos !== qos) return `${topic}: retain ${retain}, QoS ${qos}`;
  return rule.by === 'controller' ? null : `${topic} is the desk's to say`;
}

it('every message of a board under examination is one that the desk takes, as the contract has it', async () => {
  const supply = supplyOf(new Map([['shed', SHED]]), 0);
  const props = [FERRY, FERRYMAN, HATCH, MAT];
  const machines = props.map((p, i) => new Machine(p, { atMs: 0, chance: seeded(i), supply }));
  const board = new Board({ controller: 'landing', root: 'yard', machines, chance: seeded(4), atMs: 0 });
  const kinds = new Set<string>();
  const wrong: string[] = [];
  const check = (outs: Out[]): Out[] => {
    for (const out of outs) {
      kinds.add(readTopic('yard', out.topic)?.kind ?? '');
      const why = odd(out);
      if (why) wrong.push(why);
    }
    return outs;
  };
  const heard: BoardLike = {
    controller: board.controller,
    subscriptions: board.subscriptions,
    dial: (at) => check([board.dial(at)])[0]!,
    connect: (at) => check(board.connect(at)),
    receive: (at, topic, payload, retained) => check(board.receive(at, topic, payload, retained)),
    advanceTo: (at) => check(board.advanceTo(at)),
    nextDue: () => board.nextDue(),
    reboot: (at) => check(board.reboot(at)),
  };
  const bus = new VirtualBus(heard);
  const said: string[] = [];
  const publish = bus.publish.bind(bus);
  bus.publish = (topic, payload, retain) => {
    const kind = readTopic('yard', topic)?.kind;
    if (kind && payload !== '' && deskReads(kind, new TextEncoder().encode(payload)).ok) said.push(kind);
    publish(topic, payload, retain);
  };
  const powerCycle = () => bus.powerCycle();
  const result = await examineOn(bus, 'landing', props, { mayMove: true, powerCycle }, 'examiner');
  expect(result.ok).toBe(true);
  expect(wrong).toEqual([]);
  expect([...kinds].sort()).toEqual(['beat', 'did', 'link', 'sense', 'stopped']);
  // and what the examiner says as a desk is what a desk says
  expect([...new Set(said)].sort()).toEqual(['announce', 'desk', 'do', 'halt', 'heartbeat', 'link', 'stop']);
});

describe('the published examples', () => {
  const ofDesk = MESSAGE_KINDS.filter((kind) => MESSAGES[kind].by === 'desk');
  const examples = ofDesk.flatMap((kind) => EXAMPLES[kind].map((e) => [MESSAGES[kind].path, e] as const));

  it.each(examples)('%s %j is heard', (path, example) => {
    const supply = supplyOf(new Map([['shed', SHED]]), 0);
    const machines = [FERRY, FERRYMAN].map((p) => new Machine(p, { atMs: 0, chance: seeded(1), supply }));
    const board = new Board({
      controller: 'ferry-board',
      root: 'yard',
      machines,
      chance: seeded(4),
      atMs: 0,
    });
    board.dial(0);
    board.connect(0);
    const prop = 'prop' in example ? example.prop : '';
    const outs = board.receive(0, `yard/${path.replace('{prop}', prop)}`, readPayload(bytes(example)), false);
    // Whoever hears a first desk reports; a notice is not for boards; a do of another session is refused.
    expect(outs.length > 0).toBe(path !== 'notice');
  });

  it('reads no payload that is too long, no UTF-8, no JSON object, or begins with a byte order mark', () => {
    const read = (text: string) => readPayload(new TextEncoder().encode(text));
    expect(read('{"a":1}')).toEqual({ a: 1 });
    for (const bad of ['', '[]', 'null', '3', '{', '\uFEFF{"a":1}', `{"a":"${'x'.repeat(4096)}"}`]) {
      expect(read(bad)).toBeNull();
    }
    expect(readPayload(new Uint8Array([0x7b, 0xff, 0x7d]))).toBeNull();
  });
});

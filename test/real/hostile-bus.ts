import mqtt from 'mqtt';
import { MESSAGES, type MessageKind, PAYLOAD_BYTES_MAX } from '../../server/bus/contract.ts';
import { EXAMPLES } from '../../server/bus/examples.ts';
import { BOARDS } from './landing.ts';
import { seeded } from './seeded.ts';

export interface HostileBus {
  /** Plants so many messages that no rule of the contract lets through; resolves to how many of them a desk must count. */
  plant(count: number): Promise<{ all: number; heard: number }>;
  /** Plants messages that parse, and are of sessions, runs, desks and stops that do not stand. */
  stale(count: number): Promise<void>;
  /** Plants what is larger than any packet may be. */
  huge(): Promise<void>;
  close(): void;
}

/** What a desk subscribes to on another's broker. */
const HEARD: readonly MessageKind[] = [
  'desk',
  'heartbeat',
  'stop',
  'link',
  'beat',
  'stopped',
  'do',
  'did',
  'sense',
];
const KINDS = Object.keys(MESSAGES) as MessageKind[];
const IDS = ['ferry', 'gull', 'hatch', 'bell', 'gate-button', 'nobody', '__proto__', 'constructor'];
const SENSORS = ['near', 'far', 'perch', 'button', 'nowhere', 'toString'];

/**
 * Someone on the bus with nothing good in mind, the same for the same seed. `greatest`: also plants numbers beyond all
 * counting.
 */
export async function hostile(url: string, seed: number, greatest: boolean): Promise<HostileBus> {
  const client = await mqtt.connectAsync(url, { protocolVersion: 4, reconnectPeriod: 100 });
  client.on('error', () => {});
  const chance = seeded(seed);
  const pick = <T>(of: readonly T[]): T => of[Math.floor(chance() * of.length)]!;
  const whole = (below: number): number => Math.floor(chance() * below);

  const topicOf = (kind: MessageKind, id = pick(IDS)): string =>
    `yard/${MESSAGES[kind].path.replace(/\{[^}]*\}/, id).replace(/\{[^}]*\}/, pick(SENSORS))}`;

  const bytes = (most: number): Buffer => Buffer.from(Array.from({ length: whole(most) }, () => whole(256)));
  /** Of epoch 0, so that a board that reads less strictly than the desk has no reason to follow it. */
  const example = (kind: MessageKind): Record<string, unknown> => {
    const payload = structuredClone(pick<unknown>(EXAMPLES[kind])) as Record<string, unknown>;
    return 'epoch' in payload ? { ...payload, epoch: 0 } : payload;
  };

  /** Payloads that are none, whatever the topic. */
  const NONE: readonly ((kind: MessageKind) => string | Buffer)[] = [
    () => bytes(300),
    () => Buffer.concat([Buffer.from('{"up":true,"x":"'), Buffer.from([0xc3, 0x28]), Buffer.from('"}')]),
    (kind) => JSON.stringify(example(kind)).slice(0, -1 - whole(10)),
    (kind) => `${JSON.stringify(example(kind))}}`,
    () => pick(['null', 'true', '7', '"stop"', '[]', '[{}]', '{}', '', ' ', '\u0000', 'NaN', '1e999']),
    () => `${'{"a":'.repeat(500)}1${'}'.repeat(500)}`,
    (kind) => JSON.stringify({ ...example(kind), padding: 'x'.repeat(PAYLOAD_BYTES_MAX) }),
    // one thing that it must have is gone, or is of another kind
    (kind) => {
      const payload = example(kind);
      // what a halted board says may be left out: those keys are no mistake
      const keys = Object.keys(payload).filter(
        (k) => kind !== 'did' || payload.is !== 'halted' || k === 'prop',
      );
      const key = pick(keys.filter((k) => !OPTIONAL.has(k)));
      if (chance() < 0.5) delete payload[key];
      else
        payload[key] = pick([null, [], {}, [payload[key]], -1, 1.5, 1e300, { ['__proto__']: payload[key] }]);
      return JSON.stringify(payload);
    },
  ];
  /** Fine in themselves, on a topic or of a thing where they can't be. */
  const MISPLACED: readonly (() => [string, string])[] = [
    () => ['yard/controller/nobody/beat', JSON.stringify(EXAMPLES.beat[0])],
    () => ['yard/controller/nobody/link', JSON.stringify(EXAMPLES.link[0])],
    () => ['yard/prop/nobody/sense/near', JSON.stringify({ ...EXAMPLES.sense[0], prop: 'nobody' })],
    () => ['yard/prop/ferry/sense/nowhere', JSON.stringify(EXAMPLES.sense[0])],
    // one prop's word on another's topic
    () => ['yard/prop/gull/sense/out', JSON.stringify(EXAMPLES.sense[0])],
    () => ['yard/prop/gull/did', JSON.stringify(pick(EXAMPLES.did))],
    () => ['yard/prop/ferry/did', JSON.stringify({ ...EXAMPLES.did[0], move: 'somersault' })],
    // an order to move from someone who is no desk of this yard
    () => ['yard/prop/ferry/do', JSON.stringify(EXAMPLES.do[0])],
  ];

  /**
   * Numbers that are meant to leave the desk without a greater one. Its own broker keeps them from the boards; on
   * another's, without an access list, the boards follow them as they must, and are lost until they are switched off and on.
   */
  const GREATEST: typeof MISPLACED = [
    () => ['yard/stop', JSON.stringify({ ...EXAMPLES.stop[0], n: Number.MAX_SAFE_INTEGER })],
    () => ['yard/heartbeat', JSON.stringify({ ...EXAMPLES.heartbeat[0], epoch: Number.MAX_SAFE_INTEGER })],
    () => ['yard/desk', JSON.stringify({ ...EXAMPLES.desk[0], epoch: Number.MAX_SAFE_INTEGER })],
  ];
  const wrong = greatest ? [...MISPLACED, ...GREATEST] : MISPLACED;

  const say = (topic: string, payload: string | Buffer): Promise<unknown> =>
    client.publishAsync(topic, payload, { qos: 1 });

  return {
    async plant(count) {
      let heard = 0;
      for (let sent = 0; sent < count; ) {
        const batch: Promise<unknown>[] = [];
        for (; batch.length < 100 && sent < count; sent += 1) {
          const kind = KINDS[sent % KINDS.length]!;
          if (chance() < 0.25) {
            const [topic, payload] = pick(wrong)();
            heard += 1;
            batch.push(say(topic, payload));
          } else {
            if (HEARD.includes(kind)) heard += 1;
            batch.push(say(topicOf(kind), pick(NONE)(kind)));
          }
        }
        await Promise.all(batch);
      }
      return { all: count, heard };
    },
    async stale(count) {
      for (let i = 0; i < count; i += 1) {
        const id = pick(['ferry', 'gull', 'hatch']);
        const session = `stale-${i % 7}`;
        const run = `2026-10-31.crossing.${i}`;
        const said = {
          prop: id,
          run,
          step: 0,
          move: id === 'ferry' ? 'out' : id === 'gull' ? 'swing' : 'fling',
          session,
        };
        const [near] = { ferry: ['near'], gull: ['perch'], hatch: ['shut'] }[id]!;
        await say(
          ...pick<[string, string]>([
            [
              `yard/prop/${id}/sense/${near}`,
              JSON.stringify({ prop: id, made: chance() < 0.5, session, n: i }),
            ],
            [`yard/prop/${id}/did`, JSON.stringify({ ...said, is: 'started' })],
            [`yard/prop/${id}/did`, JSON.stringify({ ...said, is: 'done', ms: 7 })],
            [`yard/prop/${id}/did`, JSON.stringify({ ...said, is: 'failed', why: 'driver' })],
            [`yard/controller/${pick(BOARDS)}/beat`, JSON.stringify({ session, n: i })],
            [`yard/controller/${pick(BOARDS)}/link`, JSON.stringify({ up: false, session })],
            [`yard/controller/${pick(BOARDS)}/stopped`, JSON.stringify({ n: 0, session, safe: true })],
            ['yard/heartbeat', JSON.stringify({ desk: 'zzzz', epoch: 0, n: i, silenceMs: 1000, stop: 0 })],
            ['yard/desk', JSON.stringify({ up: false, desk: 'zzzz', epoch: 0 })],
          ]),
        );
      }
    },
    async huge() {
      for (const size of [5000, 100_000, 2_000_000]) {
        await Promise.race([
          say('yard/controller/ferry/beat', Buffer.alloc(size, 'x')).catch(() => {}),
          new Promise((done) => setTimeout(done, 1000)),
        ]);
      }
    },
    close: () => void client.end(true),
  };
}

/** Keys that a payload may lack or bear otherwise. */
const OPTIONAL = new Set(['firmware', 'lastsMs']);

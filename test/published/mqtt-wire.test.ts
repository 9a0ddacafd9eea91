import { afterEach, expect, test } from 'vitest';
import { openBus } from '../../server/bus/client.ts';
import { curtBroker } from '../bus/curt-broker.ts';
import { landing, notebook, quietLog, until } from '../bus/rig.ts';

/**
 * The desk's own bytes on the wire, taken apart here by the standards' tables: OASIS MQTT 3.1.1 and 5.0, 2.2 (fixed
 * header), 3.1 (CONNECT), 3.3 (PUBLISH). No library reads them.
 */
const who = { desk: 'q4x1', epoch: 12 };
const left: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const leave of left.splice(0).reverse()) await leave();
});

interface WirePacket {
  readonly type: number;
  readonly flags: number;
  readonly body: Buffer;
}

/** 2.2: type in the upper, flags in the lower half of byte 1, then the remaining length, seven bits a byte. */
function packets(stream: Buffer): WirePacket[] {
  const found: WirePacket[] = [];
  for (let at = 0; at < stream.length; ) {
    const first = stream[at++]!;
    let length = 0;
    for (let power = 1; ; power *= 128) {
      const byte = stream[at++]!;
      length += (byte & 127) * power;
      if (byte < 128) break;
    }
    found.push({ type: first >> 4, flags: first & 15, body: stream.subarray(at, at + length) });
    at += length;
  }
  return found;
}

async function said(level: 4 | 5): Promise<WirePacket[]> {
  const broker = await curtBroker(level);
  left.push(() => broker.close());
  const bus = openBus({
    yard: landing(),
    at: { url: broker.url },
    word: who.desk,
    listener: notebook(),
    onConnection() {},
    log: quietLog,
  });
  left.push(() => bus.close());
  bus.begin(who);
  await until('the bus', () => bus.connected);
  bus.startMove(
    { kind: 'startMove', prop: 'ferry', run: 'r', step: 0, move: 'out', session: 'm', limitMs: 1 },
    who,
  );
  bus.stop(true, 1, who);
  bus.heartbeat(who, 1, 1);
  const stream = () => Buffer.concat(broker.taken);
  await until('all three', () => packets(stream()).filter((each) => each.type === 3).length === 3);
  return packets(stream());
}

test.each([4, 5] as const)(
  'CONNECT of level %i: clean, a retained will of QoS 1, keep-alive at most 10 s',
  async (level) => {
    const connect = (await said(level))[0]!;
    expect([connect.type, connect.flags]).toEqual([1, 0]);
    // 3.1.2.1: the name with its length; 3.1.2.2: the level; 3.1.2.3: flags
    expect(connect.body.subarray(0, 7).toString('latin1')).toBe(`\0\x04MQTT${String.fromCharCode(level)}`);
    // will retain 0x20, will QoS 1 0x08, will 0x04, clean 0x02; no user, no password, bit 0 reserved [3.1.2-3]
    expect(connect.body[7]).toBe(0x2e);
    const keepAlive = connect.body.readUInt16BE(8);
    expect(keepAlive).toBeGreaterThan(0);
    expect(keepAlive).toBeLessThanOrEqual(10);
  },
);

test.each([4, 5] as const)(
  'PUBLISH of level %i: do is QoS 0, not retained, not DUP; stop is QoS 1 and retained',
  async (level) => {
    const [start, stop, beat] = (await said(level)).filter((each) => each.type === 3);
    // 3.3.1: DUP 8, QoS 6, RETAIN 1; DUP must be 0 at QoS 0 [3.3.1-2]
    expect([start!.flags, stop!.flags, beat!.flags]).toEqual([0b0000, 0b0011, 0b0000]);
    const topic = (packet: WirePacket) => packet.body.toString('latin1', 2, 2 + packet.body.readUInt16BE(0));
    expect([start, stop, beat].map((packet) => topic(packet!))).toEqual([
      'yard/prop/ferry/do',
      'yard/stop',
      'yard/heartbeat',
    ]);
    // no packet identifier at QoS 0 [3.1.1: 2.3.1-5; 5: 2.2.1-2]: the payload, or the properties, follow the topic at once
    const rest = start!.body.subarray(2 + start!.body.readUInt16BE(0));
    if (level === 4) {
      expect(rest[0]).toBe('{'.charCodeAt(0));
    } else {
      // 5: 3.3.2.3: length of the properties, 5; identifier 2 (message expiry), four bytes of seconds
      expect([...rest.subarray(0, 6)]).toEqual([5, 2, 0, 0, 0, 1]);
      expect(rest[6]).toBe('{'.charCodeAt(0));
    }
  },
);

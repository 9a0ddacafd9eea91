import fc from 'fast-check';
import { generate } from 'mqtt-packet';
import { expect, test } from 'vitest';
import { packetMeter } from '../../server/bus/packet-meter.ts';

/** Lengths of the packets that were found too large, the stream cut into pieces at the given places. */
function measure(stream: Buffer, max: number, cuts: readonly number[] = []): number[] {
  const found: number[] = [];
  const meter = packetMeter(max, (bytes) => found.push(bytes));
  const places = [0, ...[...cuts].sort((a, b) => a - b), stream.length];
  for (const [at, from] of places.entries()) meter(stream.subarray(from, places[at + 1]));
  return found;
}

const publish = (bytes: number) =>
  generate({
    cmd: 'publish',
    topic: 'a/b',
    payload: Buffer.alloc(bytes, 0xff),
    qos: 0,
    dup: false,
    retain: false,
  });

// MQTT 3.1.1, table 2.4: the greatest lengths that one, two and three bytes of 'remaining length' can say
test.each([
  ['7f', 2 + 127],
  ['8001', 3 + 128],
  ['ff7f', 3 + 16_383],
  ['808001', 4 + 16_384],
  ['ffff7f', 4 + 2_097_151],
  ['ffffff7f', 5 + 268_435_455],
])('remaining length %s is a packet of %i bytes', (hex, bytes) => {
  const header = Buffer.from(`30${hex}`, 'hex');
  expect(measure(header, bytes)).toEqual([]);
  expect(measure(header, bytes - 1)).toEqual([bytes]);
});

test('says so from the header alone, before the body is there', () => {
  const found: number[] = [];
  const meter = packetMeter(100, (bytes) => found.push(bytes));
  meter(publish(5000).subarray(0, 3));
  expect(found).toHaveLength(1);
});

test('finds the same in any pieces: packets as another library writes them', () => {
  const sizes = fc.array(fc.nat(400), { minLength: 1, maxLength: 12 });
  fc.assert(
    fc.property(sizes, fc.array(fc.nat(5000)), fc.integer({ min: 8, max: 300 }), (bytes, cuts, max) => {
      const packets = bytes.map(publish);
      const stream = Buffer.concat(packets);
      const first = packets.find((each) => each.length > max);
      const wanted = first === undefined ? [] : [first.length];
      expect(
        measure(
          stream,
          max,
          cuts.filter((cut) => cut < stream.length),
        ),
      ).toEqual(wanted);
    }),
  );
});

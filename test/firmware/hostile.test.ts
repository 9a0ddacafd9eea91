import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Board } from './board.ts';
import { buildHost, compiler, Host } from './host.ts';

let built: ReturnType<typeof buildHost> | null = null;

beforeAll(() => {
  if (compiler) built = buildHost();
}, 120_000);
afterAll(() => built?.remove());

/** What the board's reader made of one text. */
interface Read {
  whole: boolean;
  text?: string;
  count?: string;
  truth?: boolean;
}

async function read(host: Host, text: string): Promise<Read> {
  const [said] = await host.ask(`json ${Buffer.from(text).toString('hex')}`);
  if (said?.kind !== 'json') throw new Error('no answer');
  const f = said.fields;
  const after = (name: string) => (f.includes(name) ? f[f.indexOf(name) + 1] : undefined);
  const out: Read = { whole: f[0] === '1' };
  const hex = after('text');
  if (f.includes('text')) out.text = Buffer.from(hex ?? '', 'hex').toString();
  if (f.includes('count')) out.count = after('count')!;
  if (f.includes('truth')) out.truth = after('truth') === '1';
  return out;
}

const isObject = (text: string) => {
  try {
    const v: unknown = JSON.parse(text);
    return typeof v === 'object' && v !== null && !Array.isArray(v);
  } catch {
    return false;
  }
};

/** JSON text with odd spacing and escapes, of objects that hold `a`. */
const documents = fc.record({
  a: fc.oneof(
    fc.string({ maxLength: 20 }),
    fc.integer(),
    fc.maxSafeNat(),
    fc.boolean(),
    fc.double(),
    fc.constant(null),
  ),
  b: fc.jsonValue({ maxDepth: 4 }),
  c: fc.string(),
});

describe.skipIf(!compiler)('what may come over the bus', () => {
  // ECMA-404 by the platform's own JSON.parse is the judge
  test('the reader takes an object for whole where JSON.parse does, and reads the same', async () => {
    const host = new Host(built!.program);
    await fc.assert(
      fc.asyncProperty(documents, fc.constantFrom(0, 1, 2), async (value, spaces) => {
        const text = JSON.stringify(value, null, spaces);
        const got = await read(host, text);
        expect(got.whole).toBe(true);
        const a: unknown = JSON.parse(text).a;
        const count = typeof a === 'number' && Number.isSafeInteger(a) && a >= 0 && !/e/i.test(String(a));
        expect(got.count).toBe(count ? String(Object.is(a, -0) ? 0 : a) : undefined);
        expect(got.truth).toBe(typeof a === 'boolean' ? a : undefined);
        const ascii = typeof a === 'string' && !a.includes('\0');
        if (ascii) expect(got.text).toBe(a);
        else expect(got.text).toBeUndefined();
      }),
      { numRuns: 400 },
    );
    host.end();
  });

  test('broken text is refused just where JSON.parse refuses it', async () => {
    const host = new Host(built!.program);
    const broken = fc.tuple(
      documents,
      fc.nat(),
      fc.constantFrom('"', '{', '}', ',', ':', '\\', '1', '', 'e', '-', '\u0001'),
    );
    await fc.assert(
      fc.asyncProperty(broken, async ([value, at, put]) => {
        const text = JSON.stringify(value);
        const i = at % text.length;
        const bent = text.slice(0, i) + put + text.slice(i + 1);
        expect((await read(host, bent)).whole, bent).toBe(isObject(bent));
      }),
      { numRuns: 600 },
    );
    for (const text of [
      '',
      '{',
      '[]',
      '1',
      '{}x',
      '{"a":01}',
      '{"a":1.}',
      '{"a":+1}',
      '{"a" 1}',
      '{"a":1,}',
      '{"a":tru}',
    ])
      expect((await read(host, text)).whole, text).toBe(false);
    for (const text of ['{}', ' {"a":-0.5e+3} ', '{"a":[1,[2]],"a":7}'])
      expect((await read(host, text)).whole, text).toBe(true);
    expect((await read(host, '{"a":1,"a":7}')).count).toBe('7');
    expect((await read(host, '{"a":9007199254740992}')).count).toBeUndefined();
    expect((await read(host, '{"\\u0061":"\\u0066erry"}')).text).toBe('ferry');
    expect((await read(host, `{"b":${'['.repeat(500)}`)).whole).toBe(false);
    host.end();
  });

  test('no bytes on any topic move it or make it stumble', async () => {
    const board = new Board(built!.program);
    await board.ready();
    const paths = [
      'stop',
      'heartbeat',
      'desk',
      'announce',
      'prop/ferry/do',
      'prop/ferry/halt',
      'controller/ferry/link',
    ];
    const order = Buffer.from(JSON.stringify(board.order({ session: 'k3f8' })));
    const bytes = fc.oneof(
      fc.uint8Array({ maxLength: 300 }),
      fc
        .uint8Array({ maxLength: 4 })
        .chain((put) =>
          fc
            .nat(order.length)
            .map((at) => Uint8Array.from([...order.subarray(0, at), ...put, ...order.subarray(at)])),
        ),
      fc.jsonValue().map((v) => Uint8Array.from(Buffer.from(JSON.stringify(v)))),
      fc.constant(Uint8Array.from(Buffer.from(`{"x":"${'y'.repeat(4087)}"}`))),
      fc.constant(Uint8Array.from(Buffer.from(`{"x":"${'y'.repeat(5000)}"}`))),
    );
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...paths), bytes, async (path, payload) => {
        await board.hears(path, payload);
        await board.pass(10);
        expect(board.drives).toEqual([]);
      }),
      { numRuns: 800 },
    );
    board.host.end();
  });

  test('a large payload with keys that it does not know is obeyed', async () => {
    const board = new Board(built!.program);
    await board.ready();
    await board.do();
    const stop = { latched: true, n: 8, ...board.desk, later: { any: ['thing', 1, null] }, pad: '' };
    stop.pad = 'p'.repeat(4096 - JSON.stringify(stop).length);
    await board.hears('stop', stop);
    expect(board.motor).toBe('off');
    board.host.end();
  });
});

import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { Board } from './board.ts';
import { buildHost, checkSketch, compiler } from './host.ts';

let built: ReturnType<typeof buildHost> | null = null;
const boards: Board[] = [];

beforeAll(() => {
  if (compiler) built = buildHost();
}, 120_000);
afterAll(() => built?.remove());
afterEach(() => {
  for (const b of boards.splice(0)) b.host.end();
});

function board(zero = 0): Board {
  const b = new Board(built!.program, zero);
  boards.push(b);
  return b;
}

async function ready(zero = 0): Promise<Board> {
  const b = board(zero);
  await b.ready();
  return b;
}

const ofTopic = (b: Board, end: string) => b.messages.filter((m) => m.topic.endsWith(end));
const lastDid = (b: Board) => ofTopic(b, '/did').at(-1)!.payload;

describe.skipIf(!compiler)('the carriage on a board of its own', () => {
  test('the sketch compiles against the declarations of its core', () => checkSketch(), 60_000);

  describe('1 and 2: power-up and connection', () => {
    test('nothing moves and nothing is said before it is connected', async () => {
      const b = board();
      await b.pass(5000);
      await b.hears('prop/ferry/do', {
        ...b.desk,
        prop: 'ferry',
        run: 'r',
        step: 0,
        move: 'out',
        session: 's',
        limitMs: 9000,
      });
      expect(b.trace).toEqual([]);
    });

    test('its will and its subscriptions are those of the contract', async () => {
      const b = board();
      expect(await b.host.ask('will k3f9')).toEqual([
        { kind: 'will', fields: ['yard/controller/ferry/link', '{"up":false,"session":"k3f9"}'] },
      ]);
      const topics = (await b.host.ask('subscriptions')).map((s) => ('fields' in s ? s.fields[0] : ''));
      for (const t of [
        'stop',
        'heartbeat',
        'announce',
        'controller/ferry/link',
        'prop/ferry/do',
        'prop/ferry/halt',
      ])
        expect(topics).toContain(`yard/${t}`);
    });

    test('it says link, then both sensors, then beats', async () => {
      const b = board();
      await b.tick();
      await b.connect('k3f9');
      await b.pass(250, { silent: true });
      expect(b.messages.map((m) => m.topic.replace('yard/', ''))).toEqual([
        'controller/ferry/link',
        'prop/ferry/sense/far',
        'prop/ferry/sense/near',
      ]);
      expect(b.messages[0]!.payload).toMatchObject({
        up: true,
        session: 'k3f9',
        first: 'k3f9',
        props: ['ferry'],
        stop: 0,
      });
      expect(b.messages[2]!.payload).toMatchObject({ made: true, session: 'k3f9', n: 0 });
      expect(b.beats).toHaveLength(1);
    });

    test('what the broker had kept neither moves it nor counts as a heartbeat', async () => {
      const b = board();
      await b.tick();
      await b.connect('k3f9');
      await b.heartbeat();
      await b.hears('prop/ferry/do', {
        ...b.desk,
        prop: 'ferry',
        run: 'r',
        step: 0,
        move: 'out',
        session: 'k3f9',
        limitMs: 9000,
      });
      await b.hears('desk', { up: true, ...b.desk, contract: 1 });
      await b.pass(210, { silent: true });
      expect(ofTopic(b, '/did')).toEqual([]);
      await b.do();
      expect(b.dids()).toEqual(['refused:heartbeat']);
      expect(b.drives).toEqual([]);
    });

    test('each connection is a new session, and first is the one that its will bears', async () => {
      const b = await ready();
      await b.disconnect();
      await b.connect('n8w2');
      await b.pass(250);
      expect(ofTopic(b, '/link')[0]!.payload).toMatchObject({ session: 'n8w2', first: 'n8w2', epoch: 12 });
      b.take();
      await b.pass(1500, { silent: true });
      await b.heartbeat();
      expect(ofTopic(b, '/link').at(-1)!.payload).toMatchObject({ first: 'n8w2' });
      expect(b.session).not.toBe('n8w2');
    });

    test('it says all again on announce, and on a late will of its own', async () => {
      const b = await ready();
      for (const [path, payload] of [
        ['announce', b.desk],
        ['controller/ferry/link', { up: false, session: 'old' }],
      ] as const) {
        await b.hears(path, payload);
        expect(b.take().map((m) => m.topic.split('/').at(-1))).toEqual(['link', 'far', 'near']);
      }
      await b.hears('controller/ferry/link', { up: true, session: 'k3f9' });
      expect(b.take()).toEqual([]);
    });

    test('beats come at least every third of the silence', async () => {
      const b = await ready();
      await b.pass(10_000);
      expect(b.beats.length).toBeGreaterThanOrEqual(30);
      const numbers = b.beats.map((x) => x.n as number);
      expect(numbers).toEqual(numbers.map((_, i) => numbers[0]! + i));
      b.take();
      for (let i = 0; i < 20; i++) {
        await b.heartbeat({ silenceMs: 500 });
        await b.pass(100, { silent: true });
      }
      expect(b.beats.length).toBeGreaterThanOrEqual(12);
    });
  });

  describe('3 and 4: a do and what becomes of it', () => {
    test('started when energised, done at its sensor, with its time', async () => {
      const b = await ready();
      await b.do();
      expect(b.motor).toBe('out');
      expect(b.dids()).toEqual(['started']);
      await b.pass(300);
      b.near = false;
      await b.pass(5700);
      b.far = true;
      await b.pass(20);
      expect(b.motor).toBe('off');
      const [far, did] = b.messages.slice(-2);
      expect(far!.payload).toMatchObject({ made: true, n: 1 });
      expect(did!.payload).toMatchObject({ is: 'done', run: '2026-10-31.crossing.17', step: 0, move: 'out' });
      // the sensor counts once it has stood still for 5 ms, seen in passes of 10 ms
      expect(did!.payload.ms).toBeGreaterThanOrEqual(6000);
      expect(did!.payload.ms).toBeLessThanOrEqual(6020);
    });

    test.each([
      ['session', { session: 'other' }],
      ['epoch', { epoch: 11 }],
      ['epoch', { desk: 'a000' }],
      ['unknown', { move: 'fly' }],
    ])('refused for %s: %j', async (why, more) => {
      const b = await ready();
      await b.do(more);
      expect(b.dids()).toEqual([`refused:${why}`]);
      expect(b.drives).toEqual([]);
    });

    test('refused while busy; what was refused is not remembered', async () => {
      const b = await ready();
      await b.do();
      await b.do({ step: 1, move: 'back' });
      expect(b.dids()).toEqual(['started', 'refused:busy']);
      await b.hears('prop/ferry/halt', { prop: 'ferry', epoch: 12, why: 'test' });
      await b.pass(400);
      await b.do({ step: 1, move: 'back' });
      // near is made: it is there already, and the motor stays off
      expect(b.dids()).toEqual(['halted', 'started', 'done']);
      expect(b.drives).toEqual(['out', 'off']);
    });

    test('the same run and step again is answered and not done again', async () => {
      const b = await ready();
      await b.do();
      await b.do();
      expect(b.dids()).toEqual(['started', 'started']);
      b.near = false;
      await b.pass(1000);
      b.far = true;
      await b.pass(20);
      b.take();
      b.far = false;
      await b.pass(500);
      await b.do();
      expect(b.dids()).toEqual(['done']);
      expect(b.drives).toEqual(['out', 'off']);
    });

    test('its own watch ends a move at limitMs, counted from energising', async () => {
      const b = await ready();
      await b.do({ limitMs: 2000 });
      b.near = false;
      await b.pass(1990);
      expect(b.motor).toBe('out');
      await b.pass(20);
      expect(b.motor).toBe('off');
      expect(b.dids()).toEqual(['started', 'failed:limit']);
    });

    test('and at its own longest, whatever it was told', async () => {
      const b = await ready();
      await b.do({ limitMs: 9_000_000_000 });
      b.near = false;
      await b.pass(19_900, { stepMs: 50 });
      expect(b.motor).toBe('out');
      await b.pass(200);
      expect(b.motor).toBe('off');
    });

    test('both ends made: it can not know where it is and does not go', async () => {
      const b = await ready();
      b.far = true;
      await b.pass(20);
      b.take();
      await b.do();
      expect(b.dids()).toEqual(['failed:both-ends']);
      expect(b.drives).toEqual([]);
    });

    test('lamps that go dark in mid-move stop it', async () => {
      const b = await ready();
      await b.do();
      b.near = false;
      await b.pass(1000);
      b.near = true;
      b.far = true;
      await b.pass(20);
      expect(b.motor).toBe('off');
      expect(b.dids().at(-1)).toBe('failed:both-ends');
    });

    test('it pauses before it turns back, and says started only then', async () => {
      const b = await ready();
      await b.do();
      b.near = false;
      await b.pass(1000);
      b.far = true;
      await b.pass(20);
      b.take();
      await b.do({ step: 1, move: 'back' });
      expect([b.motor, b.dids()]).toEqual(['off', []]);
      await b.do({ step: 1, move: 'back' });
      expect(b.dids()).toEqual([]);
      await b.pass(310);
      expect([b.motor, b.dids()]).toEqual(['back', ['started']]);
    });
  });

  describe('5: silence and another desk', () => {
    test('outputs off after silenceMs without a heartbeat, and a new session, said when it is back', async () => {
      const b = await ready();
      const before = b.session;
      await b.heartbeat();
      await b.do();
      b.near = false;
      await b.pass(1000, { silent: true });
      expect(b.motor).toBe('out');
      await b.pass(20, { silent: true });
      expect(b.motor).toBe('off');
      b.take();
      await b.pass(3000, { silent: true });
      expect(ofTopic(b, '/link')).toEqual([]);
      await b.heartbeat();
      expect(ofTopic(b, '/link')).toHaveLength(1);
      expect(b.session).not.toBe(before);
      await b.do({ session: before });
      expect(b.dids().at(-1)).toBe('refused:session');
    });

    test('the silence is the one that the heartbeat tells', async () => {
      const b = await ready();
      await b.heartbeat({ silenceMs: 3000 });
      await b.do();
      b.near = false;
      await b.pass(2990, { silent: true });
      expect(b.motor).toBe('out');
      await b.pass(20, { silent: true });
      expect(b.motor).toBe('off');
    });

    test.each([0, 499, 60_001, 3_600_000])('no heartbeat may set the silence to %d ms', async (silenceMs) => {
      const b = await ready();
      await b.heartbeat();
      await b.do();
      b.near = false;
      for (let i = 0; i < 5; i++) {
        await b.pass(250, { silent: true });
        await b.heartbeat({ silenceMs });
      }
      expect(b.motor).toBe('off');
    });

    test('a heartbeat that lay in a queue for longer than the silence is none', async () => {
      const b = await ready();
      await b.heartbeat();
      await b.pass(1500, { silent: true });
      b.take();
      await b.heartbeat({}, 1200);
      expect(b.take()).toEqual([]);
      await b.heartbeat({}, 900);
      expect(ofTopic(b, '/link')).toHaveLength(1);
      b.take();
      await b.pass(150, { silent: true });
      await b.do();
      expect(b.dids()).toEqual(['refused:session']);
    });

    test('after a loop that stood still nothing in hand is fresh', async () => {
      const b = await ready();
      await b.do();
      b.near = false;
      await b.pass(500);
      const held = b.order({ run: 'later', step: 0 });
      b.now += 4000;
      await b.tick();
      expect(b.motor).toBe('off');
      await b.hears('heartbeat', { ...b.desk, n: 1, silenceMs: 1000, stop: 0 }, 500);
      b.take();
      await b.hears('prop/ferry/do', held, 500);
      expect(b.dids()).toEqual(['refused:session']);
    });

    test('when the dead man cut the outputs, what was under way has ended', async () => {
      const b = await ready();
      const before = b.session;
      await b.do();
      await b.stumble();
      expect(b.motor).toBe('off');
      expect(b.session).not.toBe(before);
    });

    test.each([
      { desk: 'a000', epoch: 13 },
      { desk: 'q4x2', epoch: 12 },
    ])('a higher desk %j: outputs off, a new session, and only that one is followed', async (higher) => {
      const b = await ready();
      const [before, lower] = [b.session, b.desk];
      await b.do();
      await b.heartbeat(higher);
      expect(b.motor).toBe('off');
      expect(b.session).not.toBe(before);
      expect(ofTopic(b, '/link').at(-1)!.payload).toMatchObject({ epoch: higher.epoch });
      b.take();
      await b.heartbeat(lower);
      await b.do(lower);
      expect(b.dids()).toEqual(['refused:epoch']);
      await b.pass(310, { silent: true });
      await b.do(higher);
      expect(b.dids()).toEqual(['started']);
    });

    test('a lower desk keeps nothing alive', async () => {
      const b = await ready();
      await b.heartbeat();
      await b.do();
      b.near = false;
      for (let i = 0; i < 5; i++) {
        await b.pass(250, { silent: true });
        await b.heartbeat({ epoch: 11 });
      }
      expect(b.motor).toBe('off');
    });

    test('the link gone: outputs off', async () => {
      const b = await ready();
      await b.do();
      await b.disconnect();
      expect(b.motor).toBe('off');
    });
  });

  describe('6: stop', () => {
    const latched = { latched: true, n: 8, desk: 'q4x1', epoch: 12 };

    test('outputs off, stopped with a new session, link with the number, refusing until it is cleared', async () => {
      const b = await ready();
      const before = b.session;
      await b.do();
      b.take();
      await b.hears('stop', latched);
      expect(b.motor).toBe('off');
      expect(b.messages.map((m) => m.topic.split('/').at(-1))).toEqual(['stopped', 'link', 'far', 'near']);
      expect(b.messages[0]!.payload).toEqual({ n: 8, session: b.session, safe: true });
      expect(b.messages[1]!.payload).toMatchObject({ stop: 8 });
      expect(b.session).not.toBe(before);
      b.take();
      await b.hears('stop', latched);
      expect(b.take()).toEqual([]);
      await b.do();
      expect(b.dids()).toEqual(['refused:stopped']);
      for (const [clear, then] of [
        [{ ...latched, latched: false, n: 7 }, 'refused:stopped'],
        [{ ...latched, latched: false, epoch: 11 }, 'refused:stopped'],
        [{ ...latched, latched: false }, 'started'],
      ] as const) {
        await b.pass(310);
        await b.hears('stop', clear);
        await b.do();
        expect(b.dids()).toEqual([then]);
      }
    });

    test('a heartbeat that tells of a stop stops too; a late one after the clear does not', async () => {
      const b = await ready();
      await b.do();
      b.stop = 8;
      await b.heartbeat();
      expect(b.motor).toBe('off');
      expect(ofTopic(b, '/stopped')).toHaveLength(1);
      b.stop = 0;
      await b.hears('stop', { ...latched, latched: false });
      b.take();
      await b.heartbeat({ stop: 8 });
      await b.heartbeat({ stop: 7 });
      await b.hears('stop', latched);
      expect(b.take()).toEqual([]);
      await b.pass(310);
      await b.do();
      expect(b.dids()).toEqual(['started']);
    });

    test('any desk may stop it, even a lower one', async () => {
      const b = await ready();
      await b.do();
      await b.hears('stop', { ...latched, epoch: 3, desk: 'zzzz' });
      expect(b.motor).toBe('off');
    });

    test('a stop that the broker kept is obeyed on connecting, and told in link', async () => {
      const b = board();
      await b.tick();
      await b.connect('k3f9');
      await b.hears('stop', latched);
      await b.pass(600);
      expect(ofTopic(b, '/link').at(-1)!.payload).toMatchObject({ stop: 8 });
      b.take();
      await b.do();
      expect(b.dids()).toEqual(['refused:stopped']);
    });

    test('a higher stop over a latched one is obeyed anew', async () => {
      const b = await ready();
      await b.hears('stop', latched);
      b.take();
      await b.hears('stop', { ...latched, n: 9 });
      expect(ofTopic(b, '/stopped').map((m) => m.payload.n)).toEqual([9]);
      b.take();
      await b.hears('stop', { ...latched, latched: false, n: 8 });
      await b.do();
      expect(b.dids()).toEqual(['refused:stopped']);
    });
  });

  describe('7 and 8: halt, and what made means', () => {
    test('halt ends the move without a new session, and is answered at rest too', async () => {
      const b = await ready();
      const before = b.session;
      const halt = { prop: 'ferry', epoch: 12, why: 'interlock' };
      await b.hears('prop/ferry/halt', halt);
      expect(b.dids()).toEqual(['halted']);
      await b.do();
      await b.hears('prop/ferry/halt', halt);
      expect(b.motor).toBe('off');
      expect(lastDid(b)).toMatchObject({ is: 'halted', run: '2026-10-31.crossing.17' });
      expect(b.dids()).toEqual(['started', 'halted']);
      await b.hears('prop/ferry/halt', halt);
      expect(b.dids()).toEqual(['halted']);
      expect(b.session).toBe(before);
    });

    test("another prop's halt or do on its topic changes nothing", async () => {
      const b = await ready();
      await b.do({ prop: 'ferryman' });
      expect(b.take()).toEqual([]);
      await b.do();
      await b.hears('prop/ferry/halt', { prop: 'ferryman', epoch: 12, why: 'x' });
      expect(b.motor).toBe('out');
    });

    test('a reading that trembles is one edge, once it stands', async () => {
      const b = await ready();
      for (let i = 0; i < 10; i++) {
        b.near = i % 2 === 1;
        await b.pass(2, { stepMs: 2 });
      }
      expect(b.take()).toEqual([]);
      b.near = false;
      await b.pass(10, { stepMs: 1 });
      const [edge] = b.take();
      expect(edge!.payload).toMatchObject({ made: false, n: 1 });
    });
  });

  describe('the clock of 32 bits', () => {
    /** A whole evening's script; with the clock anywhere it must go the same way. */
    async function script(zero: number): Promise<string[]> {
      const b = await ready(zero);
      await b.do();
      b.near = false;
      await b.pass(3000);
      b.far = true;
      await b.pass(100);
      await b.do({ step: 1, move: 'back' });
      await b.pass(500);
      b.far = false;
      await b.pass(1500, { silent: true });
      await b.pass(1000);
      await b.do({ run: 'next', limitMs: 1500 });
      await b.pass(2000);
      return b.trace;
    }

    // 2^32 ms = 49 d 17 h 2 min 47.296 s: the wrap falls into each part of the script in turn
    test.each([700, 2500, 3700, 4100, 5200, 6500, 8000])(
      'wraps %d ms after the start of the script',
      async (ms) => {
        expect(await script(2 ** 32 - ms)).toEqual(await script(0));
      },
    );

    test('a silence as long as the clock itself is still a silence', async () => {
      const b = await ready();
      await b.pass(1100, { silent: true });
      b.now += 2 ** 32 - 1000;
      b.take();
      await b.do();
      expect(b.dids()).toEqual(['refused:session']);
      await b.tick();
      b.now += 200;
      await b.hears('announce', b.desk);
      await b.do();
      expect(b.dids()).toEqual(['refused:heartbeat']);
    });
  });
});

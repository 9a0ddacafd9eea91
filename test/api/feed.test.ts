import fc from 'fast-check';
import { io, type Socket } from 'socket.io-client';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import WebSocket from 'ws';
import { type Beat, type FeedChange, mergeChanges } from '../../server/api/feed-words.ts';
import type { PictureChange } from '../../server/desk-door.ts';
import type { Picture } from '../../server/picture.ts';
import { soon, TestYard } from './harness.ts';
import { lay, prop, saltmarsh } from './scripted-door.ts';

let yard: TestYard;
const pages: Page[] = [];
beforeEach(async () => {
  yard = await TestYard.start();
});
afterEach(async () => {
  for (const page of pages.splice(0)) page.socket.close();
  await yard.end();
});

/** A page as feed-words.ts says a page should be. */
class Page {
  readonly socket: Socket;
  picture: Picture | null = null;
  pictures = 0;
  readonly changes: FeedChange[] = [];
  readonly beats: Beat[] = [];
  gaps = 0;

  constructor(transport: 'websocket' | 'polling' = 'websocket') {
    this.socket = io(`http://${yard.host}`, { transports: [transport], reconnection: false, forceNew: true });
    this.socket.on('picture', (picture: Picture) => {
      this.picture = picture;
      this.pictures += 1;
    });
    this.socket.on('change', (change: FeedChange) => {
      this.changes.push(change);
      const have = this.picture?.seq ?? Number.NEGATIVE_INFINITY;
      if (change.from > have) this.gaps += 1;
      else if (change.seq > have && this.picture) this.picture = lay(this.picture, change);
    });
    this.socket.on('beat', (beat: Beat) => this.beats.push(beat));
    pages.push(this);
  }

  async joined(): Promise<this> {
    await soon(() => this.picture).not.toBeNull();
    return this;
  }

  async at(seq: number): Promise<void> {
    await soon(() => this.picture?.seq).toBe(seq);
  }
}

const figure = async (name: string) =>
  Number(new RegExp(`^dusklatch_${name} (\\S+)$`, 'm').exec((await yard.get('/metrics')).text)?.[1]);

describe.each(['websocket', 'polling'] as const)('a page by %s', (transport) => {
  it('gets the picture on joining, then what changed', async () => {
    const page = await new Page(transport).joined();
    expect(page.picture).toEqual(saltmarsh());
    yard.now += 250;
    yard.door.turn({ set: { mode: 'held' }, props: { ferry: prop('Ferry', { at: 'far' }) } });
    await page.at(101);
    expect(page.changes).toEqual([
      {
        from: 100,
        seq: 101,
        at: yard.now,
        set: { mode: 'held' },
        props: { ferry: prop('Ferry', { at: 'far' }) },
      },
    ]);
    expect(page.picture).toEqual(yard.door.state);
  });

  it('gets a beat with the time and the number it should have', async () => {
    const page = await new Page(transport).joined();
    yard.door.turn({ set: { notes: ['Disk nearly full.'] } });
    await soon(() => page.beats.some((b) => b.seq === 101)).toBe(true);
    expect(page.picture?.seq).toBe(101);
    expect(page.beats.every((b) => b.at === yard.now)).toBe(true);
  });
});

describe('changes', () => {
  it('end where the desk is, whatever the bursts, for whoever joins when', async () => {
    const turn = fc.record({
      mode: fc.option(fc.constantFrom('open', 'held', 'closing'), { nil: undefined }),
      id: fc.constantFrom('ferry', 'hatch', 'constructor', 'gull'),
      at: fc.option(fc.constantFrom('near', 'far', 'gone'), { nil: null }),
      next: fc.constantFrom('at once', 'at once', 'at once', 'wait', 'join'),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(turn, { minLength: 1, maxLength: 25 }), async (turns) => {
        const here = [await new Page().joined()];
        for (const { mode, id, at, next } of turns) {
          const changed = at === 'gone' ? null : prop(id, { at });
          // A prop that is gone is told as null, which the page's type for it does not say.
          yard.door.turn({
            set: mode ? { mode: mode as Picture['mode'] } : {},
            props: { [id]: changed } as NonNullable<PictureChange['props']>,
          });
          if (next === 'wait') await here[0]!.at(yard.door.state.seq);
          if (next === 'join') here.push(new Page());
        }
        for (const page of here) {
          await page.at(yard.door.state.seq);
          expect({ ...page.picture, at: 0 }).toEqual({ ...yard.door.state, at: 0 });
          expect(page.gaps).toBe(0);
          expect(page.pictures).toBe(1);
          page.socket.close();
        }
      }),
      { numRuns: 25 },
    );
  });

  it('come gathered, each beginning where the last one ended', async () => {
    const page = await new Page().joined();
    for (let i = 0; i < 40; i += 1) {
      yard.door.turn({
        set: {},
        circuits: { garage: { title: 'Garage', amps: i, limitAmps: 12, breakerAmps: 15 } },
      });
      if (i % 8 === 7) await new Promise((resolve) => setImmediate(resolve));
    }
    await page.at(140);
    expect(page.changes.length).toBeLessThan(40);
    let have = 100;
    for (const change of page.changes) {
      expect(change.from).toBe(have);
      have = change.seq;
    }
    expect(page.picture?.circuits.garage?.amps).toBe(39);
  });

  it('that tell a stop or a mode wait for nothing', async () => {
    await yard.end();
    yard = await TestYard.start({ pace: { gatherMs: 1e8, beatMs: 1e8 } });
    const page = await new Page().joined();
    yard.door.turn({ set: { notes: ['first, at once'] } });
    await page.at(101);
    yard.door.turn({ set: { notes: ['gathered'] } });
    yard.door.turn({ set: { stop: { ...yard.door.state.stop, latched: true, n: 8 } } });
    await page.at(103);
    expect(page.picture?.stop.n).toBe(8);
    yard.door.turn({ set: { mode: 'stopped' } });
    await page.at(104);
    expect(page.changes.map((c) => [c.from, c.seq])).toEqual([
      [100, 101],
      [101, 103],
      [103, 104],
    ]);
  });

  it('that are still gathered go out before someone joins', async () => {
    await yard.end();
    yard = await TestYard.start({ pace: { gatherMs: 1e8, beatMs: 1e8 } });
    const early = await new Page().joined();
    for (const notes of [['one'], ['two'], ['three']]) {
      yard.door.turn({ set: { notes } });
      if (notes[0] === 'one') await early.at(101);
    }
    const late = await new Page().joined();
    expect(late.picture?.seq).toBe(103);
    await early.at(103);
    yard.door.turn({ set: { mode: 'held' } });
    await late.at(104);
    expect(late.changes.map((c) => [c.from, c.seq])).toEqual([[103, 104]]);
  });

  it('that are still gathered go out with the beat', async () => {
    await yard.end();
    yard = await TestYard.start({ pace: { gatherMs: 1e8, beatMs: 25 } });
    const page = await new Page().joined();
    yard.door.turn({ set: { notes: ['first'] } });
    yard.door.turn({ set: { notes: ['second'] } });
    await page.at(102);
    yard.door.turn({ set: { notes: ['third'] } });
    await page.at(103);
  });

  it('are not sent within the turn of the desk', async () => {
    const page = await new Page().joined();
    const unsendable = { toJSON: () => assertNotInTurn() };
    let inTurn = true;
    const assertNotInTurn = () => (inTurn ? 'in turn' : 'after it');
    yard.door.turn({ set: { notes: [unsendable as unknown as string] } });
    inTurn = false;
    await page.at(101);
    expect(page.picture?.notes).toEqual(['after it']);
  });

  it('merge as if they had been laid one after the other', () => {
    const part = fc.dictionary(
      fc.constantFrom('ferry', 'hatch', 'constructor', '__proto__'),
      fc.constantFrom(null, 1, 2),
    );
    const change = fc.record(
      {
        set: fc.record({ mode: fc.constantFrom('open', 'held') }, { requiredKeys: [] }),
        props: part,
        zones: part,
      },
      { requiredKeys: ['set'] },
    );
    fc.assert(
      fc.property(change, change, (one, two) => {
        const earlier = { ...one, seq: 101, at: 1 } as unknown as PictureChange;
        const later = { ...two, seq: 102, at: 2 } as unknown as PictureChange;
        const start = saltmarsh();
        expect(lay(start, mergeChanges(earlier, later))).toEqual(lay(lay(start, earlier), later));
      }),
    );
  });
});

/** A page by the bare protocol, so that it can stop reading. Engine.IO 4: 0 open, 2 ping, 3 pong, 4 message. */
async function bare(): Promise<{ ws: WebSocket; got: (string | [string, FeedChange])[] }> {
  const ws = new WebSocket(`ws://${yard.host}/socket.io/?EIO=4&transport=websocket`);
  const got: (string | [string, FeedChange])[] = [];
  ws.on('error', () => {});
  ws.on('message', (data) => {
    const text = data.toString();
    if (text.startsWith('0')) ws.send('40');
    else if (text === '2') ws.send('3');
    else if (text.startsWith('42')) got.push(JSON.parse(text.slice(2)) as [string, FeedChange]);
  });
  await soon(() => got.length).toBeGreaterThan(0);
  return { ws, got };
}

/** A turn that changes 300 props, some 150 KB. */
function largeTurn(): void {
  const props = Object.fromEntries(
    Array.from({ length: 300 }, (_, i) => [`prop-${i}`, prop(`Prop ${i} ${'x'.repeat(100)}`)]),
  );
  yard.door.turn({ set: {}, props });
}

describe('a page that does not keep up', () => {
  it('is passed over, sees the gap, asks anew and goes on; the others miss nothing', async () => {
    await yard.end();
    yard = await TestYard.start({ pace: { gatherMs: 0, beatMs: 1e8 } });
    const fast = await new Page().joined();
    const slow = await bare();
    slow.ws.pause();
    let turns = 0;
    while ((await figure('feed_behind_total')) === 0) {
      for (let i = 0; i < 10; i += 1) {
        largeTurn();
        turns += 1;
        await fast.at(yard.door.state.seq);
      }
      if (turns > 2_000) throw new Error('never behind');
    }
    for (let i = 0; i < 20; i += 1) {
      largeTurn();
      await fast.at(yard.door.state.seq);
    }
    const missed = yard.door.state.seq;
    slow.ws.resume();
    // It is told again once it has taken what waited, and the first change it then gets begins after a gap.
    const last = () => slow.got.at(-1)?.[1] as FeedChange;
    while (last().seq <= missed) {
      yard.door.turn({ set: { notes: [`note ${yard.door.state.seq}`] } });
      await fast.at(yard.door.state.seq);
    }
    const changes = slow.got.slice(1).map((m) => m[1] as FeedChange);
    const gaps = changes.filter((c, i) => c.from !== (i === 0 ? 100 : changes[i - 1]!.seq));
    expect(gaps).toHaveLength(1);
    const anew = (await yard.get('/api/yard')).json as Picture;
    expect(anew.seq).toBe(yard.door.state.seq);
    yard.door.turn({ set: { notes: ['after'] } });
    await soon(() => last().seq).toBe(anew.seq + 1);
    expect(last().from).toBeLessThanOrEqual(anew.seq);
    expect(lay(anew, last()).notes).toEqual(['after']);
    expect(fast.gaps).toBe(0);
    expect(fast.picture?.seq).toBe(yard.door.state.seq);
    slow.ws.terminate();
  });

  it('is let go if it stays behind', async () => {
    const fast = await new Page().joined();
    const slow = await bare();
    slow.ws.pause();
    let turns = 0;
    let behind = 0;
    while ((await figure('feed_sockets')) === 2) {
      if (!behind && (await figure('feed_behind_total')) > 0) behind = performance.now();
      largeTurn();
      turns += 1;
      await fast.at(yard.door.state.seq);
      if (turns > 5_000) throw new Error('never let go');
    }
    expect(await figure('feed_sockets')).toBe(1);
    // After ten beats of 25 ms, not after the 5 s and more in which a dead one would be noticed.
    expect(performance.now() - behind).toBeLessThan(4_000);
    expect(fast.gaps).toBe(0);
    slow.ws.terminate();
  });
});

describe('what a page sends', () => {
  it('is ignored and counted; a page that goes on is let go', async () => {
    const page = await new Page().joined();
    for (let i = 0; i < 19; i += 1) page.socket.emit('open', { issued: yard.now, seq: 100 });
    await soon(() => figure('feed_inbound_total')).toBe(19);
    expect(page.socket.connected).toBe(true);
    page.socket.emit('stop');
    await soon(() => page.socket.connected).toBe(false);
    expect(yard.door.asked).toEqual([]);
    expect(yard.door.stops).toEqual([]);
  });

  it('ends its connection where it is large', async () => {
    const page = await new Page().joined();
    page.socket.emit('x', 'x'.repeat(10_000));
    await soon(() => page.socket.connected).toBe(false);
    await soon(() => figure('feed_sockets')).toBe(0);
  });

  it.each([
    '42',
    '42[]',
    '42["__proto__"]',
    '42{"a":1}',
    '40/admin,',
    '451-["x",{"_placeholder":true,"num":9}]',
    '4',
    '9',
    'x',
    '42["constructor",null]',
  ])('may be anything, and breaks nothing: %s', async (packet) => {
    const fast = await new Page().joined();
    const { ws } = await bare();
    ws.send(packet);
    ws.send(Buffer.from(packet));
    yard.door.turn({ set: { notes: ['still here'] } });
    await fast.at(101);
    ws.terminate();
    expect(yard.lines.filter((l) => l.level === 'error')).toEqual([]);
  });
});

describe('who may listen', () => {
  const refused = (url: string, headers: Record<string, string>) =>
    new Promise<number | string>((resolve) => {
      const ws = new WebSocket(url, { headers });
      ws.on('unexpected-response', (_req, res) => {
        resolve(res.statusCode ?? 0);
        ws.terminate();
      });
      ws.on('open', () => {
        resolve('open');
        ws.terminate();
      });
      ws.on('error', () => {});
    });

  it('is no page of another site and none under a foreign name', async () => {
    const url = `ws://${yard.host}/socket.io/?EIO=4&transport=websocket`;
    expect(await refused(url, { origin: 'http://evil.example' })).toBe(403);
    expect(await refused(url, { origin: 'null' })).toBe(403);
    expect(await refused(url, { host: 'evil.example', origin: 'http://evil.example' })).toBe(421);
    expect(await refused(url, { origin: `http://${yard.host}` })).toBe('open');
    const polling = '/socket.io/?EIO=4&transport=polling';
    expect((await yard.get(polling, { headers: { origin: 'http://evil.example' } })).status).toBe(403);
    expect((await yard.get(polling)).status).toBe(200);
  });

  it('is not asked of a page that polls under a foreign name later on either', async () => {
    const opened = await yard.get('/socket.io/?EIO=4&transport=polling');
    const { sid } = JSON.parse(opened.text.slice(1)) as { sid: string };
    const url = `/socket.io/?EIO=4&transport=polling&sid=${sid}`;
    const said = await yard.send('POST', url, {
      raw: '40',
      headers: { 'content-type': 'text/plain', origin: 'http://evil.example' },
    });
    expect(said.status).toBe(403);
  });

  it('are 64 at a time', async () => {
    const all = await Promise.all(Array.from({ length: 64 }, () => new Page().joined()));
    const more = new Page();
    const error = await new Promise((resolve) => more.socket.once('connect_error', resolve));
    expect(error).toBeInstanceOf(Error);
    all[0]!.socket.close();
    await soon(() => figure('feed_sockets')).toBe(63);
    await new Page().joined();
    expect((await yard.post('/api/stop')).status).toBe(200);
  });
});

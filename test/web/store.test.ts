import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { FeedChange } from '../../server/api/feed-words.ts';
import { mergeChanges } from '../../server/api/feed-words.ts';
import type { PictureChange } from '../../server/desk-door.ts';
import type { Picture } from '../../server/picture.ts';
import { mergeChange, Store } from '../../web/store.ts';
import { open } from '../browser/hand-pictures.ts';

function storeAt(mono: { ms: number }) {
  const store = new Store(() => mono.ms);
  store.onWant = vi.fn();
  return store;
}

const change = (from: number, seq: number, at: number, set: PictureChange['set'] = {}): FeedChange => ({
  from,
  seq,
  at,
  set,
});

describe('the store', () => {
  it('lays changes over the picture and keeps what did not change the same', () => {
    const have = open();
    const ferry = { ...have.props.ferry!, state: 'ready' as const };
    const next = mergeChange(have, { seq: 4712, at: have.at + 10, set: { mode: 'held' }, props: { ferry } });
    expect(next).toMatchObject({ seq: 4712, mode: 'held' });
    expect(next.props.ferry).toBe(ferry);
    expect(next.props.gull).toBe(have.props.gull);
    expect(next.scenes).toBe(have.scenes);
    expect(Object.keys(next.props)).toEqual(Object.keys(have.props));
  });

  it('drops what is gone, and takes an id such as constructor for what it is', () => {
    const have = open();
    const gone = { gull: null } as unknown as Partial<Picture['props']>;
    const next = mergeChange(have, { seq: 1, at: 1, set: {}, props: gone });
    expect(Object.hasOwn(next.props, 'gull')).toBe(false);
    const named = mergeChange(next, {
      seq: 2,
      at: 2,
      set: {},
      props: { constructor: have.props.bell! } as never,
    });
    expect(Object.hasOwn(named.props, 'constructor')).toBe(true);
    expect(named.props.constructor).toBe(have.props.bell);
  });

  it('passes over what it has, takes what overlaps, and asks anew over a gap', () => {
    const mono = { ms: 0 };
    const store = storeAt(mono);
    const have = open();
    store.take(have, 'joined');
    store.change(change(have.seq - 3, have.seq, have.at, { mode: 'closed' }));
    expect(store.picture?.mode).toBe('open');
    store.change(change(have.seq - 1, have.seq + 2, have.at, { mode: 'held' }));
    expect(store.picture).toMatchObject({ mode: 'held', seq: have.seq + 2 });
    expect(store.onWant).not.toHaveBeenCalled();
    store.change(change(have.seq + 5, have.seq + 6, have.at, { mode: 'closing' }));
    expect(store.picture?.mode).toBe('held');
    expect(store.onWant).toHaveBeenCalledTimes(1);
    store.change(change(have.seq + 6, have.seq + 7, have.at, { modeWhy: 'late' }));
    store.take({ ...have, seq: have.seq + 6, at: have.at + 1, mode: 'closing' }, 'asked');
    expect(store.picture).toMatchObject({ mode: 'closing', modeWhy: 'late', seq: have.seq + 7 });
  });

  it('takes a beat that knows of more for a gap', () => {
    const store = storeAt({ ms: 0 });
    const have = open();
    store.take(have, 'joined');
    store.beat({ at: have.at + 1000, seq: have.seq });
    expect(store.onWant).not.toHaveBeenCalled();
    store.beat({ at: have.at + 2000, seq: have.seq + 1 });
    expect(store.onWant).toHaveBeenCalledTimes(1);
  });

  it('is lost 2.5 s after the last word, and live with the next beat', () => {
    const mono = { ms: 0 };
    const store = storeAt(mono);
    const have = open();
    store.take(have, 'joined');
    mono.ms = 2500;
    expect(store.link()).toBe('live');
    mono.ms = 2501;
    expect(store.link()).toBe('lost');
    store.beat({ at: have.at + 2501, seq: have.seq });
    expect(store.link()).toBe('live');
  });

  it('does not let beats keep a picture live that has missed something', () => {
    const mono = { ms: 0 };
    const store = storeAt(mono);
    const have = open();
    store.take(have, 'joined');
    store.change(change(have.seq + 1, have.seq + 2, have.at + 10));
    for (mono.ms = 1000; mono.ms <= 3000; mono.ms += 1000)
      store.beat({ at: have.at + mono.ms, seq: have.seq + 2 });
    expect(store.link()).toBe('lost');
  });

  it('after sleep counts nothing as live until a picture asked for since has come', () => {
    const mono = { ms: 0 };
    const store = storeAt(mono);
    const have = open();
    store.take(have, 'joined');
    store.doubt();
    expect(store.onWant).toHaveBeenCalledTimes(1);
    store.beat({ at: have.at + 1, seq: have.seq });
    store.take({ ...have, at: have.at + 2 }, 'joined');
    expect(store.link()).toBe('lost');
    store.take({ ...have, at: have.at + 3 }, 'asked');
    expect(store.link()).toBe('live');
  });

  it('looks for the yard for 2.5 s before it says that it is lost', () => {
    const mono = { ms: 0 };
    const store = storeAt(mono);
    expect(store.link()).toBe('looking');
    mono.ms = 2500;
    expect(store.link()).toBe('lost');
    expect(store.silentMs()).toBe(2500);
  });

  it('takes a desk that began anew with lower numbers', () => {
    const store = storeAt({ ms: 0 });
    const have = open();
    store.take(have, 'joined');
    store.take({ ...have, seq: 3, at: have.at + 60_000, mode: 'held' }, 'asked');
    expect(store.picture).toMatchObject({ seq: 3, mode: 'held' });
  });

  it('comes to the desk’s picture however changes are gathered, lost or said twice', () => {
    const modes = ['open', 'held', 'closing', 'closed'] as const;
    const deliveries = fc.array(
      fc.record({
        mode: fc.integer({ min: 0, max: 3 }),
        gather: fc.boolean(),
        fate: fc.constantFrom('once', 'twice', 'never'),
      }),
      { maxLength: 40 },
    );
    fc.assert(
      fc.property(deliveries, (steps) => {
        const mono = { ms: 0 };
        const store = storeAt(mono);
        let desk = open();
        store.onWant = () => {
          asked = true;
        };
        let asked = false;
        let pending: PictureChange | null = null;
        let sent = desk.seq;
        store.take(desk, 'joined');
        for (const { mode, gather, fate } of steps) {
          mono.ms += 10;
          const turn: PictureChange = { seq: desk.seq + 1, at: desk.at + 10, set: { mode: modes[mode]! } };
          desk = mergeChange(desk, turn);
          pending = pending ? mergeChanges(pending, turn) : turn;
          if (gather) continue;
          const out = { ...pending, from: sent };
          sent = pending.seq;
          pending = null;
          if (fate !== 'never') store.change(out);
          if (fate === 'twice') store.change(out);
          if (asked) {
            asked = false;
            store.take(desk, 'asked');
          }
        }
        if (pending) store.change({ ...pending, from: sent });
        store.beat({ at: desk.at, seq: desk.seq });
        if (asked) store.take(desk, 'asked');
        expect(store.picture).toEqual(desk);
      }),
    );
  });
});

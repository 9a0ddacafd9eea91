import { describe, expect, it } from 'vitest';
import { tick } from './any.ts';
import { type Hand, linked, opened } from './hand.ts';
import { landing, NIGHT, OPEN_MS } from './landing.ts';

const yard = landing();
const NOTICE_MS = NIGHT.openMs - NIGHT.noticeMs;

/** A closed yard a minute before its notice, the ferry at far and the hatch open. */
function away(...changes: readonly (readonly [string, string])[]): Hand {
  const hand = linked(landing(...changes), { at: NOTICE_MS - 60_000 });
  hand.sense('ferry.near', false).sense('ferry.far', true).sense('hatch.shut', false);
  return hand.plan([]).fresh();
}

describe('Homing', () => {
  it('begins when the notice is over: nothing moves before, and then every prop that is away goes home at once if it may', () => {
    const hand = away();
    hand.advance('60 s');
    expect(hand.mode).toBe('opening');
    expect(hand.kinds('giveNotice')).toEqual([{ kind: 'giveNotice', inMs: 30_000 }]);
    hand.advance('29999 ms');
    expect(hand.moves).toEqual([]);
    hand.advance('1 ms');
    expect(hand.moves).toEqual(['ferry.back', 'hatch.close']);
    expect(hand.orders.map((o) => o.run)).toEqual(['home.1.1', 'home.1.2']);
    tick(hand, 6500);
    expect(hand.mode).toBe('open');
    expect(hand.lines('homed').map((l) => l.prop)).toEqual(['hatch', 'ferry']);
  });

  it('goes in the order of the file, each as soon as its needs and limits allow, once', () => {
    // of 11 A, 2 + 4 + 5 are taken while the ferry starts, and the hatch draws 4 A: 400 ms later it may
    const hand = away(
      ['breaker: 15 A', 'breaker: 12.5 A'],
      ['until: shut, usual: 1 s, limit: 4 s', 'until: shut, usual: 1 s, limit: 4 s, load: {dock: 2 A}'],
    );
    hand.advance('90 s');
    expect(hand.moves).toEqual(['ferry.back']);
    hand.says('ferry', 'started').advance('399 ms');
    expect(hand.moves).toEqual(['ferry.back']);
    hand.advance('300 ms');
    expect(hand.moves).toEqual(['ferry.back', 'hatch.close']);
  });

  it('sets aside after two minutes what can’t, with why, and opens without it', () => {
    const hand = away(
      [
        'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
        'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest, not path-mat.step]',
      ],
      ['    on: path-mat.step\n    again-after: 30 s\n', ''],
    );
    hand.sense('path-mat.step', true).advance('90 s');
    tick(hand, 119_900);
    expect([hand.mode, hand.moves]).toEqual(['opening', ['hatch.close']]);
    tick(hand, 200);
    expect(hand.mode).toBe('open');
    expect(hand.prop('ferry').setAside).toMatchObject({ code: 'need', seen: 'made' });
    // it stands known at far, and yet a scene brings it home first
    hand.fresh().sense('path-mat.step', false);
    expect(hand.run('crossing')).toBe(null);
    expect(hand.moves).toEqual(['ferry.back']);
    tick(hand, 45_000);
    expect(hand.moves).toEqual(['ferry.back', 'ferry.out', 'ferryman.row', 'ferry.back']);
    expect(hand.prop('ferry').setAside).toBe(null);
  });

  it('does not wait for a prop that is not heard, is out of service, or has no way home', () => {
    const hand = away([
      'home: shut\n    moves:\n      slam',
      'home: shut\n    moves:\n      shove: {until: shut, usual: 1 s, limit: 4 s}\n      slam',
    ]);
    hand.hush('ferry-board').advance('90 s');
    // two moves lead home and none is named
    expect(hand.mode).toBe('open');
    expect(hand.prop('ferry').setAside).toEqual({ code: 'silent', prop: 'ferry' });
    expect(hand.prop('hatch').setAside).toEqual({ code: 'no-homing-move', prop: 'hatch' });
    expect(hand.run('porch-scare')).toEqual([{ code: 'no-homing-move', prop: 'hatch' }]);
    // brought home by a person it is ready
    hand.sense('hatch.shut', true);
    expect(hand.prop('hatch').setAside).toBe(null);
    // pushed there in an open yard it is taken for a stray, which a person looks at
    hand.release('hatch');
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'too-soon-after-link', prop: 'hatch' }]);
    hand.advance('30 s');
    expect(hand.run('porch-scare')).toBe(null);
  });

  it('never homes a prop without a home, and starts no prop twice that a person brought home meanwhile', () => {
    const hand = away([
      'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
      'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest, hatch.shut]',
    ]);
    hand.advance('90 s');
    expect(hand.moves).toEqual(['hatch.close']);
    // the ferry waits for the hatch; it is pushed home
    hand.sense('ferry.far', false).sense('ferry.near', true);
    hand.release('ferry');
    tick(hand, 2000);
    expect(hand.moves).toEqual(['hatch.close']);
    expect(hand.mode).toBe('open');
  });

  it('of one that faults goes on with the others, and the yard opens', () => {
    const hand = away();
    hand.advance('90 s').says('ferry', 'failed', { why: 'driver' });
    tick(hand, 2000);
    expect([hand.mode, hand.fault('ferry')?.code]).toEqual(['open', 'failed']);
  });

  it('raises no travel-short and keeps no times', () => {
    const hand = away();
    hand.advance('90 s').says('ferry', 'started').sense('ferry.far', false);
    hand.advance('300 ms').sense('ferry.near', true).says('ferry', 'done');
    expect(hand.fault('ferry')).toBe(null);
    expect(hand.prop('ferry').travels).toEqual({});
  });

  it('a stop ends it, and clear and open begin anew with the notice', () => {
    const hand = away();
    hand.advance('90 s').says('ferry', 'started').stop();
    expect([hand.mode, hand.show.homing, hand.show.opening]).toEqual(['stopped', null, null]);
    for (const id of hand.yard.controllers.keys()) hand.link(id, { stop: 1 });
    hand.sense('ferry.near', false).sense('ferry.far', false).sense('hatch.shut', false);
    hand.fresh();
    expect(hand.clear()).toBe(null);
    expect(hand.mode).toBe('held');
    expect(hand.openAsked()).toBe(null);
    hand.advance('29999 ms');
    expect(hand.moves).toEqual([]);
    hand.advance('1 ms');
    expect(hand.moves).toEqual(['ferry.back', 'hatch.close']);
  });

  it('holding in the middle of it begins nothing more; what moves ends', () => {
    const hand = away([
      'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
      'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest, hatch.shut]',
    ]);
    hand.advance('90 s').says('hatch', 'started');
    hand.ask({ kind: 'holdAsked', by: 'ann' });
    tick(hand, 10_000);
    expect([hand.mode, hand.moves, hand.halts]).toEqual(['held', ['hatch.close'], []]);
  });

  it('a board that returns in the middle of it is given the notice before anything moves', () => {
    const hand = away(
      [
        'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest]',
        'until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest, not path-mat.step]',
      ],
      ['    on: path-mat.step\n    again-after: 30 s\n', ''],
    );
    hand.sense('path-mat.step', true).advance('90 s');
    tick(hand, 5000);
    hand
      .link('ferry-board')
      .sense('ferry.far', true)
      .sense('ferry.near', false)
      .sense('path-mat.step', false);
    hand.fresh();
    tick(hand, 29_900);
    expect(hand.moves).toEqual([]);
    tick(hand, 600);
    expect(hand.moves).toEqual(['ferry.back']);
  });

  it('in closing brings all home, waits for the runs first, and ends with the yard closed', () => {
    const hand = opened(yard);
    hand.run('crossing');
    hand.travels('ferry', 'near', 'far');
    hand.says('ferryman', 'started');
    hand.ask({ kind: 'closeAsked', by: 'ann' });
    expect([hand.mode, hand.show.homing]).toEqual(['closing', null]);
    expect(hand.run('porch-scare')).toMatchObject([{ code: 'mode', mode: 'closing' }]);
    tick(hand, 30_000);
    expect([hand.mode, hand.moves.at(-1), hand.lines('run-done').length]).toEqual([
      'closed',
      'ferry.back',
      1,
    ]);
  });
});

describe('In an open yard', () => {
  it('a prop of unknown position is homed as the first act of the next run that wants it, no sooner than the notice', () => {
    const hand = opened(yard, [
      { id: '2026-10-31.crossing.1', scene: 'crossing', startMs: OPEN_MS + 10_000 },
    ]);
    hand.link('ferry-board').sense('ferry.near', false).sense('ferry.far', false);
    hand.advance('29 s');
    expect([hand.moves, hand.prop('ferry').known]).toEqual([[], false]);
    hand.advance('1250 ms');
    // the link alone sent nothing; the run that was due sends it
    expect(hand.moves).toEqual(['ferry.back']);
    expect(hand.orders[0]!.run).toBe('home.1.1');
    tick(hand, 45_000);
    expect(hand.moves).toEqual(['ferry.back', 'ferry.out', 'ferryman.row', 'ferry.back']);
    expect(hand.lines('run-done')).toHaveLength(1);
  });

  it('a link and a release send nothing, however long nothing wants the prop', () => {
    const hand = opened(yard);
    hand.link('ferry-board').sense('ferry.near', false).sense('ferry.far', false);
    hand.lockout('hatch');
    hand.sense('hatch.shut', false);
    hand.release('hatch');
    hand.advance('10 min');
    expect(hand.moves).toEqual([]);
  });

  it('after a release too the notice is kept', () => {
    const hand = opened(yard).sense('ferry.near', false);
    hand.advance('1 min');
    expect(hand.release('ferry')).toBe(null);
    expect(hand.run('crossing')).toEqual([{ code: 'too-soon-after-link', prop: 'ferry', forMs: 30_000 }]);
    hand.advance('30 s');
    expect(hand.run('crossing')).toBe(null);
    expect(hand.moves).toEqual(['ferry.back']);
  });
});

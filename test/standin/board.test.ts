import { describe, expect, it } from 'vitest';
import { Rig } from './rig.ts';

/** The eight duties of a controller, one describe each; times are virtual. */

const links = (rig: Rig) => rig.on('controller/ferry-board/link');
const beats = (rig: Rig) => rig.sent.filter((m) => m.topic === 'yard/controller/ferry-board/beat');

describe('1 power-up', () => {
  it('has its outputs off and moves nothing until a do, however long it waits', () => {
    const rig = new Rig();
    rig.connect();
    rig.beat();
    rig.run(60_000);
    expect(rig.truth('ferry')).toMatchObject({ energised: false, moving: false });
    expect(rig.dids('ferry')).toEqual([]);
  });

  it('finds nothing by itself where it does not stand at home', () => {
    const rig = Rig.linked({ machine: { stands: 0.5 } });
    rig.run(60_000);
    expect(rig.truth('ferry').placeMm).toBe(500);
  });

  it('forgets over a reboot, but not where its carriage stands', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.run(3000);
    const mm = rig.truth('ferry').placeMm!;
    rig.beating = false;
    rig.board.reboot(rig.at);
    rig.run(800);
    expect(rig.truth('ferry').energised).toBe(false);
    expect(rig.truth('ferry').placeMm).toBeGreaterThan(mm);
    expect(rig.truth('ferry').placeMm).toBeLessThan(mm + 20);
    rig.forget();
    rig.connect();
    expect(links(rig)).toMatchObject([{ epoch: 0, stop: 0 }]);
    expect(rig.on('prop/ferry/sense/near')).toMatchObject([{ made: false, n: 0 }]);
  });
});

describe('2 connecting', () => {
  it('publishes link, then every sensor with its session, then beats', () => {
    const rig = new Rig();
    const will = rig.connect();
    const session = rig.board.session;
    expect(will).toEqual({
      topic: 'yard/controller/ferry-board/link',
      payload: { up: false, session },
      retain: true,
      qos: 1,
    });
    expect(rig.sent.map(({ topic, payload, retain, qos }) => ({ topic, payload, retain, qos }))).toEqual([
      {
        topic: 'yard/controller/ferry-board/link',
        payload: {
          up: true,
          session,
          first: session,
          contract: 1,
          props: ['ferry', 'ferryman'],
          stop: 0,
          epoch: 0,
          firmware: '1.2',
        },
        retain: true,
        qos: 1,
      },
      {
        topic: 'yard/prop/ferry/sense/near',
        payload: { prop: 'ferry', made: true, session, n: 0 },
        retain: true,
        qos: 1,
      },
      {
        topic: 'yard/prop/ferry/sense/far',
        payload: { prop: 'ferry', made: false, session, n: 0 },
        retain: true,
        qos: 1,
      },
      { topic: 'yard/controller/ferry-board/beat', payload: { session, n: 1 }, retain: false, qos: 0 },
    ]);
  });

  it('subscribes to what the contract names', () => {
    const topics = new Rig().board.subscriptions.map((s) => s.topic.replace('yard/', '')).sort();
    expect(topics).toEqual(
      [
        'announce',
        'controller/ferry-board/link',
        'desk',
        'heartbeat',
        'prop/ferry/do',
        'prop/ferry/halt',
        'prop/ferryman/do',
        'prop/ferryman/halt',
        'stop',
      ].sort(),
    );
  });

  it('makes a new session for each connection, which its will and `first` bear', () => {
    const rig = Rig.linked();
    const before = rig.board.session;
    rig.keep(rig.board.disconnect(rig.at));
    rig.run(100);
    rig.forget();
    const will = rig.connect();
    expect(rig.board.session).not.toBe(before);
    expect(will.payload.session).toBe(rig.board.session);
    expect(links(rig)[0]).toMatchObject({ session: rig.board.session, first: rig.board.session, epoch: 12 });
  });

  it.each([500, 1000, 3000])('beats at least each third of a silence of %i ms', (silenceMs) => {
    const rig = new Rig();
    rig.silenceMs = silenceMs;
    rig.connect();
    rig.beat();
    rig.run(10_000);
    const times = beats(rig).map((m) => m.at);
    const gaps = times.slice(1).map((t, i) => t - times[i]!);
    expect(gaps.length).toBeGreaterThan(10);
    expect(Math.max(...gaps.slice(1))).toBeLessThanOrEqual(silenceMs / 3);
    expect(beats(rig).map((m) => m.payload.n)).toEqual(times.map((_, i) => i + 1));
    expect(beats(rig).at(-1)!.payload.session).toBe(rig.board.session);
  });

  it('sends no beats that its loop has missed', () => {
    const rig = Rig.linked();
    rig.beating = false;
    rig.at += 60_000;
    rig.keep(rig.board.advanceTo(rig.at));
    expect(beats(rig).length).toBeLessThanOrEqual(2);
  });

  it('reports again on announce', () => {
    const rig = Rig.linked();
    rig.hear('announce', { desk: 'q4x1', epoch: 12 });
    expect(rig.sent.map((m) => m.topic)).toEqual([
      'yard/controller/ferry-board/link',
      'yard/prop/ferry/sense/near',
      'yard/prop/ferry/sense/far',
    ]);
  });

  it('reports again over a late will of its own, and not over its own up', () => {
    const rig = Rig.linked();
    rig.hear('controller/ferry-board/link', { up: true, session: 'other', first: 'other' });
    expect(rig.sent).toEqual([]);
    rig.hear('controller/ferry-board/link', { up: false, session: 'k3f9' }, true);
    expect(links(rig)).toMatchObject([{ up: true, session: rig.board.session }]);
    expect(rig.on('prop/ferry/sense/near')).toHaveLength(1);
  });

  it('reports again when the heartbeat is back after a silence', () => {
    const rig = Rig.linked();
    rig.beating = false;
    rig.run(5000);
    expect(links(rig)).toEqual([]);
    rig.beat();
    rig.run(10);
    expect(links(rig)).toMatchObject([{ session: rig.board.session }]);
    expect(rig.on('prop/ferry/sense/far')).toHaveLength(1);
  });

  it('counts the edges of each sensor since boot, over sessions', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.run(10_000);
    rig.stopLatched(1);
    expect(rig.on('prop/ferry/sense/near').map((p) => [p.made, p.n])).toEqual([
      [false, 1],
      [false, 1],
    ]);
    expect(rig.on('prop/ferry/sense/far').map((p) => [p.made, p.n])).toEqual([
      [true, 1],
      [true, 1],
    ]);
    expect(rig.on('prop/ferry/sense/far').at(-1)!.session).toBe(rig.board.session);
  });
});

describe('3 what is refused', () => {
  const refused = (rig: Rig, why: string) => {
    expect(rig.dids('ferry')).toMatchObject([{ is: 'refused', why, session: rig.board.session }]);
    rig.forget();
    rig.run(2000);
    expect(rig.truth('ferry')).toMatchObject({ energised: false, moving: false });
    expect(rig.dids('ferry')).toEqual([]);
  };

  it('session: any but the present one', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out', { session: 'm7q2' });
    refused(rig, 'session');
  });

  it.each([
    ['a lower epoch', { epoch: 11 }],
    ['a higher one that it has not heard', { epoch: 13 }],
    ['another word of the same epoch', { desk: 'zzzz' }],
  ])('epoch: %s', (_, over) => {
    const rig = Rig.linked();
    rig.order('ferry', 'out', over);
    refused(rig, 'epoch');
  });

  it('stopped: while a stop is latched', () => {
    const rig = Rig.linked();
    rig.stopLatched(8);
    rig.forget();
    rig.order('ferry', 'out');
    refused(rig, 'stopped');
  });

  it('heartbeat: before the first of the desk it follows', () => {
    const rig = new Rig();
    rig.connect();
    rig.hear('desk', { up: true, desk: 'q4x1', epoch: 12, contract: 1 }, true);
    rig.forget();
    rig.order('ferry', 'out');
    refused(rig, 'heartbeat');
  });

  it('heartbeat: after a silence, in the session made then', () => {
    const rig = Rig.linked();
    rig.beating = false;
    rig.run(1500);
    rig.order('ferry', 'out');
    refused(rig, 'heartbeat');
  });

  it('busy: while it moves; the move goes on', () => {
    const rig = Rig.linked();
    const first = rig.order('ferry', 'out');
    rig.run(1000);
    rig.order('ferry', 'back');
    expect(rig.dids('ferry')).toMatchObject([
      { run: first, is: 'started' },
      { is: 'refused', why: 'busy' },
    ]);
    rig.run(9000);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ run: first, is: 'done' });
  });

  it('unknown: a move it does not have, whatever its name', () => {
    for (const move of ['sideways', 'constructor', '__proto__']) {
      const rig = Rig.linked();
      rig.order('ferry', move);
      refused(rig, 'unknown');
    }
  });

  it('drops a retained do and one whose payload names another prop, without a word', () => {
    const rig = Rig.linked();
    const good = { run: 'r', step: 0, session: rig.board.session, desk: 'q4x1', epoch: 12, limitMs: 12_000 };
    rig.hear('prop/ferry/do', { ...good, prop: 'ferry', move: 'out' }, true);
    rig.hear('prop/ferry/do', { ...good, prop: 'ferryman', move: 'row' });
    rig.run(500);
    expect(rig.dids('ferry')).toEqual([]);
    expect(rig.truth('ferry').energised || rig.truth('ferryman').energised).toBe(false);
  });

  it('answers the same run and step again with its latest word and does not act twice', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out', { run: 'r1', step: 3 });
    rig.run(1000);
    rig.order('ferry', 'out', { run: 'r1', step: 3 });
    expect(rig.dids('ferry').map((d) => d.is)).toEqual(['started', 'started']);
    rig.run(9000);
    rig.order('ferry', 'back', { run: 'r2' });
    rig.run(9000);
    rig.forget();
    // the last one again, after it is done: nothing moves, though the carriage stands at near
    rig.order('ferry', 'back', { run: 'r2' });
    expect(rig.dids('ferry')).toMatchObject([{ run: 'r2', is: 'done', ms: expect.any(Number) }]);
    rig.run(2000);
    expect(rig.on('prop/ferry/sense/near')).toEqual([]);
  });

  it('takes another step of the same run, and does not remember a refused one', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'sideways', { run: 'r1', step: 0 });
    rig.order('ferry', 'out', { run: 'r1', step: 0 });
    rig.run(9000);
    rig.order('ferry', 'back', { run: 'r1', step: 1 });
    rig.run(9000);
    expect(rig.dids('ferry').map((d) => d.is)).toEqual(['refused', 'started', 'done', 'started', 'done']);
  });

  it('forgets what it accepted with the session', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out', { run: 'r1' });
    rig.run(9000);
    rig.stopLatched(1);
    rig.stopCleared(1);
    rig.forget();
    rig.order('ferry', 'back', { run: 'r1' });
    expect(rig.dids('ferry')).toMatchObject([{ is: 'started' }]);
  });
});

describe('4 how a move goes', () => {
  it('started when energised, done at its sensor, which it publishes before', () => {
    const rig = Rig.linked();
    const run = rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toEqual([
      { prop: 'ferry', run, step: 0, move: 'out', is: 'started', session: rig.board.session },
    ]);
    expect(rig.truth('ferry').energised).toBe(true);
    rig.run(9000);
    const told = rig.sent.filter((m) => /\/(did|far)$/.test(m.topic));
    expect(told.map((m) => m.topic.split('/').at(-1))).toEqual(['did', 'far', 'did']);
    expect(told[2]!.payload).toMatchObject({ run, is: 'done', ms: told[2]!.at - told[0]!.at });
    expect(rig.truth('ferry')).toMatchObject({ energised: false, moving: false });
  });

  it('is done at once where its sensor is made already', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'back');
    expect(rig.dids('ferry').map((d) => [d.is, d.ms])).toEqual([
      ['started', undefined],
      ['done', 0],
    ]);
  });

  it('plays a timed move for lastsMs, or its own routine where none is told', () => {
    const rig = Rig.linked();
    rig.order('ferryman', 'row', { lastsMs: 20_000, limitMs: 50_000 });
    rig.run(19_990);
    expect(rig.dids('ferryman').map((d) => d.is)).toEqual(['started']);
    rig.run(20);
    expect(rig.dids('ferryman').at(-1)).toMatchObject({ is: 'done', ms: 20_000 });
    rig.order('ferryman', 'row', { limitMs: 50_000 });
    rig.run(46_000);
    expect(rig.dids('ferryman').at(-1)).toMatchObject({ is: 'done', ms: 45_000 });
  });

  it('fails by limit when limitMs have passed since it was energised', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out', { limitMs: 3000 });
    rig.run(2999);
    expect(rig.dids('ferry').map((d) => d.is)).toEqual(['started']);
    rig.run(1);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
    expect(rig.truth('ferry').energised).toBe(false);
  });

  it('watches the limit of a timed move too', () => {
    const rig = Rig.linked();
    rig.order('ferryman', 'row', { limitMs: 5000 });
    rig.run(5000);
    expect(rig.dids('ferryman').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
    expect(rig.truth('ferryman')).toMatchObject({ energised: false, moving: false });
  });
});

describe('5 silence and epochs', () => {
  it('takes the outputs off and makes a new session silenceMs after the last heartbeat', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.run(900);
    rig.beating = false;
    rig.heartbeat();
    const session = rig.board.session;
    rig.run(999);
    expect(rig.truth('ferry').energised).toBe(true);
    expect(rig.board.session).toBe(session);
    rig.run(1);
    expect(rig.truth('ferry').energised).toBe(false);
    expect(rig.board.session).not.toBe(session);
    const silent = rig.board.session;
    rig.run(10_000);
    expect(rig.board.session).toBe(silent);
    expect(rig.dids('ferry').map((d) => d.is)).toEqual(['started']);
  });

  it('learns silenceMs from the heartbeat, and does not let it be disarmed', () => {
    const rig = Rig.linked();
    rig.silenceMs = 4000;
    rig.run(300);
    rig.order('ferry', 'out');
    rig.beating = false;
    rig.heartbeat({ silenceMs: 4000 });
    rig.heartbeat({ silenceMs: 1e9 });
    rig.heartbeat({ silenceMs: 'for ever' });
    rig.run(3999);
    expect(rig.truth('ferry').energised).toBe(true);
    rig.run(1);
    expect(rig.truth('ferry').energised).toBe(false);
  });

  it('does the same when the link is lost, though it can tell no one', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.run(500);
    rig.beating = false;
    rig.forget();
    rig.board.disconnect(rig.at);
    rig.run(1000);
    expect(rig.truth('ferry').energised).toBe(false);
    expect(rig.sent).toEqual([]);
  });

  it('counts the silence from the last heartbeat, also over a reconnect in between', () => {
    const rig = Rig.linked();
    rig.beating = false;
    rig.heartbeat();
    rig.run(600);
    rig.board.disconnect(rig.at);
    rig.connect();
    rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toMatchObject([{ is: 'started' }]);
    rig.run(399);
    expect(rig.truth('ferry').energised).toBe(true);
    rig.run(1);
    expect(rig.truth('ferry').energised).toBe(false);
  });

  it('takes no retained heartbeat for a live one', () => {
    const rig = Rig.linked();
    rig.beating = false;
    rig.order('ferry', 'out');
    rig.run(900);
    rig.hear('heartbeat', { desk: 'q4x1', epoch: 12, n: 1, silenceMs: 1000, stop: 0 }, true);
    rig.run(200);
    expect(rig.truth('ferry').energised).toBe(false);
  });

  it.each([
    ['its heartbeat', 'heartbeat', { desk: 'a', epoch: 13, n: 1, silenceMs: 1000, stop: 0 }],
    ['its desk', 'desk', { up: true, desk: 'a', epoch: 13, contract: 1 }],
    ['its stop, cleared', 'stop', { latched: false, n: 3, desk: 'a', epoch: 13 }],
    ['the greater word of an equal epoch', 'desk', { up: true, desk: 'r', epoch: 12, contract: 1 }],
  ])('lets go and reports when it hears a higher desk by %s', (_, topic, payload) => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.run(1000);
    const session = rig.board.session;
    rig.forget();
    rig.hear(topic, payload);
    expect(rig.truth('ferry').energised).toBe(false);
    expect(rig.board.session).not.toBe(session);
    expect(links(rig)).toMatchObject([{ session: rig.board.session, epoch: payload.epoch }]);
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'refused', why: 'epoch' });
  });

  it('obeys the higher desk from its first heartbeat on', () => {
    const rig = Rig.linked();
    rig.desk = 'z9z9';
    rig.hear('desk', { up: true, desk: 'z9z9', epoch: 12, contract: 1 });
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'refused', why: 'heartbeat' });
    rig.heartbeat();
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'started' });
  });

  it('does not take a lower desk for the one it follows: its heartbeat keeps nothing alive', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.beating = false;
    for (let i = 0; i < 10; i += 1) {
      rig.run(200);
      rig.heartbeat({ epoch: 11 });
      rig.heartbeat({ desk: 'a' });
    }
    expect(rig.truth('ferry').energised).toBe(false);
  });
});

describe('6 stop', () => {
  it('takes the outputs off at once, makes a new session, answers, and reports with the number', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.order('ferryman', 'row', { limitMs: 50_000 });
    rig.run(1000);
    const session = rig.board.session;
    rig.forget();
    rig.stopLatched(8);
    expect(rig.truth('ferry').energised || rig.truth('ferryman').energised).toBe(false);
    expect(rig.board.session).not.toBe(session);
    expect(rig.sent.map((m) => [m.topic.split('/').at(-1), m.payload.session])).toEqual([
      ['stopped', rig.board.session],
      ['link', rig.board.session],
      ['near', rig.board.session],
      ['far', rig.board.session],
    ]);
    expect(rig.on('controller/ferry-board/stopped')).toMatchObject([{ n: 8, safe: true }]);
    expect(links(rig)).toMatchObject([{ stop: 8 }]);
  });

  it('answers each number once: repeats change nothing', () => {
    const rig = Rig.linked();
    rig.stopLatched(8);
    const session = rig.board.session;
    rig.forget();
    for (let i = 0; i < 20; i += 1) rig.stopLatched(8);
    rig.heartbeat({ stop: 8 });
    expect(rig.board.session).toBe(session);
    expect(rig.sent).toEqual([]);
    rig.stopLatched(9);
    expect(rig.on('controller/ferry-board/stopped')).toMatchObject([{ n: 9 }]);
  });

  it('obeys a stop of a heartbeat, and of any desk', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.heartbeat({ stop: 4 });
    expect(rig.on('controller/ferry-board/stopped')).toMatchObject([{ n: 4 }]);
    const other = Rig.linked();
    other.order('ferry', 'out');
    other.stopLatched(2, { epoch: 3, desk: 'old' });
    expect(other.truth('ferry').energised).toBe(false);
  });

  it('refuses until the desk it follows clears the same or a higher number', () => {
    const rig = Rig.linked();
    rig.stopLatched(8);
    const still = () => {
      rig.forget();
      rig.order('ferry', 'out');
      return rig.dids('ferry')[0]!.why;
    };
    expect(still()).toBe('stopped');
    rig.stopCleared(7);
    expect(still()).toBe('stopped');
    rig.stopCleared(8, { epoch: 11 });
    expect(still()).toBe('stopped');
    rig.stopCleared(8, { desk: 'a' });
    expect(still()).toBe('stopped');
    rig.heartbeat({ stop: 0 });
    expect(still()).toBe('stopped');
    rig.stopCleared(9);
    rig.forget();
    rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toMatchObject([{ is: 'started' }]);
  });

  it('takes a late heartbeat and a late repeat of a cleared stop for what they are', () => {
    const rig = Rig.linked();
    rig.stopLatched(8);
    rig.stopCleared(8);
    rig.heartbeat({ stop: 8 });
    rig.heartbeat({ stop: 7 });
    rig.stopLatched(8);
    rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toMatchObject([{ is: 'started' }]);
    rig.heartbeat({ stop: 9 });
    expect(rig.truth('ferry').energised).toBe(false);
  });

  it('obeys the retained stop that it finds when it connects', () => {
    const rig = new Rig();
    rig.board.dial(0);
    rig.hear('stop', { latched: true, n: 5, desk: 'q4x1', epoch: 12 }, true);
    rig.keep(rig.board.connect(0));
    rig.beat();
    rig.run(100);
    expect(links(rig)[0]).toMatchObject({ stop: 5, epoch: 12, session: rig.board.session });
    rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toMatchObject([{ is: 'refused', why: 'stopped' }]);
  });

  it('stays stopped over a silence, a reconnect and a higher desk', () => {
    const rig = Rig.linked();
    rig.stopLatched(8);
    rig.beating = false;
    rig.run(3000);
    rig.board.disconnect(rig.at);
    rig.connect();
    rig.epoch = 20;
    rig.beat();
    rig.run(500);
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ why: 'stopped' });
    rig.stopCleared(8);
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'started' });
  });
});

describe('7 halt', () => {
  it("takes that prop's outputs off and answers; the session and the others stay", () => {
    const rig = Rig.linked();
    const run = rig.order('ferry', 'out');
    rig.order('ferryman', 'row', { limitMs: 50_000 });
    rig.run(1000);
    const session = rig.board.session;
    rig.hear('prop/ferry/halt', { prop: 'ferry', epoch: 12, why: 'interlock' });
    expect(rig.dids('ferry').at(-1)).toEqual({
      prop: 'ferry',
      run,
      step: 0,
      move: 'out',
      is: 'halted',
      session,
    });
    expect(rig.truth('ferry').energised).toBe(false);
    expect(rig.truth('ferryman').energised).toBe(true);
    expect(rig.board.session).toBe(session);
    rig.run(2000);
    rig.order('ferry', 'out');
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'started' });
  });

  it('answers at rest too, before any move and after one', () => {
    const rig = Rig.linked();
    rig.hear('prop/ferry/halt', { prop: 'ferry', epoch: 12, why: 'bench' });
    expect(rig.dids('ferry')).toMatchObject([{ prop: 'ferry', is: 'halted' }]);
    const run = rig.order('ferry', 'out');
    rig.run(9000);
    rig.hear('prop/ferry/halt', { prop: 'ferry', epoch: 12, why: 'bench' });
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'halted', run });
    // its latest word on the move is still what became of it
    rig.order('ferry', 'out', { run });
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'done', run });
  });

  it('does not stop a prop that the payload does not name', () => {
    const rig = Rig.linked();
    rig.order('ferry', 'out');
    rig.hear('prop/ferry/halt', { prop: 'ferryman', epoch: 12, why: 'x' });
    expect(rig.truth('ferry').energised).toBe(true);
  });
});

import { describe, expect, it } from 'vitest';
import { replay } from '../../server/journal/replay.ts';
import type { BusFact } from '../../server/show/events.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import { type Hand, opened } from '../show/hand.ts';
import { landing } from '../show/landing.ts';
import { type Rig, rigOf } from './rig.ts';

const yard = landing();
const RUN = { kind: 'sceneAsked', by: 'ann', scene: 'crossing' } as const;
const CLEAR = { kind: 'clearAsked', by: 'keeper', seen: Number.MAX_SAFE_INTEGER } as const;

/** An open yard, all well, and the desk that drives it. */
function openRig(more: { flushed?: boolean; word?: string } = {}): Rig & { hand: Hand } {
  const hand = opened(yard);
  return Object.assign(rigOf(hand.show, hand.at, more), { hand });
}

/** Every board beats, four times a second, for so long. */
function beating(rig: Rig & { hand: Hand }, ms: number): void {
  for (let t = 0; t < ms; t += 250) {
    for (const c of yard.controllers.keys()) rig.desk.beat(c, rig.hand.session(c));
    rig.clock.pass(250);
  }
}

const acts = (rig: Rig): string[] => rig.done.filter((d) => d !== 'heartbeat');

function expectReplays(rig: Rig): ReturnType<typeof replay<Show>> {
  rig.desk.end();
  const report = replay({
    journal: rig.journal,
    load: (state) => loadShow(state, yard),
    save: saveShow,
    step: (show, event) => step(show, event).show,
  });
  expect(report.difference).toBe(null);
  expect(rig.journal.latestSnapshot()!.state).toBe(saveShow(rig.desk.show));
  return report;
}

describe('The order of a turn', () => {
  it('what moves has its record on disk before it goes out', async () => {
    const rig = openRig();
    expect(await rig.ask(RUN)).toBe(null);
    expect(acts(rig)).toEqual(['append sceneAsked', 'do ferry.out']);
  });

  it('the asker is answered once it is durable', async () => {
    const rig = openRig();
    rig.failing.record = 'the disk is full';
    expect(await rig.ask(RUN)).toMatchObject([{ code: 'record-failing', why: 'the disk is full' }]);
  });

  it('a stop goes out before anything is written: neither the small file nor the record', () => {
    const rig = openRig();
    expect(rig.desk.stop('page')).toMatchObject({ n: 1, bus: true });
    expect(acts(rig)).toEqual(['stop 1', 'numbers stop 1']);
    rig.pass('1 ms');
    expect(acts(rig)).toEqual(['stop 1', 'numbers stop 1', 'append stopPressed']);
  });

  it('while a stop leaves the process nothing is written and no turn is taken, but for another stop', async () => {
    const rig = openRig({ flushed: true });
    rig.desk.stop('page');
    void rig.desk.ask(RUN);
    rig.desk.fact({ kind: 'stoppedHeard', controller: 'bell', stop: 1, session: 'bell-1', safe: true });
    rig.pass('20 ms');
    expect(acts(rig)).toEqual(['stop 1']);
    rig.desk.stop('page');
    expect(acts(rig)).toEqual(['stop 1', 'stop 1']);
    await rig.leave();
    expect(acts(rig).slice(2, 3)).toEqual(['numbers stop 1']);
    expect(
      acts(rig)
        .slice(3)
        .some((d) => d.startsWith('append stopPressed')),
    ).toBe(true);
    expect(rig.desk.show.stop.answered).toHaveProperty('bell');
  });

  it('no picture is drawn before a stop has left and is written, and then at once', async () => {
    const rig = openRig({ flushed: true });
    rig.pass('1 ms');
    rig.told.length = 0;
    rig.desk.stop('page');
    rig.pass('20 ms');
    expect(rig.told).toEqual([]);
    await rig.leave();
    expect(rig.told[0]).toEqual({ after: 'append stopPressed', urgent: true });
  });

  it('what is due is judged with what was heard meanwhile, in one transaction and after it', () => {
    const rig = openRig();
    rig.pass('1 ms');
    void rig.desk.ask(RUN);
    beating(rig, 1750);
    const { run, step, sentAt } = rig.desk.show.props.ferry!.flight!;
    rig.clock.pass(sentAt + 1900 - rig.clock.now());
    rig.done.length = 0;
    // its board says that it started in the very moment in which it would have been said that it did not
    rig.clock.block(100);
    const session = rig.hand.session('ferry-board');
    rig.desk.fact({ kind: 'moveReported', prop: 'ferry', session, run, step, move: 'out', is: 'started' });
    rig.pass('1 ms');
    expect(acts(rig).filter((d) => d.includes('moveReported'))).toHaveLength(1);
    expect(acts(rig).some((d) => d.startsWith('halt'))).toBe(false);
    expect(rig.desk.show.props.ferry!.flight!.startedAt).not.toBe(null);
  });

  it('nor while a stop leaves that a deadline raised, though its own turn has all to be written', async () => {
    const rig = openRig({ flushed: true });
    void rig.desk.ask(RUN);
    // told, told again, halted, and no answer to that either: a dead halt stops the yard
    beating(rig, 4000);
    expect(rig.desk.show.stop).toMatchObject({ latched: true, by: 'dead-halt ferry' });
    expect(acts(rig).at(-1)).toBe('stop 1');
    await rig.leave();
    rig.pass('1 ms');
    const after = acts(rig).slice(acts(rig).indexOf('stop 1'));
    expect(after.slice(0, 2)).toEqual(['stop 1', 'numbers stop 1']);
    expect(after.at(-1)).toMatch(/^append .*timeReached/);
  });

  it('a stop overtakes all that waits, and what waited finds the yard stopped', async () => {
    const rig = openRig();
    const asked = rig.desk.ask(RUN);
    rig.desk.stop('page');
    expect(acts(rig)).toEqual(['stop 1', 'numbers stop 1']);
    rig.clock.settle();
    expect(await asked).toMatchObject({ ok: false, refused: [{ code: 'mode', mode: 'stopped' }] });
    rig.pass('5 s');
    expect(rig.done.some((d) => d.startsWith('do '))).toBe(false);
  });

  it('nothing that moves goes out with a stop that comes in the same turn, or that a later fact of it overtook', () => {
    const stop = openRig();
    void stop.desk.ask(RUN);
    stop.desk.fact({ kind: 'stopHeard', latched: true, stop: 7, desk: 'desk-b', epoch: 1 });
    stop.clock.settle();
    expect(acts(stop).filter((d) => d.startsWith('do '))).toEqual([]);
    expect(acts(stop)[0]).toBe('stop 7');
    const edge = openRig();
    void edge.desk.ask(RUN);
    edge.desk.fact({
      kind: 'sensorChanged',
      prop: 'ferry',
      sensor: 'far',
      made: true,
      session: edge.hand.session('ferry-board'),
      count: 99,
      retained: false,
    });
    edge.clock.settle();
    expect(acts(edge).filter((d) => d.startsWith('do '))).toEqual([]);
    expect(edge.desk.show.props.ferry!.lockout?.fault.code).toBe('both-ends');
  });

  it('a clear is on disk before it is published, and not published where the disk refuses', async () => {
    const rig = openRig();
    rig.desk.stop('page');
    rig.pass('1 s');
    rig.done.length = 0;
    expect(await rig.ask(CLEAR)).toBe(null);
    expect(acts(rig).filter((d) => !d.startsWith('append'))).toEqual(['numbers cleared 1', 'cleared 1']);
    const refused = openRig();
    refused.desk.stop('page');
    refused.pass('1 s');
    refused.failing.numbers = true;
    refused.done.length = 0;
    await refused.ask(CLEAR);
    expect(acts(refused).filter((d) => d.startsWith('cleared'))).toEqual([]);
    expect(refused.errors.join()).toMatch(/clear of stop 1/);
  });

  it('an epoch is on disk before it is announced', () => {
    const rig = openRig();
    const link = { kind: 'linkHeard', controller: 'bell', up: true, props: ['bell'], stop: 0 } as const;
    rig.desk.fact({ ...link, session: 'bell-9', first: 'bell-9', epoch: 7, retained: false });
    rig.clock.settle();
    expect(acts(rig).filter((d) => !d.startsWith('append'))).toEqual([
      'numbers epoch 8',
      'desk 8',
      'announce',
    ]);
  });
});

describe('An epoch that the disk refuses', () => {
  it('is not announced, and is asked for again until it is on disk', () => {
    const rig = openRig();
    rig.failing.numbers = true;
    const link = { kind: 'linkHeard', controller: 'bell', up: true, props: ['bell'], stop: 0 } as const;
    rig.desk.fact({ ...link, session: 'bell-9', first: 'bell-9', epoch: 7, retained: false });
    beating(rig, 4000);
    expect(acts(rig)).not.toContain('desk 8');
    expect(rig.errors.join()).toMatch(/epoch 8/);
    rig.failing.numbers = false;
    beating(rig, 2000);
    expect(acts(rig)).toContain('desk 8');
    expect(rig.desk.show.desk).toMatchObject({ epoch: 8, takingAbove: 0 });
  });
});

describe('A record that can’t be written', () => {
  it('moves nothing, and says so; a stop works all the same', async () => {
    const rig = openRig();
    rig.failing.record = 'the disk is full';
    await rig.ask(RUN);
    expect(rig.done.filter((d) => d.startsWith('do '))).toEqual([]);
    expect(rig.desk.show.recordFailing).toBe('the disk is full');
    rig.failing.numbers = true;
    expect(rig.desk.stop('page')).toMatchObject({ n: 1, bus: true });
    expect(rig.desk.show.mode).toBe('stopped');
    expect(acts(rig)).toEqual(['stop 1']);
  });

  it('what moved is halted and limits are kept as ever', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    rig.failing.record = 'the disk is full';
    beating(rig, 1750);
    // nothing is told again that could not be told at all
    expect(rig.done.filter((d) => d.startsWith('do '))).toEqual(['do ferry.out']);
    beating(rig, 500);
    expect(rig.done).toContain('halt ferry');
  });

  it('is tried again each second; once it can be written all that was kept is, in order, and the yard goes on', async () => {
    const rig = openRig();
    rig.failing.record = 'the disk is full';
    await rig.ask(RUN);
    rig.desk.stop('page');
    beating(rig, 3000);
    expect(rig.desk.show.recordFailing).not.toBe(null);
    rig.failing.record = null;
    beating(rig, 1500);
    expect(rig.desk.show.recordFailing).toBe(null);
    const kinds = rig.journal.events(rig.hand.show.n, 1000).map((e) => e.kind);
    expect(kinds.slice(0, 3)).toEqual(['recordFailed', 'sceneAsked', 'stopPressed']);
    expect(kinds).toContain('recordResumed');
    expect(await rig.ask(CLEAR)).toBe(null);
    expect(expectReplays(rig).gaps).toEqual([]);
  });

  it('what is lost past the bound is named by a replay as a gap, and the state after it is right', async () => {
    const rig = openRig();
    await rig.ask({ kind: 'lockoutAsked', by: 'ann', prop: 'bell', why: '' });
    rig.failing.record = 'the disk is full';
    await rig.ask(RUN);
    for (let i = 0; i < 6000; i++) {
      rig.desk.fact({
        kind: 'sensorChanged',
        prop: 'path-mat',
        sensor: 'step',
        made: i % 2 === 0,
        session: rig.hand.session('path-mat'),
        count: 100 + i,
        retained: false,
      });
      if (i % 500 === 499) rig.clock.settle();
    }
    rig.failing.record = null;
    beating(rig, 2500);
    expect(rig.desk.show.recordFailing).toBe(null);
    await rig.ask({ kind: 'lockoutAsked', by: 'ann', prop: 'lantern', why: '' });
    const report = expectReplays(rig);
    expect(report.gaps).toHaveLength(1);
    expect(report.gaps[0]!.first).toBe(rig.hand.show.n + 2);
    expect(rig.desk.show.props.lantern!.lockout).not.toBe(null);
  }, 30_000);
});

describe('What comes in', () => {
  const flood = (rig: Rig & { hand: Hand }, many: number): void => {
    for (let i = 0; i < many; i++)
      rig.desk.fact({
        kind: 'sensorChanged',
        prop: 'path-mat',
        sensor: 'step',
        made: i % 2 === 0,
        session: rig.hand.session('path-mat'),
        count: 100 + i,
        retained: false,
      });
  };

  it('is bounded, and what is dropped is counted; stops and answers to them never are', () => {
    const rig = openRig();
    flood(rig, 25_000);
    expect(rig.desk.overflowed).toBe(5000);
    rig.desk.fact({ kind: 'stopHeard', latched: true, stop: 3, desk: 'desk-b', epoch: 1 });
    expect(rig.desk.overflowed).toBe(5000);
    rig.clock.settle();
    rig.pass('1 s');
    expect(rig.desk.show.stop.n).toBe(3);
  }, 30_000);

  it('a flood is taken in turns of a bounded time, in order, and each is one write', () => {
    const rig = openRig();
    const now = rig.clock.now.bind(rig.clock);
    let looks = 0;
    // each look at the clock finds it a millisecond on, as where a step costs something
    rig.clock.now = () => now() + looks++;
    flood(rig, 4000);
    expect(rig.desk.crowded).toBe(true);
    rig.clock.settle();
    rig.clock.now = now;
    const writes = acts(rig).filter((d) => d.startsWith('append'));
    const sizes = writes.map((d) => d.split(' ').filter((kind) => kind === 'sensorChanged').length);
    expect(sizes.reduce((all, n) => all + n, 0)).toBe(4000);
    expect(sizes.length).toBeGreaterThan(2);
    expect(Math.max(...sizes)).toBeLessThan(2048);
    const counts = rig.journal
      .events(rig.hand.show.n, 5000)
      .flatMap((e) => (e.kind === 'sensorChanged' ? [e.count] : []));
    expect(counts).toEqual(Array.from({ length: 4000 }, (_, at) => 100 + at));
    expect(rig.desk.crowded).toBe(false);
    expect(rig.desk.overflowed).toBe(0);
  });

  it('a stop pressed in a flood is out at once', () => {
    const rig = openRig();
    flood(rig, 20_000);
    rig.desk.stop('page');
    expect(acts(rig)).toEqual(['stop 1', 'numbers stop 1']);
  });

  it('beats are folded: of a board that is heard as it should be, one event for each half of the silence', () => {
    const rig = openRig();
    const before = rig.desk.show.n;
    for (let t = 0; t < 10_000; t += 10) {
      for (const c of yard.controllers.keys()) rig.desk.beat(c, rig.hand.session(c));
      rig.clock.pass(10);
    }
    expect(rig.desk.show.n - before).toBeLessThan(60);
    for (const c of yard.controllers.keys()) expect(rig.desk.show.controllers[c]!.live).toBe(true);
  });

  it('a beat of a session that is not known is taken at once, and answered with an announce', () => {
    const rig = openRig();
    rig.pass('1 s');
    rig.done.length = 0;
    rig.desk.beat('bell', 'stranger');
    rig.clock.settle();
    expect(acts(rig)).toContain('announce');
  });

  it('beats alone wait for the next write, and are on disk within a second or so', () => {
    const rig = openRig();
    beating(rig, 2500);
    const kinds = new Set(rig.journal.events(rig.hand.show.n, 100).map((e) => e.kind));
    expect([...kinds]).toEqual(['beatsHeard']);
    // a write each second, not one each turn
    expect(acts(rig).length).toBeLessThanOrEqual(4);
  });
});

describe('The heartbeat', () => {
  it('leaves every 250 ms from the loop that takes events, and bears the latched stop', () => {
    const rig = openRig();
    beating(rig, 5000);
    const beats = rig.sent.filter((s) => s.kind === 'heartbeat');
    expect(beats.length).toBeGreaterThanOrEqual(20);
    for (const [i, b] of beats.entries()) if (i > 0) expect(b.at - beats[i - 1]!.at).toBeLessThanOrEqual(250);
    expect(beats.every((b) => b.stop === 0)).toBe(true);
    rig.desk.stop('page');
    rig.pass('1 s');
    expect(rig.sent.filter((s) => s.kind === 'heartbeat').at(-1)!.stop).toBe(1);
  });

  it('does not leave while the loop stands still, nor while it stands down or the bus is away', () => {
    const rig = openRig();
    rig.pass('1 s');
    const still = rig.sent.length;
    rig.clock.block(5000);
    expect(rig.sent.length).toBe(still);
    const down = openRig();
    const other = { desk: 'desk-b', epoch: 9, up: true, by: 'heartbeat', retained: false } as const;
    down.desk.fact({ kind: 'deskHeard', ...other });
    down.clock.settle();
    const beats = down.sent.filter((s) => s.kind === 'heartbeat').length;
    down.pass('1900 ms');
    expect(down.sent.filter((s) => s.kind === 'heartbeat').length).toBe(beats);
  });
});

describe('A desk that waits, its start not yet taken', () => {
  const heard = (rig: Rig, latched: boolean, stop: number): void => {
    rig.desk.fact({ kind: 'stopHeard', latched, stop, desk: 'other', epoch: 9 });
    rig.pass('10 ms');
  };

  it('judges nobody by the state of before its restart, however long it waits', () => {
    const rig = openRig({ word: 'anew' });
    rig.pass('1 min');
    heard(rig, false, 0);
    expect(acts(rig)).toEqual(['append stopHeard']);
    expect(rig.journal.lines(0, 100)).toEqual([]);
    expect(rig.desk.show.mode).toBe('open');
  });

  it('stops above every number that it has heard, and is cleared by who clears there', () => {
    const rig = openRig({ word: 'anew' });
    heard(rig, false, 7);
    expect(rig.desk.stop('page')).toMatchObject({ n: 8, bus: true });
    rig.pass('10 ms');
    heard(rig, false, 7);
    expect(rig.desk.show.stop).toMatchObject({ latched: true, n: 8 });
    heard(rig, false, 8);
    expect(rig.desk.show).toMatchObject({ mode: 'held', stop: { latched: false, n: 8, clearedN: 8 } });
    expect(acts(rig).filter((d) => /^(stop|do|cleared) /.test(d))).toEqual(['stop 8']);
  });
});

describe('A loop that stood still', () => {
  it('hears what has come meanwhile before it judges anyone’s silence', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    rig.pass('100 ms');
    rig.clock.block(600);
    // their beats of that time wait to be read
    rig.clock.soon(() => {
      for (const c of yard.controllers.keys()) rig.desk.beat(c, rig.hand.session(c));
    });
    rig.pass('500 ms');
    expect(rig.desk.counts.stalls).toBe(1);
    expect(rig.journal.lines(0, 100).map((l) => l.code)).not.toContain('link-down');
  });

  /** The ferry is on its way out; what its board says of it, as it comes. */
  async function underWay(rig: Rig & { hand: Hand }) {
    await rig.ask(RUN);
    const { run, step, move, session } = rig.desk.show.props.ferry!.flight!;
    const says = (is: 'started' | 'done', more = {}) =>
      rig.desk.fact({
        kind: 'moveReported',
        prop: 'ferry',
        run,
        step,
        move,
        session,
        is,
        ...more,
      } as BusFact);
    const sense = (sensor: string, made: boolean) =>
      rig.desk.fact({
        kind: 'sensorChanged',
        prop: 'ferry',
        sensor,
        made,
        session,
        count: 9,
        retained: false,
      });
    says('started');
    rig.pass('100 ms');
    return { says, sense };
  }

  it('judges no limit before it has heard, piece by piece, what came meanwhile', async () => {
    const rig = openRig();
    const { says, sense } = await underWay(rig);
    // far past its limit
    rig.clock.block(60_000);
    for (const said of [
      () =>
        rig.desk.beat(
          yard.props.get('ferry')!.controller,
          rig.hand.session(yard.props.get('ferry')!.controller),
        ),
      () => sense('near', false),
      () => sense('far', true),
      () => says('done', { ms: 6000 }),
    ]) {
      said();
      rig.pass('50 ms');
    }
    expect(rig.desk.show.props.ferry).toMatchObject({ lockout: null, flight: null });
    expect(rig.journal.lines(0, 100).map((l) => l.code)).not.toContain('lockout-raised');
  });

  it('but keeps limits all the same, however often it stands still', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    // told, and its board never answers
    for (let i = 0; i < 20; i += 1) {
      rig.clock.block(400);
      for (const c of yard.controllers.keys()) rig.desk.beat(c, rig.hand.session(c));
      rig.pass('10 ms');
    }
    // and no answer to the halt either, which says more
    expect(rig.desk.show.props.ferry!.lockout!.fault.code).toBe('dead-halt');
  });

  it('is nobody’s fault: boards that have new sessions for it fail no one', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    rig.pass('100 ms');
    rig.clock.block(3000);
    rig.pass('10 ms');
    for (const c of yard.controllers.keys()) {
      const session = `${c}-new`;
      const props = [...yard.controllers.get(c)!];
      rig.desk.fact({
        kind: 'linkHeard',
        controller: c,
        up: true,
        session,
        first: session,
        props,
        stop: 0,
        epoch: 1,
        retained: false,
      });
    }
    rig.pass('1500 ms');
    const codes = rig.journal.lines(0, 100).map((l) => l.code);
    expect(codes).toContain('loop-stalled');
    expect(codes).not.toContain('lockout-raised');
    expect(codes).toContain('run-abandoned');
  });

  it('is seen too where it was the writing of the record that stood still', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    // the write of what waits, a second on, takes three seconds
    beating(rig, 750);
    rig.writeMs = 3000;
    rig.pass('500 ms');
    rig.writeMs = 0;
    for (const c of yard.controllers.keys()) {
      const session = `${c}-new`;
      const props = [...yard.controllers.get(c)!];
      rig.desk.fact({
        kind: 'linkHeard',
        controller: c,
        up: true,
        session,
        first: session,
        props,
        stop: 0,
        epoch: 1,
        retained: false,
      });
    }
    rig.pass('1500 ms');
    expect(rig.journal.lines(0, 100).map((l) => l.code)).not.toContain('lockout-raised');
  });
});

describe('A step of the wall clock', () => {
  it('is none where the processor was away between the reading of the two clocks', () => {
    const rig = openRig();
    const wall = rig.clock.wall.bind(rig.clock);
    let away = 1200;
    rig.clock.wall = () => {
      rig.clock.block(away);
      away = 0;
      return wall();
    };
    rig.pass('2 s');
    expect(away).toBe(0);
    expect(rig.journal.lines(0, 100).map((l) => l.code)).not.toContain('clock-stepped');
  });

  it('is told to the core, and moves no deadline', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    rig.clock.stepWall(3_600_000);
    beating(rig, 1000);
    expect(rig.desk.show.offsetMs).toBe(3_600_000);
    expect(rig.done.filter((d) => d === 'do ferry.out')).toHaveLength(2);
    rig.clock.stepWall(100);
    rig.pass('1 s');
    expect(rig.desk.show.offsetMs).toBe(3_600_000);
  });
});

describe('A broken invariant', () => {
  /** A show that can’t be: both ends of the ferry are made and fresh, and nobody has locked it out. */
  function impossible(): Rig & { hand: Hand } {
    const hand = opened(yard);
    const ferry = hand.show.props.ferry!;
    const far = { ...ferry.sensors.near!, made: true };
    const sensors = { ...ferry.sensors, far };
    const show = { ...hand.show, props: { ...hand.show.props, ferry: { ...ferry, sensors } } };
    return Object.assign(rigOf(show, hand.at), { hand });
  }

  it('stops everything, is written down, and ends the desk with its name', async () => {
    const rig = impossible();
    void rig.desk.ask(RUN);
    rig.clock.settle();
    await Promise.resolve();
    expect(acts(rig)).toContain('stop 1');
    await Promise.resolve();
    expect(rig.breaches.join()).toMatch(/^invariant 4: ferry shows two ends made/);
    expect(rig.numbers.stop).toBe(1);
    expect(rig.journal.lines(0, 10).at(-1)).toMatchObject({ code: 'breach' });
    const done = rig.done.length;
    rig.desk.stop('page');
    rig.pass('10 s');
    expect(rig.done.length).toBe(done);
  });

  it('lets nothing of that turn go out that moves', () => {
    const rig = impossible();
    void rig.desk.ask(RUN);
    rig.clock.settle();
    expect(acts(rig).filter((d) => d.startsWith('do '))).toEqual([]);
  });
});

describe('A stop and a clear in one turn', () => {
  it('leave the stop standing on the bus as the last word', async () => {
    const rig = openRig();
    rig.desk.stop('page');
    rig.pass('1 s');
    rig.done.length = 0;
    void rig.desk.ask(CLEAR);
    rig.desk.fact({ kind: 'stopHeard', latched: true, stop: 9, desk: 'desk-b', epoch: 1 });
    rig.clock.settle();
    expect(rig.desk.show.stop).toMatchObject({ latched: true, n: 9, clearedN: 1 });
    expect(
      acts(rig)
        .filter((d) => /^(stop|cleared)/.test(d))
        .at(-1),
    ).toBe('stop 9');
  });
});

describe('The end', () => {
  it('writes what is still to be written and keeps the state', async () => {
    const rig = openRig();
    await rig.ask(RUN);
    beating(rig, 700);
    rig.desk.stop('page');
    const report = expectReplays(rig);
    expect(report.events).toBe(rig.desk.show.n - rig.hand.show.n);
    expect(report.gaps).toEqual([]);
  });
});

import { describe, expect, it } from 'vitest';
import { landing, OPEN_MS } from '../show/landing.ts';
import { Script } from './script.ts';

/*
 * Every fault that needs no statistics, brought about as it happens in a yard: by the physics of the stand-ins, or by
 * messages that a bus loses. What counts is the code, the prop, the figures, and that the others go on.
 */

const openYard = (...changes: readonly (readonly [string, string])[]): Script =>
  new Script(landing(...changes)).untilOpen();

/** The crossing under way, the ferry two seconds off near. */
async function crossing(...changes: readonly (readonly [string, string])[]): Promise<Script> {
  const s = openYard(...changes);
  expect(await s.run('crossing')).toEqual([]);
  return s.advance('2 s');
}

/** The ferry has arrived and the ferryman rows. */
async function rowing(...changes: readonly (readonly [string, string])[]): Promise<Script> {
  const s = await crossing(...changes);
  s.await('the ferryman rows', () => s.moves('ferryman'), '8 s');
  return s.advance('1 s');
}

const locked = (s: Script, prop: string) => () => s.fault(prop) !== null;

/** Whatever is out of service, the bell tolls when asked to in a scene of its own. */
const othersGoOn = async (s: Script): Promise<void> => {
  expect(await s.run('lanterns-up')).toEqual([]);
  s.await('the lantern flickers', () => s.moves('lantern'), '1 s');
};

describe('travel-slow', () => {
  it('a jam on the way: left near, far not made within the limit, by the board or a second later by the desk', async () => {
    const s = await crossing();
    s.standin('jam ferry').await('a fault', locked(s, 'ferry'), '10 s');
    const f = s.fault('ferry')!;
    expect(f).toMatchObject({ code: 'travel-slow', move: 'out', sensor: 'far', other: 'near' });
    expect(f).toMatchObject({ usualMs: 6000, limitMs: 10_000 });
    expect(f.tookMs).toBeGreaterThanOrEqual(10_000);
    expect(f.tookMs).toBeLessThanOrEqual(10_050);
    expect(f.leftAt).toBeLessThan(f.at);
    s.expectLine('run-failed', /The crossing/);
    s.expectProp('ferry', { state: 'locked-out' });
    expect(s.moves('ferry')).toBe(false);
    await othersGoOn(s);
  });

  it('a weak supply that gives up after half of the way', async () => {
    const s = openYard().standin('weak ferry 50 %');
    await s.run('crossing');
    s.await('a fault', locked(s, 'ferry'), '12 s');
    expect(s.fault('ferry')).toMatchObject({ code: 'travel-slow', other: 'near' });
  });

  it('is the desk’s own where the board never says a word of it, a second after the limit', async () => {
    const s = await crossing();
    // from here on it acts and says nothing: its halt is not answered either, and so the yard is stopped
    s.standin('jam ferry').standin('mute ferry').await('a fault', locked(s, 'ferry'), '10 s');
    const f = s.fault('ferry')!;
    expect(f.code).toBe('travel-slow');
    expect(f.tookMs).toBe(11_000);
    s.advance('1100 ms').expectMode('stopped');
    expect(s.fault('ferry')!.code).toBe('dead-halt');
  });
});

describe('no-departure', () => {
  it('told to move, near still made after a third of the usual time', async () => {
    const s = openYard().standin('jam ferry');
    await s.run('crossing');
    s.await('a fault', locked(s, 'ferry'), '3 s');
    expect(s.fault('ferry')).toMatchObject({
      code: 'no-departure',
      move: 'out',
      sensor: 'near',
      tookMs: 2000,
      usualMs: 6000,
    });
    await othersGoOn(s);
  });

  it('never sooner than a second', async () => {
    const s = openYard(['usual: 6 s', 'usual: 1.5 s']).standin('jam ferry');
    await s.run('crossing');
    s.await('a fault', locked(s, 'ferry'), '2 s');
    expect(s.fault('ferry')).toMatchObject({ code: 'no-departure', tookMs: 1000 });
  });
});

describe('travel-short', () => {
  it('a sensor that sees light makes far in under 40 % of the usual time', async () => {
    const s = openYard().standin('early ferry.far');
    await s.run('crossing');
    s.await('a fault', locked(s, 'ferry'), '4 s');
    const f = s.fault('ferry')!;
    expect(f).toMatchObject({
      code: 'travel-short',
      move: 'out',
      sensor: 'far',
      other: 'near',
      usualMs: 6000,
    });
    expect(f.tookMs).toBeLessThan(2400);
    expect(f.tookMs).toBeGreaterThan(600);
    s.advance('1 s').expectMode('open');
    expect(s.r.desk.show.props.ferry!.travels).toEqual({});
  });
});

describe('both-ends', () => {
  it('a lost supply of the sensors reads both ends made, moving or at rest', async () => {
    const s = openYard().standin('dead-supply ferry').advance('100 ms');
    expect(s.fault('ferry')).toMatchObject({ code: 'both-ends', prop: 'ferry' });
    expect(new Set([s.fault('ferry')!.sensor, s.fault('ferry')!.other])).toEqual(new Set(['near', 'far']));
    const moving = await crossing();
    moving.standin('dead-supply ferry').advance('1 s');
    expect(moving.fault('ferry')).toMatchObject({ code: 'both-ends' });
    expect(moving.moves('ferry')).toBe(false);
    moving.expectMode('open');
  });

  it('a release is refused while the sensors contradict, and once they do not it moves nothing', async () => {
    const s = openYard().standin('broken-wire ferry.far').advance('100 ms');
    expect(s.fault('ferry')!.code).toBe('both-ends');
    expect(await s.release('ferry')).toEqual(['still-contradicts']);
    expect(s.prop('ferry').lockout!.barred).toMatch(/far/);
    s.standin('mend ferry').advance('100 ms');
    expect(s.fault('ferry')).not.toBe(null);
    const orders = s.r.bus.orders;
    expect(await s.release('ferry')).toEqual([]);
    s.advance('1 min');
    expect(s.r.bus.orders).toBe(orders);
    s.expectProp('ferry', { state: 'ready', at: 'near', lockout: null } as object);
    expect(await s.run('crossing')).toEqual([]);
  });
});

describe('end-lost', () => {
  it('at rest at near, near goes away without a command, in an open yard', () => {
    const s = openYard().standin('stray ferry').advance('1 s');
    expect(s.fault('ferry')).toMatchObject({ code: 'end-lost', sensor: 'near' });
  });

  it('coasts past the end after it has arrived', async () => {
    const s = openYard().standin('coast-past ferry');
    await s.run('crossing');
    s.await('a fault', locked(s, 'ferry'), '10 s');
    expect(s.fault('ferry')).toMatchObject({ code: 'end-lost', sensor: 'far' });
  });

  it('elsewhere its position just follows its sensors, since a person may be moving it', async () => {
    const s = new Script(landing()).expectMode('closed');
    s.expectProp('ferry', { state: 'ready', at: 'near' });
    s.standin('put ferry 50 %').advance('1 s');
    expect(s.fault('ferry')).toBe(null);
    s.expectProp('ferry', { state: 'unknown', at: null });
    s.standin('put ferry far').advance('1 s').expectProp('ferry', { state: 'ready', at: 'far' });
    expect(s.fault('ferry')).toBe(null);
  });
});

describe('stray-move', () => {
  it('an end is made as if it had moved, without a command', async () => {
    const s = openYard().standin('put ferry 50 %').advance('1 s');
    expect(s.fault('ferry')!.code).toBe('end-lost');
    expect(await s.release('ferry')).toEqual([]);
    s.advance('3 s').standin('put ferry far').advance('100 ms');
    expect(s.fault('ferry')).toMatchObject({ code: 'stray-move', sensor: 'far' });
  });
});

describe('chatter', () => {
  it('more than six edges of an end in two seconds, whatever its first edge was taken for', () => {
    const s = openYard().standin('chatter hatch.shut').advance('3 s');
    expect(s.fault('hatch')).toMatchObject({ code: 'chatter', sensor: 'shut', edges: 7 });
    s.expectLine('lockout-raised', /hatch/i).expectLine('lockout-raised', /hatch/i);
  });
});

describe('interlock-lost', () => {
  it('the ferry rolls off far while the ferryman rows: he is halted at once, under the ferry’s fault', async () => {
    const s = await rowing();
    s.standin('stray ferry').await('a fault', locked(s, 'ferry'), '1 s').advance('10 ms');
    expect(s.fault('ferry')).toMatchObject({ code: 'end-lost', sensor: 'far' });
    expect(s.fault('ferryman')).toMatchObject({
      code: 'interlock-lost',
      move: 'row',
      need: { kind: 'made', prop: 'ferry', sensor: 'far' },
      why: 'not-made',
      first: 'ferry',
    });
    expect(s.fault('ferryman')!.at).toBe(s.fault('ferry')!.at);
    expect(s.moves('ferryman')).toBe(false);
    expect(s.prop('ferryman').lockout).toMatchObject({ first: 'ferry' });
  });

  it('is released with the fault that leads, not before', async () => {
    const s = await rowing();
    s.standin('stray ferry').advance('1 s');
    expect(await s.release('ferryman')).toEqual(['follows-other']);
    const orders = s.r.bus.orders;
    expect(await s.release('ferry')).toEqual([]);
    expect([s.fault('ferry'), s.fault('ferryman')]).toEqual([null, null]);
    s.advance('30 s');
    expect(s.r.bus.orders).toBe(orders);
  });

  it('stands alone where what was needed has no fault: someone steps on the mat', async () => {
    const s = await rowing(['needs: [ferry.far]', 'needs: [ferry.far, not path-mat.step]']);
    s.standin('press path-mat.step').advance('100 ms');
    const f = s.fault('ferryman')!;
    expect(f).toMatchObject({ code: 'interlock-lost', why: 'made', need: { prop: 'path-mat' } });
    expect(f.first).toBe(undefined);
    expect(s.fault('ferry')).toBe(null);
    // the ferry is brought back by what the scene lists, once the ferryman is at rest
    s.await('the ferry is tidied', () => s.prop('ferry').at === 'near', '10 s');
    s.expectLine('run-failed', /The crossing/);
    expect(await s.release('ferryman')).toEqual([]);
  });

  it('under a lost link it locks nothing out: the ferryman is halted and both come back by themselves', async () => {
    const s = await rowing();
    s.standin('cut ferry-board').advance('1500 ms');
    expect(s.moves('ferryman')).toBe(false);
    expect([s.fault('ferry'), s.fault('ferryman')]).toEqual([null, null]);
    s.expectLine('lockout-raised', /Ferry/).expectLine('lockout-raised', /Ferryman/);
    s.expectLine('run-failed', /The crossing/).expectMode('open');
    s.standin('mend ferry-board').advance('35 s');
    expect(await s.run('crossing')).toEqual([]);
    s.await('the crossing is made', () => s.picture().scenes.crossing!.made === 1, '1 min');
  });
});

describe('overrun', () => {
  it('a timed move not done within its limit', async () => {
    const s = openYard().standin('slow lantern 40 %');
    await s.run('lanterns-up');
    s.await('a fault', locked(s, 'lantern'), '20 s');
    // the limit of a timed move is 1.5 times its length and 2 s more
    expect(s.fault('lantern')).toMatchObject({
      code: 'overrun',
      move: 'flicker',
      usualMs: 10_000,
      limitMs: 17_000,
    });
    expect(s.fault('lantern')!.tookMs).toBeGreaterThanOrEqual(17_000);
  });
});

describe('no-answer', () => {
  it('no `started` after two tries; a board that the order never reached answers the halt, and the yard goes on', async () => {
    const s = openYard().loseOrders('lantern');
    await s.run('lanterns-up');
    s.await('a fault', locked(s, 'lantern'), '3 s');
    expect(s.fault('lantern')).toMatchObject({ code: 'no-answer', move: 'flicker' });
    s.advance('2 s').expectMode('open');
    expect(s.r.desk.show.props.lantern!.flight).toBe(null);
    s.expectLine('run-failed', /Lanterns up/);
  });
});

describe('refused', () => {
  it('the board does not know the move', async () => {
    const s = openYard().standin('refuses lantern');
    await s.run('lanterns-up');
    s.advance('100 ms');
    expect(s.fault('lantern')).toMatchObject({ code: 'refused', move: 'flicker', why: 'unknown' });
  });
});

describe('failed', () => {
  it('the board’s own word', async () => {
    const s = openYard().standin('trips lantern');
    await s.run('lanterns-up');
    s.advance('200 ms');
    expect(s.fault('lantern')).toMatchObject({ code: 'failed', move: 'flicker', why: 'driver' });
  });

  it('done without its sensor', async () => {
    const s = openYard();
    await s.run('porch-scare');
    s.await('the hatch is open', () => s.prop('hatch').at === null, '2 s').advance('4 s');
    s.standin('idle hatch').await('a fault', locked(s, 'hatch'), '15 s');
    expect(s.fault('hatch')).toMatchObject({
      code: 'failed',
      move: 'close',
      sensor: 'shut',
      why: 'done without its sensor',
    });
  });
});

describe('link-lost', () => {
  const lose = (s: Script): Script => s.standin('reboot ferry-board').advance('3 s');

  it('in mid-run: the run fails, nothing is locked out, and the next run homes it first, no sooner than the notice', async () => {
    const s = lose(await crossing());
    s.expectLine('lockout-raised', /Ferry/).expectLine('run-failed', /The crossing/);
    expect(s.fault('ferry')).toBe(null);
    s.expectProp('ferry', { state: 'unknown', at: null });
    // the pond is kept clear for 20 s first; the board was back a second after its reboot
    s.advance('20 s');
    expect(await s.run('crossing')).toEqual(['too-soon-after-link']);
    s.advance('4 s');
    expect(await s.run('crossing')).toEqual(['too-soon-after-link']);
    s.advance('3 s');
    expect(await s.run('crossing')).toEqual([]);
    s.advance('500 ms').expectProp('ferry', { state: 'moving', move: { move: 'back' } } as object);
    s.await('the crossing is made', () => s.picture().scenes.crossing!.made === 1, '1 min');
  });

  it('the third in ten minutes locks out', async () => {
    const s = lose(await crossing());
    for (const times of [2, 3]) {
      s.advance('1 min');
      expect(await s.run('crossing')).toEqual([]);
      // homed first, then under way again
      s.await('it has left', () => s.prop('ferry').move?.move === 'out', '10 s').advance('1 s');
      lose(s);
      expect(s.fault('ferry')?.times ?? null).toBe(times === 3 ? 3 : null);
    }
    expect(s.fault('ferry')).toMatchObject({ code: 'link-lost', times: 3 });
    s.advance('1 min').expectProp('ferry', { state: 'locked-out' });
    expect(await s.release('ferry')).toEqual([]);
  });

  it('outside a run it is no fault at all', () => {
    const s = lose(openYard());
    s.advance('2 s').expectNoLine('lockout-raised').expectProp('ferry', { state: 'ready', at: 'near' });
  });

  it('a board that drives both the ferry and the ferryman may go without stopping the yard', async () => {
    const s = await rowing([
      '  ferryman:\n    title: Ferryman',
      '  ferryman:\n    title: Ferryman\n    controller: ferry-board',
    ]);
    s.standin('silence ferry-board').advance('5 s').expectMode('open');
    expect(s.moves('ferryman')).toBe(false);
    s.expectLine('run-failed', /The crossing/);
    s.standin('mend ferry-board').advance('35 s');
    expect(await s.run('crossing')).toEqual([]);
  });
});

describe('two-boards', () => {
  it('another controller of the yard claims the ferry', async () => {
    const s = openYard();
    const link = { up: true, session: 'x1', first: 'x1', contract: 1, stop: 0, epoch: 1 };
    s.say('controller/hatch/link', { ...link, props: ['hatch', 'ferry'] }, false).advance('100 ms');
    expect(s.fault('ferry')).toMatchObject({ code: 'two-boards', controllers: ['ferry-board', 'hatch'] });
    expect(s.fault('hatch')).toBe(null);
    s.expectMode('open');
    await othersGoOn(s);
  });

  it('two boards under one name take turns to be linked', async () => {
    const s = openYard();
    const link = { up: true, session: 'x1', first: 'x1', contract: 1, stop: 0, epoch: 1, props: ['ferry'] };
    for (let i = 0; i < 5; i++) s.say('controller/ferry-board/link', link).advance('1200 ms');
    expect(s.fault('ferry')).toMatchObject({
      code: 'two-boards',
      controllers: ['ferry-board', 'ferry-board'],
    });
    expect(await s.release('ferry')).toEqual(['two-boards-still']);
    s.advance('10 s');
    expect(await s.release('ferry')).toEqual([]);
  });
});

describe('dead-halt', () => {
  it('no answer to a halt within a second stops the whole yard', async () => {
    const s = openYard();
    expect(await s.run('crossing')).toEqual([]);
    s.standin('mute lantern');
    expect(await s.run('lanterns-up')).toEqual([]);
    // no `started`: told again at 1 s, halted at 2 s, and at 3 s the yard is stopped
    s.advance('2900 ms').expectMode('open');
    expect(s.fault('lantern')!.code).toBe('no-answer');
    s.advance('200 ms').expectMode('stopped');
    expect(s.fault('lantern')).toMatchObject({ code: 'dead-halt', move: 'flicker' });
    s.expectLine('stop-pressed', /lantern did not answer a halt/);
    s.advance('100 ms');
    for (const prop of ['ferry', 'lantern']) expect(s.moves(prop)).toBe(false);
  });

  it('once cleared the yard goes on without that prop', async () => {
    const s = openYard().standin('mute lantern');
    await s.run('lanterns-up');
    s.advance('4 s').expectMode('stopped');
    expect(await s.clear()).toEqual([]);
    expect(await s.open()).toEqual([]);
    s.advance('32 s').expectMode('open').expectProp('lantern', { state: 'locked-out' });
    expect(await s.run('crossing')).toEqual([]);
    expect(await s.run('lanterns-up')).toEqual(['locked-out']);
  });
});

describe('by-hand', () => {
  it('a person takes it out of service with a reason; what moved is halted; a release brings it back', async () => {
    const s = await crossing();
    expect(await s.ask({ kind: 'lockoutAsked', by: 'ann', prop: 'ferry', why: 'belt frayed' })).toEqual([]);
    s.advance('1 s').expectMode('open');
    expect(s.fault('ferry')).toMatchObject({ code: 'by-hand', why: 'belt frayed' });
    expect(s.moves('ferry')).toBe(false);
    s.advance('20 s');
    expect(await s.run('crossing')).toEqual(['locked-out']);
    expect(await s.release('ferry')).toEqual([]);
  });
});

describe('every fault', () => {
  it('skips only the scenes of its prop, with the reason, and acknowledging changes nothing else', async () => {
    const s = new Script(landing(), {
      runs: [1, 2].map((n) => ({
        id: `2026-10-31.crossing.${n}`,
        scene: 'crossing',
        startMs: OPEN_MS + n * 120_000,
      })),
    }).untilOpen();
    s.standin('stray ferry').advance('5 s');
    expect(await s.ask({ kind: 'acknowledged', by: 'ann', prop: 'ferry' })).toEqual([]);
    s.expectProp('ferry', { state: 'locked-out' });
    expect(s.prop('ferry').lockout!.acknowledged).toBe(true);
    s.advance('6 min');
    expect(s.lines('run-skipped').map((l) => l.reason)).toMatchObject([
      { for: { code: 'locked-out', prop: 'ferry', fault: 'end-lost' } },
      { for: { code: 'locked-out', prop: 'ferry', fault: 'end-lost' } },
    ]);
    await othersGoOn(s);
  });
});

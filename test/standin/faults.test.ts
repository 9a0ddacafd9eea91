import { describe, expect, it } from 'vitest';
import { FAULTS, type FaultName, faultKind } from '../../server/standin/faults.ts';
import { Rig, type RigOptions } from './rig.ts';
import { BELL, FERRY, HATCH, MAT } from './saltmarsh.ts';

/** Switches a fault on or off on the rig's prop; the board sees it in its next pass. */
function set(rig: Rig, prop: string, name: FaultName, on = true, sensor?: string, share?: number): void {
  rig.machines.get(prop)!.setFault(rig.at, name, on, sensor, share);
  rig.keep(rig.board.advanceTo(rig.at));
}

const senses = (rig: Rig, sensor: string, prop = 'ferry') => rig.on(`prop/${prop}/sense/${sensor}`);
const ferry = (options: RigOptions = {}) => Rig.linked(options);

describe('each fault, as the desk would see it', () => {
  const covered = new Set<string>();
  const fault = (name: FaultName, what: string, check: () => void) => {
    covered.add(name);
    it(`${name}: ${what}`, check);
  };

  fault('jam', 'at its end it never leaves, on its way it never arrives; the board fails it by limit', () => {
    const rig = ferry();
    set(rig, 'ferry', 'jam');
    rig.order('ferry', 'out');
    rig.run(12_000);
    expect(senses(rig, 'near')).toEqual([]);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
    const midway = ferry();
    midway.order('ferry', 'out');
    midway.run(3000);
    set(midway, 'ferry', 'jam');
    const mm = midway.truth('ferry').placeMm;
    midway.run(2000);
    expect(midway.truth('ferry')).toMatchObject({ energised: true, moving: false, placeMm: mm });
    set(midway, 'ferry', 'jam', false);
    midway.run(6000);
    expect(midway.dids('ferry').at(-1)).toMatchObject({ is: 'done' });
  });

  fault('jam', 'a timed routine that is jammed never ends by itself', () => {
    const rig = ferry();
    set(rig, 'ferryman', 'jam');
    rig.order('ferryman', 'row', { lastsMs: 45_000, limitMs: 50_000 });
    rig.run(50_000);
    expect(rig.dids('ferryman').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
  });

  fault('slow', 'takes longer by its share, and a change in mid-move counts from there', () => {
    const rig = ferry();
    set(rig, 'ferry', 'slow', true, undefined, 0.7);
    rig.order('ferry', 'out', { limitMs: 30_000 });
    rig.run(20_000);
    const ms = rig.dids('ferry').at(-1)!.ms as number;
    // half a blade more than the way between the ends, at 0.7 of the speed
    expect(ms).toBeCloseTo((7000 * 1.01) / 0.7, -1);
    const timed = ferry();
    timed.order('ferryman', 'row', { lastsMs: 10_000, limitMs: 50_000 });
    timed.run(5000);
    set(timed, 'ferryman', 'slow');
    timed.run(20_000);
    expect(timed.dids('ferryman').at(-1)).toMatchObject({ is: 'done', ms: 15_000 });
  });

  fault('weak', 'leaves its end and gives up on the way', () => {
    const rig = ferry();
    set(rig, 'ferry', 'weak');
    rig.order('ferry', 'out');
    rig.run(12_000);
    expect(senses(rig, 'near')).toMatchObject([{ made: false }]);
    expect(senses(rig, 'far')).toEqual([]);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
  });

  fault('low-air', 'slows a pneumatic move or stops it', () => {
    const rig = ferry({ props: [HATCH] });
    set(rig, 'hatch', 'low-air', true, undefined, 0.5);
    rig.order('hatch', 'slam', { lastsMs: 3000, limitMs: 6500 });
    rig.run(6500);
    expect(rig.dids('hatch').at(-1)).toMatchObject({ is: 'done', ms: 6000 });
    const none = ferry({ props: [HATCH] });
    set(none, 'hatch', 'low-air', true, undefined, 0.1);
    none.order('hatch', 'slam', { lastsMs: 3000, limitMs: 6500 });
    none.run(6500);
    expect(none.dids('hatch').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
    expect(senses(none, 'shut', 'hatch')).toEqual([]);
  });

  fault('coast-past', 'is done at its end and then rolls out of it', () => {
    const rig = ferry();
    set(rig, 'ferry', 'coast-past');
    rig.order('ferry', 'out');
    rig.run(9000);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'done' });
    expect(senses(rig, 'far').map((p) => p.made)).toEqual([true, false]);
  });

  fault('stuck-made', 'reads made whatever stands there', () => {
    const rig = ferry();
    set(rig, 'ferry', 'stuck-made', true, 'near');
    rig.order('ferry', 'out');
    rig.run(9000);
    expect(senses(rig, 'near')).toEqual([]);
    expect(senses(rig, 'far')).toMatchObject([{ made: true }]);
  });

  fault('stuck-clear', 'never reads made: the carriage drives against its stop until the limit', () => {
    const rig = ferry();
    set(rig, 'ferry', 'stuck-clear', true, 'far');
    rig.order('ferry', 'out');
    rig.run(12_000);
    expect(senses(rig, 'far')).toEqual([]);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'failed', why: 'limit' });
    expect(rig.truth('ferry').energised).toBe(false);
  });

  fault('broken-wire', 'reads made at an end and open at a mat', () => {
    const rig = ferry({ props: [FERRY, MAT] });
    set(rig, 'ferry', 'broken-wire', true, 'far');
    expect(senses(rig, 'far')).toMatchObject([{ made: true, n: 1 }]);
    set(rig, 'path-mat', 'broken-wire', true, 'step');
    rig.machines.get('path-mat')!.press(rig.at, 'step', 500);
    rig.run(1000);
    expect(senses(rig, 'step', 'path-mat')).toEqual([]);
  });

  fault('dead-supply', 'both ends read made at once', () => {
    const rig = ferry();
    set(rig, 'ferry', 'dead-supply');
    expect(senses(rig, 'far')).toMatchObject([{ made: true }]);
    rig.hear('announce', {});
    expect(senses(rig, 'near').at(-1)).toMatchObject({ made: true });
    set(rig, 'ferry', 'dead-supply', false);
    expect(senses(rig, 'far').at(-1)).toMatchObject({ made: false, n: 2 });
  });

  fault('chatter', 'more than six edges in two seconds', () => {
    const rig = ferry();
    set(rig, 'ferry', 'chatter', true, 'near');
    rig.run(2000);
    expect(senses(rig, 'near').length).toBeGreaterThan(6);
    set(rig, 'ferry', 'chatter', false);
    rig.forget();
    rig.run(5000);
    expect(senses(rig, 'near')).toEqual([]);
  });

  fault('early', 'makes the other end in well under 40 % of the usual time', () => {
    const rig = ferry();
    set(rig, 'ferry', 'early', true, 'far');
    rig.order('ferry', 'out');
    rig.run(9000);
    const ms = rig.dids('ferry').at(-1)!.ms as number;
    expect(ms).toBeLessThan(0.4 * 7000);
    expect(senses(rig, 'near')).toMatchObject([{ made: false }]);
    expect(senses(rig, 'far')).toMatchObject([{ made: true }]);
  });

  fault('mute', 'acts but does not answer, not even a halt', () => {
    const rig = ferry();
    set(rig, 'ferry', 'mute');
    rig.order('ferry', 'out');
    rig.run(9000);
    rig.hear('prop/ferry/halt', { prop: 'ferry', epoch: 12, why: 'no-answer' });
    expect(rig.dids('ferry')).toEqual([]);
    expect(senses(rig, 'far')).toMatchObject([{ made: true }]);
  });

  fault('idle', 'answers but does not act', () => {
    const rig = ferry();
    set(rig, 'ferry', 'idle');
    rig.order('ferry', 'out');
    rig.run(9000);
    expect(rig.dids('ferry').map((d) => d.is)).toEqual(['started', 'done']);
    expect(senses(rig, 'near')).toEqual([]);
    set(rig, 'ferryman', 'idle');
    rig.order('ferryman', 'row', { lastsMs: 4000 });
    expect(rig.truth('ferryman')).toMatchObject({ energised: false, moving: false });
    rig.run(4000);
    expect(rig.dids('ferryman').map((d) => d.is)).toEqual(['started', 'done']);
  });

  fault('refuses', 'refuses a move that it has as unknown', () => {
    const rig = ferry();
    set(rig, 'ferry', 'refuses');
    rig.order('ferry', 'out');
    expect(rig.dids('ferry')).toMatchObject([{ is: 'refused', why: 'unknown' }]);
  });

  fault('trips', 'fails by a word of its own right after the start', () => {
    const rig = ferry();
    set(rig, 'ferry', 'trips');
    rig.order('ferry', 'out');
    rig.run(1000);
    expect(rig.dids('ferry').map((d) => [d.is, d.why])).toEqual([
      ['started', undefined],
      ['failed', 'driver'],
    ]);
    expect(rig.truth('ferry').energised).toBe(false);
  });

  fault('stray', 'rolls off its end with no command', () => {
    const rig = ferry();
    set(rig, 'ferry', 'stray');
    rig.run(3000);
    expect(senses(rig, 'near')).toMatchObject([{ made: false, n: 1 }]);
    expect(rig.dids('ferry')).toEqual([]);
    expect(rig.truth('ferry')).toMatchObject({ energised: false, moving: false });
  });

  // The faults of a whole board need a fleet: see fleet.test.ts.
  it('are all covered here or are a board’s', () => {
    const ofProps = (Object.keys(FAULTS) as FaultName[]).filter((n) => faultKind(n).of !== 'controller');
    expect([...covered].sort()).toEqual(ofProps.sort());
  });
});

describe('the table of faults', () => {
  it('says why one can not be on a prop', () => {
    const unfit = (name: FaultName, rig: Rig, prop: string) => {
      const kind = faultKind(name);
      const machine = rig.machines.get(prop)!;
      return kind.of === 'controller' ? null : kind.unfit(machine.prop, machine.track);
    };
    const rig = new Rig({ props: [FERRY, HATCH, BELL, MAT] });
    expect(unfit('jam', rig, 'path-mat')).toBe('it has no moves');
    expect(unfit('low-air', rig, 'ferry')).toBe('none of its moves uses air');
    expect(unfit('low-air', rig, 'hatch')).toBeNull();
    expect(unfit('early', rig, 'hatch')).toBe('it has no two ends to travel between');
    expect(unfit('dead-supply', rig, 'path-mat')).toBe('it has no end sensors');
    expect(unfit('stray', rig, 'bell')).toBe('no sensor follows its movement');
  });

  it('adds up: two faults at once, and mending one leaves the other', () => {
    const rig = ferry();
    set(rig, 'ferry', 'slow');
    set(rig, 'ferry', 'jam');
    rig.order('ferry', 'out', { limitMs: 60_000 });
    rig.run(5000);
    expect(rig.truth('ferry').moving).toBe(false);
    set(rig, 'ferry', 'jam', false);
    rig.run(20_000);
    expect(rig.dids('ferry').at(-1)).toMatchObject({ is: 'done' });
    expect(rig.dids('ferry').at(-1)!.ms).toBeGreaterThan(5000 + 13_900);
  });
});

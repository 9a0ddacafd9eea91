import { describe, expect, it } from 'vitest';
import { tick } from './any.ts';
import { type Hand, opened } from './hand.ts';
import { landing, OPEN_MS } from './landing.ts';

/*
 * Circuits, air, zones, rest and duty at the moment of a start, at their exact limits. Where a figure can be taken from
 * outside the project it is named beside the check.
 */

/** Scenes of one move each, so that a single order can be asked for by hand. */
const ONE_MOVE = [
  'scenes:\n',
  'scenes:\n  out: {title: Out, steps: [ferry.out]}\n  row: {title: Row, steps: [ferryman.row]}\n  toll: {title: Toll, steps: [bell.toll]}\n  slam: {title: Slam, steps: [hatch.slam]}\n',
] as const;

const open = (...changes: readonly (readonly [string, string])[]): Hand =>
  opened(landing(ONE_MOVE, ...changes));

describe('Circuits', () => {
  // NEC 210.20(A): what flows for three hours or more may be 80 % of the overcurrent device (from memory)
  it('standing and running currents stay within the continuous share, to the limit itself', () => {
    // 2 A standing and 4 A of the compressor, which starts by itself; 1 A each of lantern and bell
    const exact = open(['breaker: 15 A', 'breaker: 10 A'], ['surge: 5 A', 'surge: 4 A']);
    expect(exact.run('lanterns-up')).toBe(null);
    expect(exact.run('toll')).toBe(null);
    const above = open(
      ['breaker: 15 A', 'breaker: 10 A'],
      ['surge: 5 A', 'surge: 4 A'],
      ['lasts: 6 s, load: {dock: 1 A}', 'lasts: 6 s, load: {dock: 1.01 A}'],
    );
    expect(above.run('lanterns-up')).toBe(null);
    expect(above.run('toll')).toEqual([{ code: 'circuit', circuit: 'dock', amps: 8.01, limitAmps: 8 }]);
  });

  it('a tenth of an ampere ten times over is an ampere: sums do not drift over the limit', () => {
    const tenths = open(
      ['breaker: 15 A', 'breaker: 15 A, continuous: 60 %'],
      ['load: {dock: 1 A}, loud', 'load: {dock: 2.7 A}, loud'],
      ['lasts: 10 s, load: {dock: 1 A}', 'lasts: 10 s, load: {dock: 0.3 A}'],
    );
    expect(tenths.run('lanterns-up')).toBe(null);
    expect(tenths.run('toll')).toBe(null);
  });

  it('standing and draws with surges stay within the breaker, to the limit itself', () => {
    const exact = open(['breaker: 15 A', 'breaker: 12 A']);
    expect(exact.run('lanterns-up')).toBe(null);
    // 2 + 4 + 1 + 5
    expect(exact.run('out')).toBe(null);
    const above = open(['breaker: 15 A', 'breaker: 11.9 A']);
    expect(above.run('lanterns-up')).toBe(null);
    expect(above.run('out')).toEqual([{ code: 'surge', circuit: 'dock', amps: 12, breakerAmps: 11.9 }]);
  });

  it('a surge is over after its time, and then only the running current counts', () => {
    const hand = open(
      ['breaker: 15 A', 'breaker: 11 A'],
      ['lasts: 10 s, load: {dock: 1 A}', 'lasts: 10 s, load: {dock: {run: 0.5 A, surge: 1 A for 300 ms}}'],
    );
    hand.run('out');
    hand.says('ferry', 'started');
    expect(hand.run('lanterns-up')).toMatchObject([{ code: 'surge', amps: 12 }]);
    hand.advance('399 ms');
    expect(hand.run('lanterns-up')).toMatchObject([{ code: 'surge' }]);
    hand.advance('1 ms');
    expect(hand.run('lanterns-up')).toBe(null);
  });

  it('what other runs have still to do counts at its expected time', () => {
    // the crossing rows from 6 s on with 4 A; a scare that tolls with 4 A at 13 s would meet it
    const hand = opened(
      landing(
        ['needs: [ferry.far], load: {dock: 1 A}', 'needs: [ferry.far], load: {dock: 4 A}'],
        ['lasts: 6 s, load: {dock: 1 A}', 'lasts: 6 s, load: {dock: 3 A}'],
      ),
    );
    expect(hand.run('crossing')).toBe(null);
    expect(hand.run('porch-scare')).toEqual([{ code: 'circuit', circuit: 'dock', amps: 13, limitAmps: 12 }]);
    tick(hand, 16_000);
    // the bell would begin at 29 s, when he has done rowing
    expect(hand.run('porch-scare')).toBe(null);
  });

  it('an expected time that comes otherwise is asked again at the step, which waits', () => {
    const hand = opened(
      landing(
        ['needs: [ferry.far], load: {dock: 1 A}', 'needs: [ferry.far], load: {dock: 4 A}'],
        ['lasts: 6 s, load: {dock: 1 A}', 'lasts: 6 s, load: {dock: 3 A}'],
      ),
    );
    hand.run('crossing');
    tick(hand, 16_000);
    expect(hand.run('porch-scare')).toBe(null);
    // he rows longer than is usual: until 31 s
    const until = hand.at + 15_000;
    while (hand.at < until) {
      const busy = hand.prop('ferryman').flight;
      for (const id of ['hatch', 'lantern', 'ferry']) if (hand.prop(id).flight) tickOne(hand, id);
      expect(busy).not.toBe(null);
      hand.advance('100 ms');
    }
    const scare = hand.show.runs.find((r) => r.scene === 'porch-scare')!;
    expect(scare.waitsFor).toMatchObject({ code: 'circuit', circuit: 'dock' });
    expect(hand.moves).not.toContain('bell.toll');
    hand.says('ferryman', 'done');
    expect(hand.moves).toContain('bell.toll');
  });
});

/** One prop of all does what it was told. */
function tickOne(hand: Hand, id: string): void {
  const f = hand.prop(id).flight!;
  const { until, usualMs } = hand.yard.props.get(id)!.moves.get(f.move)!;
  if (f.startedAt === null) hand.says(id, 'started');
  else if (hand.at >= f.startedAt + usualMs) {
    if (until) hand.sense(`${id}.${until}`, true);
    hand.says(id, 'done');
  } else if (until === null && id === 'hatch') hand.sense('hatch.shut', false);
}

describe('Air', () => {
  // 6 US gal hold 22.712 l; between 120 and 70 psi lie V·Δp/pa = 22.712470704 × 344.73785 / 101.325 = 77.27 l of free
  // air (Boyle's law, isothermal; gallon, psi and atmosphere by definition)
  it('is drawn down to the working pressure and no further, by the litre', () => {
    const twice = (litres: number): unknown => {
      const hand = open(['air: {shed: 2.4 l}', `air: {shed: ${litres} l}`]);
      expect(hand.run('slam')).toBe(null);
      hand.says('hatch', 'started').sense('hatch.shut', false).advance('3 s').says('hatch', 'done');
      return hand.run('slam');
    };
    // the first leaves 95 psi, above cut-in, so that nothing comes back in between
    expect(twice(38.63)).toBe(null);
    expect(twice(38.64)).toMatchObject([{ code: 'tank', tank: 'shed', workingKpa: 70 * 6.894757 }]);
  });

  it('comes back with the compressor, which runs from cut-in to cut-out', () => {
    // after 40 l there are 94.1 psi, above cut-in: nothing is refilled, however long one waits
    const hand = open(['air: {shed: 2.4 l}', 'air: {shed: 40 l}']);
    hand.run('slam');
    hand.says('hatch', 'started').sense('hatch.shut', false).advance('3 s').says('hatch', 'done');
    hand.advance('10 min');
    expect(hand.run('slam')).toMatchObject([{ code: 'tank' }]);
    // after 50 l there are 87.6 psi: 2.6 cfm, 73.6 l/min, make good the 22.8 l that are wanting in 18.6 s
    const low = open(['air: {shed: 2.4 l}', 'air: {shed: 50 l}']);
    low.run('slam');
    low.says('hatch', 'started').sense('hatch.shut', false).advance('3 s').says('hatch', 'done');
    low.advance('15 s');
    expect(low.run('slam')).toMatchObject([{ code: 'tank' }]);
    low.advance('1 s');
    expect(low.run('slam')).toBe(null);
  });
});

describe('Zones', () => {
  it('a scene fills its zone from its start to its end and the gap after it', () => {
    const hand = opened(
      landing(
        ONE_MOVE,
        ['out: {title: Out, steps', 'out: {title: Out, zone: pond, steps'],
        ['row: {title: Row, steps', 'row: {title: Row, zone: pond, steps'],
      ),
    );
    hand.run('out');
    expect(hand.run('row')).toEqual([{ code: 'zone', zone: 'pond', atMost: 1 }]);
    hand.travels('ferry', 'near', 'far');
    expect(hand.run('row')).toEqual([{ code: 'zone-gap', zone: 'pond', forMs: 20_000 }]);
    hand.advance('19999 ms');
    expect(hand.run('row')).toEqual([{ code: 'zone-gap', zone: 'pond', forMs: 1 }]);
    hand.advance('1 ms');
    expect(hand.run('row')).toBe(null);
  });

  it('holds as many as it may, gaps counted with them', () => {
    const two = opened(
      landing(
        ONE_MOVE,
        ['at-most: 1', 'at-most: 2'],
        ['out: {title: Out, steps', 'out: {title: Out, zone: pond, steps'],
        ['toll: {title: Toll, steps', 'toll: {title: Toll, zone: pond, steps'],
        ['slam: {title: Slam, steps', 'slam: {title: Slam, zone: pond, steps'],
      ),
    );
    expect([two.run('out'), two.run('toll')]).toEqual([null, null]);
    two.says('ferry', 'started').says('bell', 'started').sense('ferry.near', false);
    two.advance('6 s').says('bell', 'done');
    // one runs and one has its gap
    expect(two.run('slam')).toMatchObject([{ code: 'zone-gap' }]);
    two.sense('ferry.far', true).says('ferry', 'done').advance('20 s');
    expect(two.run('slam')).toBe(null);
  });

  it('a scene in none is bound by none', () => {
    const hand = open();
    expect([hand.run('out'), hand.run('toll'), hand.run('slam'), hand.run('lanterns-up')]).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });
});

describe('Rest', () => {
  it('of a prop: from the end of a scene that used it to the next that does', () => {
    const hand = open(['    home: near', '    home: near\n    rest: 30 s']);
    hand.run('out');
    hand.travels('ferry', 'near', 'far');
    expect(hand.run('out')).toEqual([{ code: 'rests', prop: 'ferry', forMs: 30_000 }]);
    hand.advance('29999 ms');
    expect(hand.run('out')).toMatchObject([{ code: 'rests' }]);
    hand.advance('1 ms');
    expect(hand.run('out')).toBe(null);
  });

  it('of a scene: from its end to its own next start', () => {
    const hand = open([
      'lanterns-up: {title: Lanterns up, ',
      'lanterns-up: {title: Lanterns up, rest: 60 s, ',
    ]);
    hand.run('lanterns-up');
    expect(hand.run('lanterns-up')).toEqual([{ code: 'scene-running', scene: 'lanterns-up' }]);
    hand.plays('lantern', '10 s');
    expect(hand.run('lanterns-up')).toEqual([{ code: 'scene-rests', scene: 'lanterns-up', forMs: 60_000 }]);
    hand.advance('60 s');
    expect(hand.run('lanterns-up')).toBe(null);
  });
});

describe('Duty', () => {
  const tired = (duty: string): Hand =>
    open(['  bell: {title: Bell, moves', `  bell: {title: Bell, duty: ${duty}, moves`]);

  it('of any span of that length at most this share is moved, to the millisecond', () => {
    // two tolls of 6 s are 12 s in a minute
    const exact = tired('{on: 20 %, over: 1 min}');
    exact.run('toll');
    exact.plays('bell', '6 s');
    expect(exact.run('toll')).toBe(null);
    exact.plays('bell', '6 s').advance('1 s');
    expect(exact.run('toll')).toEqual([{ code: 'duty', prop: 'bell', on: 0.2, overMs: 60_000 }]);
    // the first is over a minute ago when a third would end
    exact.advance(OPEN_MS + 60_000 - exact.at - 1);
    expect(exact.run('toll')).toMatchObject([{ code: 'duty' }]);
    exact.advance('1 ms');
    expect(exact.run('toll')).toBe(null);
  });

  it('what it moved while it failed counts too', () => {
    const hand = tired('{on: 10 %, over: 1 min}');
    hand.run('toll');
    hand.says('bell', 'started').advance('3 s').says('bell', 'failed', { why: 'driver' });
    hand.release('bell');
    hand.advance('30 s');
    expect(hand.run('toll')).toMatchObject([{ code: 'duty', prop: 'bell' }]);
  });
});

describe('Loud and quiet', () => {
  it('a loud move that is due late waits no longer once it would end after quiet: its run is abandoned', () => {
    const hand = opened(landing(), [], {
      date: '2026-10-31',
      prepareMs: OPEN_MS - 7_200_000,
      openMs: OPEN_MS,
      closeMs: OPEN_MS + 14_400_000,
      quietMs: OPEN_MS + 20_000,
      opensByItself: true,
      noticeMs: 30_000,
      noticeScene: null,
    });
    expect(hand.run('porch-scare')).toBe(null);
    hand.says('lantern', 'started').says('hatch', 'started').sense('hatch.shut', false);
    hand.advance('3 s').says('hatch', 'done');
    // the lantern is two seconds late, and the bell would end after quiet
    hand.advance('9 s').says('lantern', 'done').advance('2 s');
    hand.says('hatch', 'started').advance('1 s').sense('hatch.shut', true).says('hatch', 'done');
    expect(hand.show.runs[0]!.waitsFor).toMatchObject({ code: 'quiet' });
    hand.advance('10 s');
    expect(hand.moves).not.toContain('bell.toll');
    expect(hand.lines('run-abandoned')).toMatchObject([{ reason: { for: { code: 'quiet' } } }]);
  });
});

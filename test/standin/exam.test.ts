import { describe, expect, it } from 'vitest';
import { examTold } from '../../server/commands/exam.ts';
import { Board } from '../../server/standin/board.ts';
import { seeded } from '../../server/standin/chance.ts';
import {
  assumptionWarning,
  EXAM_CHECKS,
  type ExamOptions,
  examineOn,
  examWarning,
} from '../../server/standin/exam.ts';
import { supplyOf } from '../../server/standin/supply.ts';
import type { Out } from '../../server/standin/topics.ts';
import type { Prop } from '../../server/yard/types.ts';
import { type Bend, Bent, type In, Runaway } from './bent.ts';
import { BUTTON, FERRY, FERRYMAN, HATCH, MAT, SHED } from './saltmarsh.ts';
import { type BoardLike, VirtualBus } from './virtual-bus.ts';

const ROW = FERRYMAN.moves.get('row')!;
/** As the yard file has it: he rows only once the ferry is at the far end. */
const ROWS_AT_FAR: Prop = {
  ...FERRYMAN,
  moves: new Map([['row', { ...ROW, needs: [{ kind: 'made', prop: 'ferry', sensor: 'far' }] }]]),
};

function boardOf(props: readonly Prop[]): Board {
  const supply = supplyOf(new Map([['shed', SHED]]), 0);
  const machines = props.map((p, i) => new Runaway(p, { atMs: 0, chance: seeded(i), supply }));
  return new Board({ controller: 'ferry-board', root: 'yard', machines, chance: seeded(4), atMs: 0 });
}

async function exam(board: BoardLike, props: readonly Prop[], over: Partial<ExamOptions> = {}) {
  const bus = new VirtualBus(board);
  const options = { mayMove: true, powerCycle: () => bus.powerCycle(), ...over };
  return { bus, result: await examineOn(bus, 'ferry-board', props, options, 'examiner') };
}

const brokenOf = (result: { checks: readonly { id: string; verdict: string; found: string | null }[] }) =>
  result.checks.filter((c) => c.verdict === 'broken').map((c) => `${c.id}: ${c.found}`);

describe('the examination of a sound controller', () => {
  it.each([
    ['a ferry with its ferryman', [FERRY, ROWS_AT_FAR]],
    ['a hatch that is over before a silence is', [HATCH]],
    ['a ferryman with no sensors', [FERRYMAN]],
    ['all of it on one board', [FERRY, ROWS_AT_FAR, HATCH, MAT, BUTTON]],
  ])('finds nothing broken and tries everything: %s', async (_, props) => {
    const { result } = await exam(boardOf(props), props);
    expect(brokenOf(result)).toEqual([]);
    expect(result.checks.filter((c) => c.verdict === 'not tried')).toEqual([]);
    expect(result).toMatchObject({ ok: true, refused: null });
    expect(result.checks.map((c) => c.id)).toEqual(EXAM_CHECKS.map((c) => c.id));
  });

  it('brings the props home and leaves no stop latched and no desk up', async () => {
    const board = boardOf([FERRY, FERRYMAN]);
    const { bus } = await exam(board, [FERRY, FERRYMAN]);
    expect(board.machines[0]!.reads('near')).toBe(true);
    expect(board.machines.map((m) => m.truth().energised)).toEqual([false, false]);
    const kept = new Map<string, unknown>();
    bus.onMessage((topic, payload) => kept.set(topic, payload));
    expect(kept.get('yard/stop')).toMatchObject({ latched: false });
    expect(kept.get('yard/desk')).toMatchObject({ up: false });
    expect([...kept.keys()].filter((t) => t.endsWith('/do'))).toEqual([]);
  });

  it('moves nothing where it may not, and says what it did not try and why', async () => {
    const board = boardOf([FERRY]);
    const { result } = await exam(board, [FERRY], { mayMove: false, powerCycle: async () => {} });
    expect(board.machines[0]!.truth().placeMm).toBe(-10);
    expect(result.checks.find((c) => c.id === 'halt')).toMatchObject({
      verdict: 'not tried',
      found: 'it moves props, which was not allowed',
    });
  });

  it('tries what it can on a controller that moves nothing', async () => {
    const { result } = await exam(boardOf([MAT, BUTTON]), [MAT, BUTTON]);
    expect(brokenOf(result)).toEqual([]);
    const left = result.checks.filter((c) => c.verdict === 'not tried').map((c) => c.id);
    expect(left).toContain('moves');
    expect(result.checks.find((c) => c.id === 'stop')!.verdict).toBe('kept');
  });

  it('moves nothing whose needs do not hold by what the controller says, and is not content with that', async () => {
    const { result } = await exam(boardOf([ROWS_AT_FAR]), [ROWS_AT_FAR]);
    expect(result.checks.find((c) => c.id === 'moves')).toMatchObject({
      verdict: 'not tried',
      found: 'the needs of ferryman.row do not hold',
    });
    expect(brokenOf(result)).toEqual([]);
    expect(result.ok).toBe(false);
    expect(result.moves).toEqual({
      tested: [],
      untested: [
        {
          move: 'ferryman.row',
          why: "it needs ferry.far, which this board can't show",
          needs: ['ferry.far'],
        },
      ],
    });
    const told = examTold(result);
    expect(told.filter((line) => line.startsWith('Not tried, duty'))).toHaveLength(
      result.checks.filter((c) => c.verdict === 'not tried').length,
    );
    expect(told).toContain(
      'Not tried, duty 4: each move is started, and done by itself at its sensor or after its time; the needs of ferryman.row do not hold.',
    );
    expect(told.at(-1)).toMatch(/No move was tested\.$/);
  });

  it('tries those moves where a person makes sure of what they need, and says loudly of what', async () => {
    const { result } = await exam(boardOf([ROWS_AT_FAR]), [ROWS_AT_FAR], { assumesNeeds: true });
    expect(result.checks.filter((c) => c.verdict !== 'kept')).toEqual([]);
    expect(result).toMatchObject({ ok: true, moves: { tested: ['ferryman.row'], untested: [] } });
    expect(assumptionWarning([ROWS_AT_FAR])).toMatch(/^DANGER: .*ferry\.far for ferryman\.row/);
    expect(assumptionWarning([FERRY, ROWS_AT_FAR])).toBeNull();
  });

  it('tells of a move that was left out beside others that were tested', async () => {
    const back = FERRY.moves.get('back')!;
    const shut = { ...back, needs: [{ kind: 'made', prop: 'gate', sensor: 'shut' } as const] };
    const ferry = { ...FERRY, moves: new Map([...FERRY.moves, ['back', shut] as const]) };
    const { result } = await exam(boardOf([ferry]), [ferry]);
    expect(result.moves.tested).toEqual(['ferry.out']);
    expect(examTold(result)).toContain(
      "Not tested, move ferry.back: it needs gate.shut, which this board can't show.",
    );
  });

  it('finds nothing broken on a board that comes to the bus only after it, so that all is heard live', async () => {
    const bus = new VirtualBus(boardOf([FERRY]), 20_000);
    const options = { mayMove: true, appearMs: 60_000 };
    const result = await examineOn(bus, 'ferry-board', [FERRY], options, 'examiner');
    expect(result.refused).toBeNull();
    expect(brokenOf(result)).toEqual([]);
    expect(result.checks.find((c) => c.id === 'link')!.verdict).toBe('kept');
  });

  it.each([
    ['its link', 'link', 'its link is not retained'],
    ['its readings', 'sense', 'no retained reading of ferry.near'],
  ])('still sees that such a board does not retain %s', async (_, kind, found) => {
    const bent = new Bent(
      boardOf([FERRY]),
      says(kind, (o) => [{ ...o, retain: false }]),
    );
    const bus = new VirtualBus(bent, 20_000);
    const options = { mayMove: false, appearMs: 60_000 };
    const result = await examineOn(bus, 'ferry-board', [FERRY], options, 'examiner');
    expect(brokenOf(result)).toEqual([`link: ${found}`]);
  });

  it('leaves out what takes a power cycle where nobody is there to do it', async () => {
    const board = boardOf([FERRY]);
    const bus = new VirtualBus(board);
    const result = await examineOn(bus, 'ferry-board', [FERRY], { mayMove: true }, 'examiner');
    const left = result.checks.filter((c) => c.verdict === 'not tried').map((c) => c.id);
    expect(left).toEqual(['power-up', 'will', 'retained-do']);
    expect(result.ok).toBe(true);
  });

  it('warns of what will move', () => {
    expect(examWarning('ferry-board', [FERRY, FERRYMAN, MAT])).toMatch(
      /Ferry, Ferryman will move.*hard-wired red button/s,
    );
    expect(examWarning('path-mat', [MAT])).toContain('Nothing of it moves');
    expect(examWarning('ferry-board', [FERRY], false)).not.toContain('will move');
    expect(examWarning('ferry-board', [FERRY], false)).toContain('No move is asked for');
  });
});

describe('it does not begin', () => {
  it('where a yard computer drives the bus', async () => {
    const board = boardOf([FERRY]);
    const bus = new VirtualBus(board);
    const beat = { desk: 'q4x1', epoch: 12, n: 1, silenceMs: 1000, stop: 0 };
    bus.every(250, () => bus.publish('yard/heartbeat', JSON.stringify(beat), false));
    const result = await examineOn(bus, 'ferry-board', [FERRY], { mayMove: true }, 'examiner');
    expect(result).toMatchObject({ ok: false, checks: [] });
    expect(result.refused).toContain('q4x1, epoch 12');
  });

  it('where a stop is latched', async () => {
    const bus = new VirtualBus(boardOf([FERRY]));
    bus.publish('yard/stop', JSON.stringify({ latched: true, n: 8, desk: 'q4x1', epoch: 12 }), true);
    const result = await examineOn(bus, 'ferry-board', [FERRY], { mayMove: true }, 'examiner');
    expect(result.refused).toContain('Stop 8 holds on this bus');
  });

  it('where the board obeys a stop of a bus that is gone, of which this one knows nothing', async () => {
    const board = boardOf([FERRY]);
    board.dial(0);
    board.connect(0);
    const desk = { desk: 'q4x1', epoch: 12 };
    board.receive(0, 'yard/stop', { latched: true, n: 8, ...desk }, false);
    const bus = new VirtualBus(board);
    const result = await examineOn(bus, 'ferry-board', [FERRY], { mayMove: true }, 'examiner');
    expect(result).toMatchObject({ ok: false, checks: [] });
    expect(result.refused).toContain('ferry-board still obeys stop 8');
    // nothing was released by that: the stop is a person's to clear
    const kept: unknown[] = [];
    bus.onMessage((topic) => topic === 'yard/stop' && kept.push(topic));
    expect(kept).toEqual([]);
  });

  it('but does where the stop that the board obeyed was cleared', async () => {
    const board = boardOf([FERRY]);
    board.dial(0);
    board.connect(0);
    const desk = { desk: 'q4x1', epoch: 12 };
    board.receive(0, 'yard/stop', { latched: true, n: 8, ...desk }, false);
    board.receive(0, 'yard/stop', { latched: false, n: 8, ...desk }, false);
    const result = await examineOn(new VirtualBus(board), 'ferry-board', [FERRY], { mayMove: true }, 'x');
    expect(result.refused).toBe(null);
    expect(brokenOf(result)).toEqual([]);
  });

  it('where the controller is not there', async () => {
    const bus = new VirtualBus(boardOf([FERRY]));
    const result = await examineOn(bus, 'frry-board', [FERRY], { mayMove: true }, 'examiner');
    expect(result.refused).toBe('frry-board is not on this bus: no link on yard/controller/frry-board/link.');
  });

  it('takes an epoch and stop numbers above all that the bus knows', async () => {
    const board = boardOf([FERRY]);
    const bus = new VirtualBus(board);
    bus.publish('yard/desk', JSON.stringify({ up: false, desk: 'zzzz', epoch: 40 }), true);
    bus.publish('yard/stop', JSON.stringify({ latched: false, n: 17, desk: 'zzzz', epoch: 40 }), true);
    const seen: number[] = [];
    const result = await examineOn(bus, 'ferry-board', [FERRY], { mayMove: true }, 'examiner');
    bus.onMessage((topic, p) => topic === 'yard/stop' && seen.push(Number(p!.n), Number(p!.epoch)));
    expect(brokenOf(result)).toEqual([]);
    expect(seen[0]).toBeGreaterThan(17);
    expect(seen[1]).toBeGreaterThan(40);
  });
});

// ---- one mistake at a time: each must break exactly the checks named ----

type OutBend = NonNullable<Bend['out']>;
type InBend = NonNullable<Bend['in']>;

const says = (kind: string, change: (o: Out, during: string, bent: Bent) => Out[]): { out: OutBend } => ({
  out: (o, k, during, bent) => (k === kind ? change(o, during, bent) : [o]),
});
const hears = (kind: string, change: (m: In, bent: Bent) => In[]): { in: InBend } => ({
  in: (m, bent) => (m.kind === kind ? change(m, bent) : [m]),
});
const put = (o: Out, over: object): Out[] => [{ ...o, payload: { ...o.payload, ...over } }];
const tell = (m: In, over: object): In => ({ ...m, payload: { ...m.payload, ...over } });
const renew = (m: In): In => ({ ...m, kind: 'renew' });

type Mistake = readonly [what: string, breaks: readonly string[], bend: () => Bend];

const MISTAKES: Readonly<Record<number, readonly Mistake[]>> = {
  1: [
    [
      'moves when power returns',
      ['power-up'],
      () => {
        let powered = false;
        return {
          onPower: (bent, atMs) => {
            powered = true;
            bent.board.machines[0]!.start(atMs, FERRY.moves.get('out')!, null);
          },
          runsOn: () => powered,
        };
      },
    ],
    [
      'keeps its session over a reboot',
      ['power-up'],
      () => ({ keepsSession: (during) => ['reboot', 'connect', 'desk'].includes(during) }),
    ],
  ],
  2: [
    ['links with fewer props', ['link'], () => says('link', (o) => put(o, { props: ['ferry'] }))],
    ['links without retaining it', ['link'], () => says('link', (o) => [{ ...o, retain: false }])],
    ['links by another contract', ['link'], () => says('link', (o) => put(o, { contract: 2 }))],
    ['does not retain its readings', ['link'], () => says('sense', (o) => [{ ...o, retain: false }])],
    ['does not answer announce', ['announce'], () => hears('announce', () => [])],
    [
      'answers announce without its sensors',
      ['announce'],
      () => says('sense', (o, during) => (during === 'announce' ? [] : [o])),
    ],
    ['beats half as often', ['beat'], () => says('beat', (o) => (Number(o.payload.n) % 2 ? [] : [o]))],
    ['does not count its beats', ['beat'], () => says('beat', (o) => put(o, { n: 1 }))],
    ['does not mind a late will', ['late-will'], () => hears('link', () => [])],
    [
      'says nothing when the heartbeat is back',
      ['back'],
      () => ({ out: (o, kind, during) => (during === 'back' && kind !== 'stopped' ? [] : [o]) }),
    ],
    [
      'names another session in its will',
      ['will'],
      () => says('link', (o, during) => (during === 'dial' ? put(o, { session: 'x' }) : [o])),
    ],
    ['does not count edges', ['edges'], () => says('sense', (o) => put(o, { n: 0 }))],
  ],
  3: [
    [
      'takes a do of any session',
      ['refuse-session'],
      () => hears('do', (m, bent) => [tell(m, { session: bent.session })]),
    ],
    [
      'refuses by a word of its own',
      ['refuse-session'],
      () => says('did', (o) => (o.payload.why === 'session' ? put(o, { why: 'old' }) : [o])),
    ],
    [
      'looks at the word of a desk alone',
      ['refuse-epoch'],
      () => hears('do', (m, bent) => [m.payload.desk === bent.followed.desk ? tell(m, bent.followed) : m]),
    ],
    [
      'does not answer an unknown move',
      ['refuse-unknown'],
      () => says('did', (o) => (o.payload.why === 'unknown' ? [] : [o])),
    ],
    [
      'takes a do without a heartbeat',
      ['refuse-heartbeat'],
      () =>
        hears('do', (m, bent) => {
          const payload = { ...bent.followed, n: 1, silenceMs: 1000, stop: 0 };
          const beat = { ...m, kind: 'heartbeat', topic: 'yard/heartbeat', payload };
          return bent.hushed ? [beat, m] : [m];
        }),
    ],
    [
      'goes by the topic of a do alone',
      ['wrong-prop'],
      () => hears('do', (m) => [tell(m, { prop: m.topic.split('/')[2] })]),
    ],
    [
      'hangs for a while over what it can not read',
      ['malformed'],
      () => {
        let hangs = false;
        return {
          in: (m) => {
            if (m.payload.epoch === 'x') hangs = true;
            else if (m.kind === 'do') hangs = false;
            return [m];
          },
          out: (o, kind) => (hangs && kind === 'beat' ? [] : [o]),
        };
      },
    ],
    [
      'refuses a do with a key that it does not know',
      ['malformed'],
      () => hears('do', (m) => [m.payload.sparkle ? tell(m, { move: 'none' }) : m]),
    ],
    [
      'turns round for a second do',
      ['busy'],
      () =>
        hears('do', (m, bent) => {
          const halt = { ...m, kind: 'halt', topic: m.topic.replace(/do$/, 'halt') };
          return bent.moving !== null && bent.moving !== m.payload.run ? [halt, m] : [m];
        }),
    ],
    [
      'takes the same run and step for another',
      ['twice'],
      () => {
        const seen = new Set<unknown>();
        return {
          ...hears('do', (m) => {
            const again = seen.has(m.payload.run);
            seen.add(m.payload.run);
            return [again ? tell(m, { step: 7 }) : m];
          }),
          ...says('did', (o) => put(o, { step: 0 })),
        };
      },
    ],
    [
      'takes a do that the broker kept for a live one',
      ['retained-do'],
      () => hears('do', (m) => [{ ...m, retained: false }]),
    ],
  ],
  4: [
    [
      'does not say started',
      ['moves'],
      () => {
        const seen = new Set<unknown>();
        return says('did', (o) => {
          const anew = o.payload.is === 'started' && !seen.has(o.payload.run);
          seen.add(o.payload.run);
          return anew ? [] : [o];
        });
      },
    ],
    ['says done without ms', ['moves'], () => says('did', (o) => put(o, { ms: undefined }))],
    ['does not watch the limit', ['limit'], () => hears('do', (m) => [tell(m, { limitMs: 60_000 })])],
  ],
  5: [
    ['runs on through a silence', ['silence'], () => ({ runsOn: (during) => during === 'silence' })],
    [
      'keeps its session through a silence',
      ['silence'],
      () => ({ keepsSession: (during) => during === 'silence' }),
    ],
    [
      'is kept going by a lower desk',
      ['lower-desk'],
      () =>
        hears('heartbeat', (m, bent) => [
          Number(m.payload.epoch) < bent.followed.epoch ? tell(m, bent.followed) : m,
        ]),
    ],
    [
      'does not follow a higher epoch',
      ['higher-epoch'],
      () => hears('heartbeat', (m) => (m.payload.desk === 'a-new-desk' ? [] : [m])),
    ],
    [
      'runs on for a higher epoch',
      ['higher-epoch'],
      () => ({ runsOn: (_, m) => m?.kind === 'heartbeat' && m.payload.desk === 'a-new-desk' }),
    ],
    [
      'goes by the epoch alone',
      ['greater-word'],
      () => hears('heartbeat', (m) => (String(m.payload.desk).endsWith('-z') ? [] : [m])),
    ],
  ],
  6: [
    [
      'hears of a stop by the heartbeat alone',
      ['stop', 'stop-again', 'stop-refuses', 'clear'],
      () => hears('stop', (m) => (m.payload.latched ? [] : [m])),
    ],
    ['runs on through a stop', ['stop'], () => ({ runsOn: (during) => during === 'stop' })],
    ['keeps its session through a stop', ['stop'], () => ({ keepsSession: (during) => during === 'stop' })],
    ['does not say stopped', ['stop', 'stop-heartbeat'], () => says('stopped', () => [])],
    [
      'says that it is not safe',
      ['stop', 'stop-heartbeat'],
      () => says('stopped', (o) => put(o, { safe: false })),
    ],
    [
      'links without the number of the stop',
      ['stop', 'stop-heartbeat'],
      () => says('link', (o) => put(o, { stop: 0 })),
    ],
    [
      'begins a new session at each repeat of a stop',
      ['stop-again'],
      () =>
        hears('stop', (m, bent) => (m.payload.latched && m.payload.n === bent.latched ? [m, renew(m)] : [m])),
    ],
    [
      'takes a do while stopped',
      ['stop-refuses', 'clear'],
      () =>
        hears('stop', (m, bent) =>
          m.payload.latched ? [m, tell(m, { latched: false, ...bent.followed })] : [m],
        ),
    ],
    [
      'is cleared by any number',
      ['clear'],
      () => hears('stop', (m, bent) => [m.payload.latched ? m : tell(m, { n: bent.latched })]),
    ],
    [
      'is cleared by any desk',
      ['clear'],
      () => hears('stop', (m, bent) => [m.payload.latched ? m : tell(m, bent.followed)]),
    ],
    [
      'does not mind a stop in the heartbeat',
      ['stop-heartbeat'],
      () => hears('heartbeat', (m) => [tell(m, { stop: 0 })]),
    ],
    [
      'begins a new session for a late heartbeat',
      ['stop-late'],
      () => {
        let cleared = 0;
        return {
          in: (m) => {
            if (m.kind === 'stop' && !m.payload.latched) cleared = Number(m.payload.n);
            return m.kind === 'heartbeat' && cleared > 0 && m.payload.stop === cleared ? [m, renew(m)] : [m];
          },
        };
      },
    ],
  ],
  7: [
    ['does not halt', ['halt'], () => hears('halt', () => [])],
    ['says halted and goes on', ['halt'], () => ({ runsOn: (during) => during === 'halt' })],
    [
      'does not answer a halt at rest',
      ['halt'],
      () => says('did', (o, _, bent) => (o.payload.is === 'halted' && bent.moving === null ? [] : [o])),
    ],
    [
      'begins a new session at a halt',
      ['halt'],
      () => hears('halt', (m) => (m.payload.prop ? [m, renew(m)] : [m])),
    ],
  ],
};

describe.each(Object.entries(MISTAKES))('a board that breaks duty %s', (duty, mistakes) => {
  it.each(mistakes)('%s: breaks %j and nothing else', async (_, breaks, bend) => {
    const { result } = await exam(new Bent(boardOf([FERRY, ROWS_AT_FAR]), bend()), [FERRY, ROWS_AT_FAR]);
    const broken = result.checks.filter((c) => c.verdict === 'broken');
    expect(brokenOf(result)).toEqual(breaks.map((id) => expect.stringContaining(`${id}: `)));
    expect(new Set(broken.map((c) => c.duty))).toEqual(new Set([Number(duty)]));
    expect(broken.every((c) => c.means !== null)).toBe(true);
    expect(result.ok).toBe(false);
  });
});

it('has a mistake for every check', () => {
  const broken = Object.values(MISTAKES).flatMap((list) => list.flatMap(([, breaks]) => breaks));
  expect(EXAM_CHECKS.map((c) => c.id).filter((id) => !broken.includes(id))).toEqual([]);
});

it('finds a prop that answers but does not act', async () => {
  const board = boardOf([FERRY]);
  board.machines[0]!.setFault(0, 'idle', true);
  const { result } = await exam(board, [FERRY]);
  expect(brokenOf(result)).toEqual(['moves: ferry.out: done, but far was never made']);
});

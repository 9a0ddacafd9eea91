import { writeNeed } from '../file/names.ts';
import type { Move, Need, Prop } from '../yard/types.ts';
import { wordOf } from './chance.ts';
import type { Check } from './checks.ts';
import { LAST_CHECKS, LINK_CHECKS } from './checks-link.ts';
import { ORDER_CHECKS } from './checks-orders.ts';
import { STOP_CHECKS } from './checks-stop.ts';
import { mqttExamBus } from './exam-bus.ts';
import { ANSWER_MS, type ExamBus, Examiner, type Heard } from './examiner.ts';
import { compareDesks, type Desk } from './fences.ts';
import { DEFAULT_SILENCE_MS, topicsOf } from './topics.ts';

/**
 * The examination of a controller, real or stand-in, against the bus contract: it acts as the yard's desk, tries each
 * duty, and tells which was not kept and what that means. It moves props.
 */

export interface ExamOptions {
  /** First topic level; `yard` unless told. */
  readonly root?: string;
  /** Of the yard file's bus; 1 s unless told. */
  readonly silenceMs?: number;
  /** False: only what moves nothing if all is well. */
  readonly mayMove: boolean;
  /** A person has made sure that what the moves need of other boards' props is so. */
  readonly assumesNeeds?: boolean;
  /** ms that the board may take to appear; 1.5 s on top of the silence unless told. */
  readonly appearMs?: number;
  /** Cuts and restores the board's power, or has a person do it; left out, what needs it is not tried. */
  readonly powerCycle?: () => Promise<void>;
  /** Told of each check as it ends. */
  readonly onCheck?: (result: CheckResult) => void;
}

export interface CheckResult {
  readonly id: string;
  /** Number of the duty in the contract. */
  readonly duty: number;
  readonly title: string;
  readonly verdict: 'kept' | 'broken' | 'not tried';
  /** What was seen instead, or why it was not tried; null where kept. */
  readonly found: string | null;
  /** What it means for the yard; null unless broken. */
  readonly means: string | null;
}

export interface ExamResult {
  readonly controller: string;
  /** The examination took place, no duty was found broken, and where moves were to be tested, one was. */
  readonly ok: boolean;
  /** Why it did not take place; null where it did. */
  readonly refused: string | null;
  readonly checks: readonly CheckResult[];
  /** Of all its moves, `prop.move`; `untested` where moves were to be tested. */
  readonly moves: { readonly tested: readonly string[]; readonly untested: readonly Untested[] };
}

export interface Untested {
  readonly move: string;
  /** A clause: `it needs ferry.far, which this board can't show`. */
  readonly why: string;
  /** What it needs of props that are on other boards, as the yard file writes needs; none: it failed for another cause. */
  readonly needs: readonly string[];
}

export const EXAM_CHECKS: readonly Check[] = [
  ...LINK_CHECKS,
  ...ORDER_CHECKS,
  ...STOP_CHECKS,
  ...LAST_CHECKS,
];

/** What a person must read before an examination begins. */
export function examWarning(controller: string, props: readonly Prop[], mayMove = true): string {
  const moving = props.filter((p) => p.moves.size > 0).map((p) => p.title);
  const what =
    moving.length === 0
      ? 'Nothing of it moves'
      : mayMove
        ? `${moving.join(', ')} will move, several times, and stop on the way`
        : 'No move is asked for, but it is given orders that it must refuse, and a board with a mistake may move';
  return (
    `Examining ${controller}: ${what}. Every other board on this bus is stopped and released with it. ` +
    'Clear the yard, keep a hand on the hard-wired red button, and stay out of reach until the examination has ended.'
  );
}

/** What a person takes upon themselves with the needs that an examination can't see; null where there are none. */
export function assumptionWarning(props: readonly Prop[]): string | null {
  const needs = props.flatMap((p) =>
    [...p.moves.values()].flatMap((m) => foreign(props, m).map((n) => `${writeNeed(n)} for ${p.id}.${m.id}`)),
  );
  if (needs.length === 0) return null;
  return (
    'DANGER: its moves are tried although nobody checks what they need of other props. A person must make sure, ' +
    `before and all the time: ${[...new Set(needs)].join('; ')}. If you can't, unplug its motors and its air.`
  );
}

/** What a move needs of props that other boards drive. */
function foreign(props: readonly Prop[], move: Move): Need[] {
  return move.needs.filter((n) => !props.some((p) => p.id === n.prop));
}

/** Examines over a broker at `url`. Rejects where the broker can't be reached. */
export async function examine(
  controller: string,
  props: readonly Prop[],
  url: string,
  options: ExamOptions,
): Promise<ExamResult> {
  const root = options.root ?? 'yard';
  const bus = await mqttExamBus(url, root);
  try {
    return await examineOn(bus, controller, props, options, wordOf(Math.random));
  } finally {
    await bus.close();
  }
}

/** Examines over any bus; `word` names this desk. Leaves the bus with no stop latched and this desk down. */
export async function examineOn(
  bus: ExamBus,
  controller: string,
  props: readonly Prop[],
  options: ExamOptions,
  word: string,
): Promise<ExamResult> {
  const root = options.root ?? 'yard';
  const silenceMs = options.silenceMs ?? DEFAULT_SILENCE_MS;
  const topics = topicsOf(root);
  const early: Heard[] = [];
  let hear = (topic: string, payload: Heard['payload'] | null, retained: boolean) => {
    if (payload) early.push({ atMs: bus.nowMs(), topic, payload, retained });
  };
  bus.onMessage((topic, payload, retained) => hear(topic, payload, retained));
  await bus.wait(2 * silenceMs);

  const heard = (topic: string) => early.filter((h) => h.topic === topic).map((h) => h.payload);
  const no = (refused: string): ExamResult => {
    return { controller, ok: false, refused, checks: [], moves: { tested: [], untested: [] } };
  };
  const [other] = heard(topics.heartbeat);
  if (other) {
    return no(
      `A yard computer (${other.desk}, epoch ${other.epoch}) drives this bus. Stop it first, then examine.`,
    );
  }
  const latched = heard(topics.stop).at(-1);
  if (latched?.latched === true) {
    return no(
      `Stop ${latched.n} holds on this bus until someone clears it. Find out why, clear it from the yard's page, then examine.`,
    );
  }
  const before = early.map((h) => h.payload);
  const highest = (key: string) =>
    Math.max(0, ...(before.map((p) => p[key]).filter((v) => Number.isInteger(v)) as number[]));
  const me: Desk = { desk: word, epoch: highest('epoch') + 1 };
  const stop = Math.max(highest('stop'), ...heard(topics.stop).map((s) => Number(s.n) || 0));
  const assumesNeeds = options.assumesNeeds ?? false;
  const x = new Examiner({ controller, props, bus, root, silenceMs, me, stop, assumesNeeds });
  for (const h of early) x.hear(h.topic, h.payload, h.retained);
  hear = (topic, payload, retained) => x.hear(topic, payload, retained);
  x.say(topics.desk, { up: true, ...me, contract: 1 }, true);
  x.beat(true);
  try {
    const appearMs = options.appearMs ?? silenceMs + ANSWER_MS;
    if (!(await bus.wait(appearMs, () => x.links(0).length > 0 && x.session !== null))) {
      return no(`${controller} is not on this bus: no link on ${topics.link(controller)}.`);
    }
    const held = latched ? null : await stopFromBefore(x);
    if (held !== null) {
      return no(
        `${controller} still obeys stop ${held} from before and refuses every move. Find out why it was pressed. Then start the yard computer, clear the stop from the yard's page, end it, and examine.`,
      );
    }
    return await runChecks(x, options);
  } finally {
    x.beat(false);
    const last = compareDesks(x.me, me) > 0 ? x.me : me;
    x.say(topics.desk, { up: false, ...last }, true);
  }
}

/**
 * The number of a stop that the board still obeys; null where it obeys none. Asked only where the bus itself says
 * nothing of a stop: a broker opened for the examination holds none, the board that comes to it from another may.
 */
async function stopFromBefore(x: Examiner): Promise<number | null> {
  await x.settle();
  const obeyed = Number(x.links(0).at(-1)?.payload.stop) || 0;
  const [choice] = x.choices();
  if (obeyed === 0 || !choice) return null;
  // No board has such a move: the answer tells of the stop, and nothing moves.
  const trial = await x.begin(choice, { move: 'no-such-move' });
  const [answer] = x.dids(trial.mark, choice.prop.id, trial.run);
  return answer?.is === 'refused' && answer.why === 'stopped' ? obeyed : null;
}

async function runChecks(x: Examiner, options: ExamOptions): Promise<ExamResult> {
  const checks: CheckResult[] = [];
  for (const check of EXAM_CHECKS) {
    await x.settle();
    if (options.mayMove) await x.findEnds();
    const finding =
      check.moves && !options.mayMove
        ? { notTried: 'it moves props, which was not allowed' }
        : await check.run(x, options.powerCycle ?? null);
    const { id, duty, title } = check;
    const result: CheckResult =
      finding === null
        ? { id, duty, title, verdict: 'kept', found: null, means: null }
        : typeof finding === 'string'
          ? { id, duty, title, verdict: 'broken', found: finding, means: check.means }
          : { id, duty, title, verdict: 'not tried', found: finding.notTried, means: null };
    checks.push(result);
    options.onCheck?.(result);
  }
  await x.settle();
  if (options.mayMove) await x.home();
  const untested = options.mayMove ? untestedOf(x) : [];
  const sound = checks.every((c) => c.verdict !== 'broken') && (untested.length === 0 || x.begun.size > 0);
  return {
    controller: x.controller,
    ok: sound,
    refused: null,
    checks,
    moves: { tested: [...x.begun].sort(), untested },
  };
}

/** The moves that the board was never seen to begin, and why. */
function untestedOf(x: Examiner): Untested[] {
  return x.props.flatMap((prop) =>
    [...prop.moves.values()].flatMap((move) => {
      const name = `${prop.id}.${move.id}`;
      if (x.begun.has(name)) return [];
      const others = foreign(x.props, move).map(writeNeed);
      const why =
        others.length > 0
          ? `it needs ${others.join(' and ')}, which this board can't show`
          : 'from where its props stand it could not be tried, or the board did not begin it';
      return [{ move: name, why, needs: others }];
    }),
  );
}

import type { Prop } from '../yard/types.ts';
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
  /** No duty was found broken, and the examination took place. */
  readonly ok: boolean;
  /** Why it did not take place; null where it did. */
  readonly refused: string | null;
  readonly checks: readonly CheckResult[];
}

export const EXAM_CHECKS: readonly Check[] = [
  ...LINK_CHECKS,
  ...ORDER_CHECKS,
  ...STOP_CHECKS,
  ...LAST_CHECKS,
];

/** What a person must read before an examination begins. */
export function examWarning(controller: string, props: readonly Prop[]): string {
  const moving = props.filter((p) => p.moves.size > 0).map((p) => p.title);
  const what =
    moving.length > 0
      ? `${moving.join(', ')} will move, several times, and stop on the way`
      : 'Nothing of it moves';
  return (
    `Examining ${controller}: ${what}. Every other board on this bus is stopped and released with it. ` +
    'Clear the yard, keep a hand on the hard-wired red button, and stay out of reach until the examination has ended.'
  );
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
  const no = (refused: string): ExamResult => ({ controller, ok: false, refused, checks: [] });
  const [other] = heard(topics.heartbeat);
  if (other) {
    return no(
      `A yard computer (${other.desk}, epoch ${other.epoch}) drives this bus. Stop it first, then examine.`,
    );
  }
  const latched = heard(topics.stop).at(-1);
  if (latched?.latched === true) {
    return no(
      `Stop ${latched.n} is latched on this bus. Find out why, clear it from the yard's page, then examine.`,
    );
  }
  const before = early.map((h) => h.payload);
  const highest = (key: string) =>
    Math.max(0, ...(before.map((p) => p[key]).filter((v) => Number.isInteger(v)) as number[]));
  const me: Desk = { desk: word, epoch: highest('epoch') + 1 };
  const stop = Math.max(highest('stop'), ...heard(topics.stop).map((s) => Number(s.n) || 0));
  const x = new Examiner({ controller, props, bus, root, silenceMs, me, stop });
  for (const h of early) x.hear(h.topic, h.payload, h.retained);
  hear = (topic, payload, retained) => x.hear(topic, payload, retained);
  x.say(topics.desk, { up: true, ...me, contract: 1 }, true);
  x.beat(true);
  try {
    if (!(await bus.wait(silenceMs + ANSWER_MS, () => x.links(0).length > 0 && x.session !== null))) {
      return no(`${controller} is not on this bus: no link on ${topics.link(controller)}.`);
    }
    return await runChecks(x, options);
  } finally {
    x.beat(false);
    const last = compareDesks(x.me, me) > 0 ? x.me : me;
    x.say(topics.desk, { up: false, ...last }, true);
  }
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
  return { controller: x.controller, ok: checks.every((c) => c.verdict !== 'broken'), refused: null, checks };
}

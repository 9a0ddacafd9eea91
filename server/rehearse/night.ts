import type { StoredLine } from '../journal/port.ts';
import type { NightTimes, TonightPlan } from '../plan/tonight.ts';
import { plannedStarts } from '../plan-keeper.ts';
import { seeded } from '../show/chance.ts';
import type { PlannedStart } from '../show/events.ts';
import { FAULTS, type FaultName } from '../standin/faults.ts';
import type { Yard } from '../yard/types.ts';
import { type Rehearsal, rehearse } from './rehearsal.ts';

export interface SceneRehearsed {
  planned: number;
  made: number;
  failed: number;
  abandoned: number;
  skipped: number;
  /** The longest stretch without a start between open and the latest start that was planned, ms: planned and made. */
  gapPlannedMs: number;
  gapMadeMs: number;
}

export interface RehearsedNight {
  readonly night: string;
  readonly simulatedMs: number;
  readonly scenes: Readonly<Record<string, SceneRehearsed>>;
  /** How much later than drawn the runs of the plan started: the middle one and the worst, ms; null where none did. */
  readonly late: { readonly medianMs: number; readonly mostMs: number } | null;
  /** How often the rest of the plan was mended on the way. */
  readonly mends: number;
  /** Faults put on by the storm, in order. */
  readonly injected: readonly { at: number; text: string }[];
  /** Lines of the record about trouble. */
  readonly trouble: readonly { at: number; text: string }[];
  /** Props that were not well at the end, each with its reason. */
  readonly stuck: readonly { prop: string; why: string }[];
  readonly breach: string | null;
  readonly mode: string;
}

const TROUBLE = new Set([
  'lockout-raised',
  'run-failed',
  'run-abandoned',
  'run-skipped',
  'stop-pressed',
  'trigger-refused',
]);
const WARM_UP_MS = 60_000;
const WIND_DOWN_MS = 600_000;
/** The storm's people look after a lockout this long after it came. */
const RELEASE_AFTER_MS = 90_000;
const STORM_EVERY_MS = 240_000;

/**
 * A whole night through the same desk and core as the daemon's, with stand-ins, in virtual time. With a storm seed,
 * faults come at random, are mended after a while, and a person releases what they locked out.
 */
export function rehearseNight(
  yard: Yard,
  night: NightTimes,
  plan: TonightPlan,
  stormSeed: number | null,
): RehearsedNight {
  const startMs = night.openMs - night.noticeMs - WARM_UP_MS;
  const r = rehearse({ yard, startMs });
  r.desk.tell({
    kind: 'nightDrawn',
    night: { ...night, opensByItself: true },
    runs: plannedStarts(plan, night),
  });
  const injected = stormSeed === null ? [] : storm(r, yard, night, stormSeed);
  r.runTo(night.closeMs + WIND_DOWN_MS);
  return reportOf(r, yard, night, plan, injected, startMs);
}

/** Faults that a stand-in can show on a prop. A `broken` kind is mended again, a mishap is over at once. */
const NAMES = Object.keys(FAULTS) as FaultName[];

function storm(r: Rehearsal, yard: Yard, night: NightTimes, seed: number): { at: number; text: string }[] {
  const chance = seeded(`storm ${seed}`);
  const pick = <T>(from: readonly T[]): T => from[Math.floor(chance() * from.length)]!;
  const props = [...yard.props.values()].filter((p) => p.kind === 'prop').map((p) => p.id);
  const injected: { at: number; text: string }[] = [];
  for (
    let at = night.openMs + chance() * STORM_EVERY_MS;
    at < night.closeMs;
    at += (0.5 + chance()) * STORM_EVERY_MS
  ) {
    r.runTo(Math.round(at));
    const fault = pick(NAMES);
    const prop = pick(props);
    const target = FAULTS[fault].of === 'controller' ? yard.props.get(prop)!.controller : prop;
    const answer = r.fleet.say(r.clock.now(), `${fault} ${target}`);
    if (!answer.startsWith('No:')) injected.push({ at: r.clock.now(), text: answer });
    r.runTo(Math.round(at + 60_000 * chance()));
    r.fleet.say(r.clock.now(), `mend ${target}`);
    r.runTo(r.clock.now() + RELEASE_AFTER_MS * chance());
    putRight(r);
  }
  return injected;
}

/** What a person does who has dealt with the cause: clears, releases, opens again. */
function putRight(r: Rehearsal): void {
  const seen = Number.MAX_SAFE_INTEGER;
  const by = 'storm';
  if (r.desk.show.stop.latched) r.desk.tell({ kind: 'clearAsked', by, seen });
  for (const [prop, state] of Object.entries(r.desk.show.props))
    if (state.lockout) r.desk.tell({ kind: 'releaseAsked', by, prop, seen });
  r.clock.settle();
  if (r.desk.show.mode === 'held') r.desk.tell({ kind: 'openAsked', by, planned: true, night: null });
}

function reportOf(
  r: Rehearsal,
  yard: Yard,
  night: NightTimes,
  plan: TonightPlan,
  injected: RehearsedNight['injected'],
  startMs: number,
): RehearsedNight {
  const lines = r.journal.lines(0, Number.MAX_SAFE_INTEGER);
  const { show } = r.desk;
  const planned = plannedStarts(plan, night);
  const drawn = new Map(planned.map((run) => [run.id, run.startMs]));
  const begun = lines.filter((l) => l.code === 'run-started');
  const lates = begun
    .flatMap((l) => (drawn.has(l.run ?? '') ? [l.at - drawn.get(l.run!)!] : []))
    .sort((a, b) => a - b);
  return {
    night: night.date,
    simulatedMs: r.clock.now() - startMs,
    scenes: Object.fromEntries(
      [...yard.scenes.keys()].map((id) => [id, sceneRehearsed(id, planned, night, lines)]),
    ),
    late:
      lates.length === 0
        ? null
        : { medianMs: lates[Math.floor(lates.length / 2)]!, mostMs: lates[lates.length - 1]! },
    mends: lines.filter((l) => l.code === 'plan-mended').length,
    injected,
    trouble: lines.filter((l) => TROUBLE.has(l.code)).map(({ at, text }) => ({ at, text })),
    stuck: Object.entries(show.props)
      .filter(([, p]) => p.lockout !== null)
      .map(([prop, p]) => ({ prop, why: p.lockout!.fault.code })),
    breach: r.breach,
    mode: show.mode,
  };
}

function sceneRehearsed(
  id: string,
  all: readonly PlannedStart[],
  night: NightTimes,
  lines: readonly StoredLine[],
): SceneRehearsed {
  const own = lines.filter((l) => l.scene === id);
  const count = (code: string): number => own.filter((l) => l.code === code).length;
  const planned = all.filter((p) => p.scene === id).map((p) => p.startMs);
  const last = planned[planned.length - 1] ?? night.openMs;
  const begun = own.filter((l) => l.code === 'run-started').map((l) => l.at);
  return {
    planned: planned.length,
    made: count('run-done'),
    failed: count('run-failed'),
    abandoned: count('run-abandoned'),
    skipped: count('run-skipped'),
    gapPlannedMs: longestGap([night.openMs, ...planned]),
    gapMadeMs:
      planned.length === 0 ? 0 : longestGap([night.openMs, ...begun.filter((at) => at < last), last]),
  };
}

function longestGap(marks: readonly number[]): number {
  return marks.slice(1).reduce((most, at, k) => Math.max(most, at - marks[k]!), 0);
}

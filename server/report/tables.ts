import { localTime } from '../calendar/local-time.ts';
import { count, measured, share, span } from '../words/figures.ts';
import type { Yard } from '../yard/types.ts';
import { type AlarmRate, FLOOD_SHARE_MOST, isJudged } from './alarms.ts';
import type { NightReport } from './night-report.ts';
import type { Fate } from './runs.ts';
import type { TravelReport } from './travels.ts';

/** The report as a person reads it: the same words for the text and for the page. */
export interface Told {
  readonly title: string;
  readonly sections: readonly Section[];
}

export interface Section {
  readonly title: string;
  /** Said where there is no row, and above the rows where there are notes. */
  readonly notes: readonly string[];
  /** Empty where there is nothing to list. */
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

const FATE_WORDS: Readonly<Record<Fate, string>> = {
  made: 'made',
  failed: 'failed',
  abandoned: 'given up',
  stopped: 'stopped',
  skipped: 'skipped',
};

export function tellReport(report: NightReport, yard: Yard): Told {
  const at = (ms: number): string => localTime(yard, ms);
  return {
    title: `${report.yard}, night of ${report.night}, ${at(report.open)} to ${at(report.close)}`,
    sections: [
      runs(report),
      missedBy(report),
      faults(report, at),
      alarms(report.alarms, at),
      stops(report, at),
      refused(report, yard),
      travels(report.travels),
      service(report, at),
    ],
  };
}

function section(
  title: string,
  none: string,
  head: readonly string[],
  rows: readonly (readonly string[])[],
): Section {
  return rows.length === 0 ? { title, notes: [none], head: [], rows: [] } : { title, notes: [], head, rows };
}

function runs({ scenes }: NightReport): Section {
  const fates = ['made', 'failed', 'abandoned', 'stopped', 'skipped'] as const;
  return section(
    'Runs',
    'The yard has no scene.',
    ['scene', ...fates.map((f) => FATE_WORDS[f])],
    Object.values(scenes).map((s) => [s.title, ...fates.map((f) => String(s[f]))]),
  );
}

function missedBy({ scenes }: NightReport): Section {
  const rows = Object.values(scenes).flatMap((s) =>
    s.missedBy.map((m) => ({ n: m.count, row: [String(m.count), s.title, FATE_WORDS[m.fate], m.first] })),
  );
  return section(
    'Missed, by cause',
    'No run was missed.',
    ['runs', 'scene', 'what became of them', 'the first of them'],
    rows.sort((a, b) => b.n - a.n).map((r) => r.row),
  );
}

function lasted(ms: number | null, ifNot: string): string {
  return ms === null ? ifNot : span(Math.round(ms / 1000) * 1000);
}

function faults({ faults: all }: NightReport, at: (ms: number) => string): Section {
  return section(
    'Faults',
    'No fault.',
    ['at', 'prop', 'lasted', 'what'],
    all.map((f) => {
      const lastedFor = f.code === 'drift' ? 'a warning' : lasted(f.forMs, 'not ended');
      return [at(f.at), f.title, f.first === null ? lastedFor : `${lastedFor}, follows ${f.first}`, f.text];
    }),
  );
}

const LOADS: Readonly<Record<AlarmRate['load'], string>> = {
  well: 'one person keeps up with that',
  'at-most': 'that is the most one person can keep up with',
  'too-many': 'that is more than one person can keep up with',
};

/** The figures and their names, so that a reader can judge the judgement. */
const ALARM_SOURCE =
  'By EEMUA 191 and ISA-18.2 one person keeps up with about 1 alarm in 10 min, with 2 at most; 10 in 10 min are a flood, which should be less than 1 % of the time.';

function alarms(a: AlarmRate, at: (ms: number) => string): Section {
  const judged = isJudged(a);
  const rate = judged
    ? `${count(a.count, 'alarm')} in ${span(a.overMs)}, ${a.perTenMinutes.toFixed(2)} in 10 min on average: ${LOADS[a.load]}.`
    : `${count(a.count, 'alarm')} in ${span(a.overMs)}. That is too short a time to judge by a rate.`;
  const most = `At most ${a.mostInTenMinutes} came within 10 min.`;
  const flooded =
    a.floods.length === 0
      ? ''
      : `${share(a.floodShare)} of the time was flood${judged && a.floodShare >= FLOOD_SHARE_MOST ? ', which is too much' : ''}.`;
  const notes =
    a.count === 0 ? ['No alarm.'] : [rate, most, flooded, judged ? ALARM_SOURCE : ''].filter((n) => n !== '');
  return {
    title: 'Alarms',
    notes,
    head: a.floods.length === 0 ? [] : ['flood from', 'to', 'alarms'],
    rows: a.floods.map((f) => [at(f.from), at(f.to), String(f.alarms)]),
  };
}

function stops({ stops: all }: NightReport, at: (ms: number) => string): Section {
  return section(
    'Stops',
    'No stop.',
    ['at', 'what', 'latched for', 'who answered'],
    all.map((s) => {
      const silent = s.roll.filter((r) => r.afterMs === null).map((r) => r.controller);
      const slowest = Math.max(0, ...s.roll.map((r) => r.afterMs ?? 0));
      const answered = `${s.roll.length - silent.length} of ${s.roll.length}`;
      const when = silent.length === s.roll.length ? '' : `, the last after ${span(slowest)}`;
      const missing = silent.length === 0 ? '' : `; not: ${silent.join(', ')}`;
      return [at(s.at), s.text, lasted(s.forMs, 'not cleared'), `${answered}${when}${missing}`];
    }),
  );
}

function refused({ refused: all }: NightReport, yard: Yard): Section {
  return section(
    'Triggers that set nothing off',
    'No trigger was refused.',
    ['times', 'sensor', 'scene', 'the first of them'],
    all.flatMap((r) =>
      r.by.map((c) => [
        String(c.count),
        `${r.title} (${r.sensor})`,
        yard.scenes.get(r.scene)?.title ?? r.scene,
        c.first,
      ]),
    ),
  );
}

function driftWord(drift: TravelReport['drift']): string {
  if (!drift) return '';
  const left = drift.nightsLeft < 1 ? 'at its limit' : `${count(drift.nightsLeft, 'night')} left`;
  return `${measured(drift.fromMs)} to ${measured(drift.nowMs)}, ${left}`;
}

function travels(all: readonly TravelReport[]): Section {
  const told = section(
    'Travel times',
    'No journey was timed.',
    ['move', 'journeys', 'middle', 'spread', 'least', 'most', 'usual', 'limit', 'drift'],
    all.map((t) => [
      `${t.title} ${t.move}`,
      String(t.count),
      measured(t.medianMs),
      `± ${(t.spreadMs / 1000).toFixed(2)} s`,
      measured(t.leastMs),
      measured(t.mostMs),
      t.usualMs === null ? '' : measured(t.usualMs),
      t.limitMs === null ? '' : measured(t.limitMs),
      driftWord(t.drift),
    ]),
  );
  const spread = 'Two journeys in three lie within the spread of the middle.';
  return all.length === 0 ? told : { ...told, notes: [spread] };
}

function service({ service: all }: NightReport, at: (ms: number) => string): Section {
  return section(
    'Service due',
    'No prop came due for service.',
    ['at', 'prop', 'what'],
    all.map((s) => [at(s.at), s.title, s.text]),
  );
}

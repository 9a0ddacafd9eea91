import { localTime } from '../calendar/local-time.ts';
import { english } from '../words/en/english.ts';
import type { ReportWords } from '../words/en/report.ts';
import { measured, share, span } from '../words/figures.ts';
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

/** In English where no other words are given, as the command tells it. */
export function tellReport(report: NightReport, yard: Yard, words: ReportWords = english.report): Told {
  const at = (ms: number): string => localTime(yard, ms);
  return {
    title: words.title(report.yard, report.night, at(report.open), at(report.close)),
    sections: [
      runs(report, words),
      missedBy(report, words),
      faults(report, at, words.faults),
      alarms(report.alarms, at, words.alarms),
      stops(report, at, words.stops),
      refused(report, yard, words.refused),
      travels(report.travels, words.travels),
      service(report, at, words.service),
    ],
  };
}

type SectionWords = { readonly title: string; readonly none: string };

function section(
  { title, none }: SectionWords,
  head: readonly string[],
  rows: readonly (readonly string[])[],
): Section {
  return rows.length === 0 ? { title, notes: [none], head: [], rows: [] } : { title, notes: [], head, rows };
}

function runs({ scenes }: NightReport, words: ReportWords): Section {
  const fates = ['made', 'failed', 'abandoned', 'stopped', 'skipped'] as const satisfies Fate[];
  return section(
    words.runs,
    [words.runs.scene, ...fates.map((f) => words.fates[f])],
    Object.values(scenes).map((s) => [s.title, ...fates.map((f) => String(s[f]))]),
  );
}

function missedBy({ scenes }: NightReport, words: ReportWords): Section {
  const rows = Object.values(scenes).flatMap((s) =>
    s.missedBy.map((m) => ({ n: m.count, row: [String(m.count), s.title, words.fates[m.fate], m.first] })),
  );
  return section(
    words.missed,
    words.missed.head,
    rows.sort((a, b) => b.n - a.n).map((r) => r.row),
  );
}

function lasted(ms: number | null, ifNot: string): string {
  return ms === null ? ifNot : span(Math.round(ms / 1000) * 1000);
}

type At = (ms: number) => string;

function faults({ faults: all }: NightReport, at: At, words: ReportWords['faults']): Section {
  return section(
    words,
    words.head,
    all.map((f) => {
      const lastedFor = f.code === 'drift' ? words.warning : lasted(f.forMs, words.notEnded);
      return [at(f.at), f.title, f.first === null ? lastedFor : words.follows(lastedFor, f.first), f.text];
    }),
  );
}

function alarms(a: AlarmRate, at: At, words: ReportWords['alarms']): Section {
  const judged = isJudged(a);
  const rate = judged
    ? words.rate(a.count, span(a.overMs), a.perTenMinutes.toFixed(2), words.loads[a.load])
    : words.tooShort(a.count, span(a.overMs));
  const flooded =
    a.floods.length === 0
      ? ''
      : words.flooded(share(a.floodShare), judged && a.floodShare >= FLOOD_SHARE_MOST);
  const notes =
    a.count === 0
      ? [words.none]
      : [rate, words.most(a.mostInTenMinutes), flooded, judged ? words.source : ''].filter((n) => n !== '');
  return {
    title: words.title,
    notes,
    head: a.floods.length === 0 ? [] : words.head,
    rows: a.floods.map((f) => [at(f.from), at(f.to), String(f.alarms)]),
  };
}

function stops({ stops: all }: NightReport, at: At, words: ReportWords['stops']): Section {
  return section(
    words,
    words.head,
    all.map((s) => {
      const silent = s.roll.filter((r) => r.afterMs === null).map((r) => r.controller);
      const slowest = Math.max(0, ...s.roll.map((r) => r.afterMs ?? 0));
      const answered = words.answered(s.roll.length - silent.length, s.roll.length);
      const when = silent.length === s.roll.length ? '' : words.slowest(span(slowest));
      const missing = silent.length === 0 ? '' : words.silent(silent);
      return [at(s.at), s.text, lasted(s.forMs, words.notCleared), `${answered}${when}${missing}`];
    }),
  );
}

function refused({ refused: all }: NightReport, yard: Yard, words: ReportWords['refused']): Section {
  return section(
    words,
    words.head,
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

function driftWord(drift: TravelReport['drift'], words: ReportWords['travels']): string {
  if (!drift) return '';
  const left = drift.nightsLeft < 1 ? words.atLimit : words.left(drift.nightsLeft);
  return words.drift(measured(drift.fromMs), measured(drift.nowMs), left);
}

function travels(all: readonly TravelReport[], words: ReportWords['travels']): Section {
  const told = section(
    words,
    words.head,
    all.map((t) => [
      `${t.title} ${t.move}`,
      String(t.count),
      measured(t.medianMs),
      `± ${(t.spreadMs / 1000).toFixed(2)} s`,
      measured(t.leastMs),
      measured(t.mostMs),
      t.usualMs === null ? '' : measured(t.usualMs),
      t.limitMs === null ? '' : measured(t.limitMs),
      driftWord(t.drift, words),
    ]),
  );
  return all.length === 0 ? told : { ...told, notes: [words.spread] };
}

function service({ service: all }: NightReport, at: At, words: ReportWords['service']): Section {
  return section(
    words,
    words.head,
    all.map((s) => [at(s.at), s.title, s.text]),
  );
}

import type { JournalPort } from '../journal/port.ts';
import type { NightTimes } from '../plan/tonight.ts';
import type { Yard } from '../yard/types.ts';
import { type AlarmRate, alarmRate } from './alarms.ts';
import { type FaultReport, faultsOf, type StopReport, stopsOf } from './faults.ts';
import { type MissedRun, missedOf, type Refused, refusedOf, type SceneReport, scenesOf } from './runs.ts';
import { spanOf } from './span.ts';
import { type ServiceReport, serviceOf, type TravelReport, travelsOf } from './travels.ts';

/** What happened in a night, as JSON: `GET /api/nights/DATE/report` and `dusklatch report --json`. Times in ms. */
export interface NightReport {
  night: string;
  yard: string;
  /** ms since 1970. */
  open: number;
  close: number;
  scenes: Record<string, SceneReport>;
  missed: MissedRun[];
  faults: FaultReport[];
  stops: StopReport[];
  refused: Refused[];
  travels: TravelReport[];
  service: ServiceReport[];
  alarms: AlarmRate;
}

export interface ReportAbout {
  /** The night that the desk knows now, where one asks the desk. */
  readonly tonight: NightTimes | null;
  /** The wall clock now, ms: a night under way is reckoned up to here. */
  readonly nowMs: number;
}

/** What happened in a night, from the record's lines; null where there is no such night or nothing was recorded. */
export function nightReport(
  journal: JournalPort,
  yard: Yard,
  night: string,
  about: ReportAbout,
): NightReport | null {
  const span = spanOf(journal, yard, night, about.tonight);
  if (!span) return null;
  const { openMs, closeMs, lines } = span;
  const faults = faultsOf(journal, yard, lines);
  // a person who takes a prop out knows of it, and a warning of wear is said after the close
  const alarms = faults.filter((f) => f.first === null && f.code !== 'by-hand' && f.code !== 'drift');
  return {
    night,
    yard: yard.title,
    open: openMs,
    close: closeMs,
    scenes: scenesOf(yard, lines),
    missed: missedOf(lines),
    faults,
    stops: stopsOf(yard, lines),
    refused: refusedOf(yard, lines),
    travels: travelsOf(yard, lines),
    service: serviceOf(yard, lines),
    alarms: alarmRate(
      alarms.map((f) => f.at),
      openMs,
      Math.min(closeMs, Math.max(openMs, about.nowMs)),
    ),
  };
}

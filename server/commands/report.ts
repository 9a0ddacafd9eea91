import { existsSync } from 'node:fs';
import { nightNamed } from '../calendar/find.ts';
import { localTime } from '../calendar/local-time.ts';
import { journalPath, openJournal } from '../journal/sqlite.ts';
import { nightReport } from '../report.ts';
import { yardOf } from '../restore.ts';
import { No, out } from './say.ts';

export interface ReportFlags {
  readonly data: string;
  readonly json?: boolean;
}

/** `dusklatch report [DATE]`: what happened in a night; without a date, in the last one that the record knows. */
export function reportCommand(date: string | undefined, flags: ReportFlags): number {
  if (!existsSync(journalPath(flags.data))) throw new No(`There is no record in ${flags.data}.`);
  const journal = openJournal(flags.data, { readOnly: true });
  try {
    const newest = journal.latestSnapshot();
    if (!newest) throw new No('The record is empty.');
    const yard = yardOf(journal, newest.yardHash);
    const night = date ?? lastNight(journal);
    if (night === null) throw new No('The record knows no night yet.');
    const report = nightReport(journal, yard, night, nightNamed(yard, night));
    if (!report) throw new No(`Nothing was recorded for ${night}.`);
    if (flags.json) out(JSON.stringify(report, null, 2));
    else {
      const at = (ms: number): string => localTime(yard, ms);
      out(`${yard.title}, night of ${night}, ${at(report.open)} to ${at(report.close)}`);
      for (const s of Object.values(report.scenes))
        out(
          `  ${s.title}: ${s.made} made, ${s.failed} failed, ${s.abandoned} given up, ${s.skipped} skipped`,
        );
      for (const f of report.faults) out(`  ${at(f.at)} ${f.text}`);
      for (const s of report.stops)
        out(`  ${at(s.at)} ${s.text}${s.clearedAt ? ` Cleared ${at(s.clearedAt)}.` : ''}`);
    }
    return 0;
  } finally {
    journal.close();
  }
}

function lastNight(journal: ReturnType<typeof openJournal>): string | null {
  let last: string | null = null;
  for (let after = 0; ; ) {
    const lines = journal.lines(after, 1000);
    if (lines.length === 0) return last;
    for (const l of lines)
      if (l.code === 'plan-drawn') last = (JSON.parse(l.reason) as { night: string }).night;
    after = lines.at(-1)!.id;
  }
}

import { openJournal } from '../journal/sqlite.ts';
import { reportCsv } from '../report/as-csv.ts';
import { reportHtml } from '../report/as-html.ts';
import { reportText } from '../report/as-text.ts';
import { type NightReport, nightReport } from '../report/night-report.ts';
import { lastNight } from '../report/span.ts';
import { tellReport } from '../report/tables.ts';
import { yardOf } from '../restore.ts';
import type { Yard } from '../yard/types.ts';
import { No, out, recordIn } from './say.ts';

export interface ReportFlags {
  readonly data: string;
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly html?: boolean;
}

/** `dusklatch report [DATE]`: what happened in a night; without a date, in the last one that the record knows. */
export function reportCommand(date: string | undefined, flags: ReportFlags): number {
  if ([flags.json, flags.csv, flags.html].filter(Boolean).length > 1)
    throw new No('Only one of --json, --csv and --html at a time.', 2);
  recordIn(flags.data);
  const journal = openJournal(flags.data, { readOnly: true });
  try {
    const newest = journal.latestSnapshot();
    if (!newest) throw new No('The record is empty.');
    const yard = yardOf(journal, newest.yardHash);
    const night = date ?? lastNight(journal);
    if (night === null) throw new No('The record knows no night yet.');
    const report = nightReport(journal, yard, night, { tonight: null, nowMs: Date.now() });
    if (!report) throw new No(`Nothing was recorded for ${night}.`);
    out(printed(report, yard, flags));
    return 0;
  } finally {
    journal.close();
  }
}

function printed(report: NightReport, yard: Yard, { json, csv, html }: ReportFlags): string {
  if (json) return JSON.stringify(report, null, 2);
  if (csv) return reportCsv(report, yard);
  const told = tellReport(report, yard);
  return html ? reportHtml(told) : reportText(told);
}

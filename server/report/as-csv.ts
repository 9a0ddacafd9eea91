import { rfc3339 } from '../calendar/local-time.ts';
import type { Yard } from '../yard/types.ts';
import { isJudged } from './alarms.ts';
import type { NightReport } from './night-report.ts';

type Cell = string | number | null;
/** section, at, about, title, figure, value, unit, text */
type Row = readonly [string, number | null, string, string, string, Cell, string, string];

const HEAD = ['section', 'at', 'about', 'title', 'figure', 'value', 'unit', 'text'];

/**
 * The report as one table for a spreadsheet (RFC 4180): a row a figure, instants as RFC 3339 with the yard's offset,
 * times in seconds.
 */
export function reportCsv(report: NightReport, yard: Yard): string {
  const rows = [...runRows(report), ...troubleRows(report), ...wearRows(report), ...alarmRows(report)];
  const lines = rows.map(([section, at, ...rest]) => [
    section,
    at === null ? '' : rfc3339(yard, at),
    ...rest,
  ]);
  return [HEAD, ...lines].map((cells) => `${cells.map(field).join(',')}\r\n`).join('');
}

/**
 * A field of RFC 4180. A text that a spreadsheet would take for a formula gets an apostrophe before it, as OWASP's page
 * on CSV injection has it: titles and boards' words are others' text.
 */
function field(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return String(cell);
  const safe = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

const seconds = (ms: number | null): number | null => (ms === null ? null : Math.round(ms) / 1000);

function runRows({ scenes, missed, refused }: NightReport): Row[] {
  const fates = ['made', 'failed', 'abandoned', 'stopped', 'skipped'] as const;
  return [
    ...Object.entries(scenes).flatMap(([id, s]) => [
      ...fates.map((f): Row => ['runs', null, id, s.title, f, s[f], 'runs', '']),
      ...s.missedBy.map(
        (m): Row => ['missed-by', null, id, s.title, `${m.fate}: ${m.code}`, m.count, 'runs', m.first],
      ),
    ]),
    ...missed.map(
      (m): Row => ['missed', m.at, m.scene, scenes[m.scene]?.title ?? '', m.fate, 1, 'runs', m.text],
    ),
    ...refused.flatMap((r) =>
      r.by.map(
        (c): Row => ['refused', null, `${r.prop}.${r.sensor}`, r.title, c.code, c.count, 'triggers', c.first],
      ),
    ),
  ];
}

function troubleRows({ faults, stops }: NightReport): Row[] {
  return [
    ...faults.map((f): Row => ['faults', f.at, f.prop, f.title, f.code, seconds(f.forMs), 's', f.text]),
    ...stops.flatMap((s): Row[] => [
      ['stops', s.at, String(s.n), '', 'latched', seconds(s.forMs), 's', s.text],
      ...s.roll.map((r): Row => ['roll', s.at, r.controller, '', 'answered', seconds(r.afterMs), 's', '']),
    ]),
  ];
}

function wearRows({ travels, service }: NightReport): Row[] {
  return [
    ...travels.flatMap((t) => {
      const about = `${t.prop}.${t.move}`;
      const row = (figure: string, value: Cell, unit: string): Row => [
        'travels',
        null,
        about,
        t.title,
        figure,
        value,
        unit,
        '',
      ];
      return [
        row('journeys', t.count, 'journeys'),
        row('median', seconds(t.medianMs), 's'),
        row('spread', seconds(t.spreadMs), 's'),
        row('least', seconds(t.leastMs), 's'),
        row('most', seconds(t.mostMs), 's'),
        row('usual', seconds(t.usualMs), 's'),
        row('limit', seconds(t.limitMs), 's'),
        ...(t.drift ? [row('nights-left', t.drift.nightsLeft, 'nights')] : []),
      ];
    }),
    ...service.map((s): Row => ['service', s.at, s.prop, s.title, 'cycles', s.cycles, 'cycles', s.text]),
  ];
}

function alarmRows({ alarms: a }: NightReport): Row[] {
  const row = (figure: string, value: Cell, unit: string, text = ''): Row => [
    'alarms',
    null,
    '',
    '',
    figure,
    value,
    unit,
    text,
  ];
  return [
    row('count', a.count, 'alarms', isJudged(a) ? a.load : ''),
    row('over', seconds(a.overMs), 's'),
    row('per-10-min', Math.round(a.perTenMinutes * 1000) / 1000, 'alarms'),
    row('most-in-10-min', a.mostInTenMinutes, 'alarms'),
    row('flood-share', Math.round(a.floodShare * 10_000) / 10_000, ''),
    ...a.floods.map((f): Row => ['floods', f.from, '', '', 'alarms', f.alarms, 'alarms', '']),
  ];
}

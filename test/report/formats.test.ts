import { describe, expect, it } from 'vitest';
import { reportCsv } from '../../server/report/as-csv.ts';
import { reportHtml } from '../../server/report/as-html.ts';
import { reportText } from '../../server/report/as-text.ts';
import { tellReport } from '../../server/report/tables.ts';
import { landing } from '../show/landing.ts';
import { SAMPLE } from './sample.ts';

const yard = landing();
const told = tellReport(SAMPLE, yard);

/** RFC 4180, section 2, read by its grammar: records end with CRLF, a quoted field holds commas, breaks and doubled quotes. */
function parseCsv(text: string): string[][] {
  const records: string[][] = [];
  let record: string[] = [];
  const token = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/gy;
  while (token.lastIndex < text.length) {
    const from = token.lastIndex;
    const m = token.exec(text);
    if (!m)
      throw new Error(`no field of RFC 4180 at ${from}: ${JSON.stringify(text.slice(from, from + 40))}`);
    record.push(m[1] === undefined ? m[2]! : m[1].replaceAll('""', '"'));
    if (m[3] === ',') continue;
    records.push(record);
    record = [];
  }
  return records;
}

describe('the title', () => {
  it('says of a night by hand that it was one, as people would', () => {
    const title = (night: string) => tellReport({ ...SAMPLE, night }, yard).title;
    expect(title('2026-10-31')).toContain('night of Sat 31 October 2026, ');
    expect(title('2026-10-31-hand')).toContain('night of Sat 31 October 2026 by hand, ');
  });
});

describe('the table for a spreadsheet', () => {
  it('is read by a reader that takes the examples of RFC 4180', () => {
    // Section 2, rules 1, 6 and 7, as printed there.
    expect(parseCsv('aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n')).toEqual([
      ['aaa', 'bbb', 'ccc'],
      ['zzz', 'yyy', 'xxx'],
    ]);
    expect(parseCsv('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx\r\n')[0]).toEqual(['aaa', 'b\r\nbb', 'ccc']);
    expect(parseCsv('"aaa","b""bb","ccc"\r\n')).toEqual([['aaa', 'b"bb', 'ccc']]);
    expect(() => parseCsv('a"b,c\r\n')).toThrow();
  });

  const rows = parseCsv(reportCsv(SAMPLE, yard));
  const find = (...start: string[]): string[] | undefined =>
    rows.find((r) => start.every((cell, i) => cell === '*' || r[i] === cell));

  it('has as many fields in each record, and the head first', () => {
    expect(rows[0]).toEqual(['section', 'at', 'about', 'title', 'figure', 'value', 'unit', 'text']);
    for (const row of rows) expect(row).toHaveLength(8);
    expect(new Set(rows.slice(1).map((r) => r[0]))).toEqual(
      new Set([
        'runs',
        'missed-by',
        'missed',
        'refused',
        'faults',
        'stops',
        'roll',
        'travels',
        'service',
        'alarms',
      ]),
    );
  });

  it('gives instants with the yard’s offset, times in seconds, and nothing where nothing is known', () => {
    expect(find('faults')?.slice(1)).toEqual([
      '2026-10-31T21:14:10-05:00',
      'ferry',
      'Ferry',
      'travel-slow',
      '360',
      's',
      SAMPLE.faults[0]!.text,
    ]);
    expect(find('runs', '', 'crossing', '*', 'made')?.[5]).toBe('33');
    expect(find('travels', '', 'ferry.out', 'Ferry', 'median')?.slice(5, 7)).toEqual(['8.5', 's']);
    expect(find('travels', '', 'ferry.out', 'Ferry', 'nights-left')?.[5]).toBe('4');
    expect(find('roll', '*', 'ferry-board')?.[5]).toBe('0.12');
    expect(find('roll', '*', 'fog-board')?.[5]).toBe('');
    expect(find('alarms', '', '', '', 'per-10-min')?.[5]).toBe('0.042');
  });

  it('has no text that a spreadsheet would run as a formula', () => {
    expect(find('runs', '', 'porch-scare')?.[3]).toBe("'=On the <porch>");
    for (const cell of rows.slice(1).flat()) expect(cell).not.toMatch(/^[=+@]/);
  });
});

describe('the page', () => {
  const html = reportHtml(told);

  it('stands by itself: no script, no style by attribute, nothing from elsewhere', () => {
    expect(html).toMatch(/^<!doctype html>\n<html lang="en">/);
    expect(html).not.toMatch(/<script|<link|<img|<form|https?:|url\(|\son[a-z]+=|\sstyle=/);
    expect(html.match(/<h1>/g)).toHaveLength(1);
    for (const tag of ['main', 'table', 'thead', 'tbody', 'tr', 'th', 'td', 'h2', 'div', 'p'])
      expect(html.match(new RegExp(`<${tag}[ >]`, 'g'))?.length).toBe(
        html.match(new RegExp(`</${tag}>`, 'g'))?.length,
      );
  });

  it('says all that the text says, and takes no title for a tag', () => {
    expect(html).toContain('=On the &lt;porch&gt;');
    expect(html).not.toContain('<porch>');
    const plain = (text: string): string =>
      text.replace(/[&<>"]/g, (c) => `&${{ '&': 'amp', '<': 'lt', '>': 'gt', '"': 'quot' }[c]};`);
    for (const { title, notes, head, rows } of told.sections)
      for (const said of [title, ...notes, ...head, ...rows.flat()]) expect(html).toContain(plain(said));
  });
});

describe('the text', () => {
  const text = reportText(told);

  it('names yard, night and hours by the yard’s own clock, then its sections', () => {
    expect(text.split('\n')[0]).toBe('Saltmarsh Landing, night of Sat 31 October 2026, 18:00 to 22:00');
    expect(told.sections.map((s) => s.title)).toEqual([
      'Runs',
      'Missed, by cause',
      'Faults',
      'Alarms',
      'Stops',
      'Triggers that set nothing off',
      'Travel times',
      'Service due',
    ]);
    expect(text.endsWith('\n')).toBe(true);
  });

  it('says the figures with their units', () => {
    const line = (of: RegExp): string =>
      text
        .split('\n')
        .find((l) => of.test(l))!
        .trim()
        .replace(/ {2,}/g, ' | ');
    expect(line(/^ {2}Ferry out/)).toBe(
      'Ferry out | 34 | 8.5 s | ± 0.15 s | 8.3 s | 9.9 s | 7.1 s | 12.0 s | 7.1 s to 8.5 s, 4 nights left',
    );
    expect(line(/Stop no\. 8 pressed/)).toBe(
      '21:30 | Stop no. 8 pressed from the page. | 2 min 5 s | 1 of 2, the last after 120 ms; not: fog-board',
    );
    expect(line(/^ {2}21:14/)).toMatch(
      /^21:14 \| Ferry \| 6 min \| Ferry locked out\..*\. Look for a jam\.$/,
    );
    expect(line(/The crossing, "out and back" +\d/)).toBe(
      'The crossing, "out and back" | 33 | 1 | 0 | 1 | 2',
    );
    expect(text).toContain('1 alarm in 4 h, 0.04 in 10 min on average: one person keeps up with that.');
  });

  it('judges no rate of alarms over less than an hour, only tells it', () => {
    const of = (overMs: number) => {
      const alarms = { ...SAMPLE.alarms, count: 3, overMs, mostInTenMinutes: 3, load: 'too-many' as const };
      return reportText(tellReport({ ...SAMPLE, alarms }, yard));
    };
    expect(of(25 * 60_000)).toContain('3 alarms in 25 min. That is too short a time to judge by a rate.');
    expect(of(25 * 60_000)).toContain('At most 3 came within 10 min.');
    expect(of(25 * 60_000)).not.toMatch(/EEMUA|keep up/);
    expect(of(60 * 60_000)).toMatch(/more than one person can keep up with\.[\s\S]*EEMUA 191/);
  });

  it('says of an empty night that there was nothing', () => {
    const empty = {
      ...SAMPLE,
      missed: [],
      faults: [],
      stops: [],
      refused: [],
      travels: [],
      service: [],
      scenes: {},
    };
    const said = reportText(tellReport({ ...empty, alarms: { ...SAMPLE.alarms, count: 0 } }, yard));
    for (const none of ['No run was missed.', 'No fault.', 'No alarm.', 'No stop.', 'No journey was timed.'])
      expect(said).toContain(none);
  });
});

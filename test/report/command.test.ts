import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { reportSchema } from '../../server/api/answers-report.ts';
import { type ReportFlags, reportCommand } from '../../server/commands/report.ts';
import { No } from '../../server/commands/say.ts';
import { openJournal } from '../../server/journal/sqlite.ts';
import { newShow } from '../../server/show/fresh.ts';
import { saveShow } from '../../server/show/save.ts';
import { LANDING, landing, NIGHT, OPEN_MS } from '../show/landing.ts';

let data: string;

beforeAll(() => {
  data = mkdtempSync(join(tmpdir(), 'dusklatch-report-'));
  const journal = openJournal(data);
  journal.keepYard('landing', LANDING);
  journal.snapshot(0, 'landing', saveShow(newShow(landing())));
  const run = `${NIGHT.date}.crossing.1`;
  const done = { code: 'run-done', tookMs: 33_000, journeys: [['ferry', 'out', 6100]] };
  const line = (seconds: number, reason: { code: string }, text: string) => ({
    n: 1,
    at: OPEN_MS + seconds * 1000,
    code: reason.code,
    reason: JSON.stringify(reason),
    text,
    prop: null,
    scene: 'crossing',
    run,
  });
  const lines = [
    line(1, { code: 'run-started' }, 'The crossing: started as planned.'),
    line(34, done, 'The crossing: done in 33.0 s.'),
  ];
  journal.append([], lines);
  journal.close();
});
afterAll(() => rmSync(data, { recursive: true, force: true }));
afterEach(() => vi.restoreAllMocks());

/** What the command prints, with its exit code. */
function printed(date: string | undefined, flags: Partial<ReportFlags> = {}): { code: number; text: string } {
  let text = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((part) => {
    text += String(part);
    return true;
  });
  const code = reportCommand(date, { data, ...flags });
  vi.restoreAllMocks();
  return { code, text };
}

describe('dusklatch report', () => {
  it('takes the last night, and tells it as text', () => {
    const { code, text } = printed(undefined);
    expect(code).toBe(0);
    expect(text).toMatch(/^Saltmarsh Landing, night of Sat 31 October 2026, 18:00 to 22:00\n/);
    expect(text).toMatch(/The crossing +1 +0 +0 +0 +0\n/);
    expect(text).toMatch(/Ferry out +1 +6\.1 s/);
  });

  it('tells the same night by its date, as JSON, table and page', () => {
    const json = JSON.parse(printed(NIGHT.date, { json: true }).text);
    expect(reportSchema.parse(json)).toMatchObject({ night: NIGHT.date, scenes: { crossing: { made: 1 } } });
    expect(printed(undefined, { csv: true }).text).toMatch(/^section,at,about,[^\n]*\r\n[\s\S]*\r\n$/);
    expect(printed(undefined, { html: true }).text).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);
  });

  it('answers no where nothing was recorded, and is misused with two forms at once', () => {
    const thrown = (act: () => unknown): unknown => {
      try {
        act();
        return null;
      } catch (error) {
        return error instanceof No ? [error.exitCode, error.message] : error;
      }
    };
    expect(thrown(() => printed('2026-10-30'))).toEqual([1, 'Nothing was recorded for 2026-10-30.']);
    const nowhere = join(data, 'nowhere');
    vi.stubEnv('XDG_STATE_HOME', nowhere);
    expect(thrown(() => printed(undefined, { data: nowhere }))).toEqual([
      1,
      `There is no record in ${nowhere}.`,
    ]);
    const demonstration = join(nowhere, 'dusklatch', 'demonstration');
    mkdirSync(demonstration, { recursive: true });
    openJournal(demonstration).close();
    expect(thrown(() => printed(undefined, { data: nowhere }))).toEqual([
      1,
      `There is no record in ${nowhere}. The demonstration's is in ${demonstration}: add --data ${demonstration}`,
    ]);
    vi.unstubAllEnvs();
    expect(thrown(() => printed(undefined, { csv: true, html: true }))).toEqual([
      2,
      'Only one of --json, --csv and --html at a time.',
    ]);
  });
});

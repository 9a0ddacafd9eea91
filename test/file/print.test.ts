import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { checkFile, readYardBytes } from '../../server/file/check.ts';
import { type CheckReport, printCheck } from '../../server/file/print.ts';
import { CAUTIONS } from '../../server/words/en/notice.ts';
import { LANDING, landing } from './landing.ts';

describe('the text of check', () => {
  const good = printCheck(LANDING, 'landing.yaml');
  const bad = printCheck(landing(['limit: 12 s', 'limit: 7'], ['loud: true', 'loud: yes']), 'landing.yaml');

  it('begins with the cautions, whether the file is good or not', () => {
    const first =
      'Before anything else\n  - STOP ALL on the page is a convenience and not an emergency stop.';
    expect(good.output.startsWith(first)).toBe(true);
    expect(bad.output.startsWith(first)).toBe(true);
    expect(CAUTIONS.at(-1)).toContain('Local codes and licensed electricians decide.');
    const flat = good.output.replace(/\s+/gu, ' ');
    for (const caution of CAUTIONS) expect(flat).toContain(caution);
  });

  it('shows each error with its line and a mark under the place', () => {
    expect(bad.exitCode).toBe(1);
    expect(bad.output).toContain(
      [
        'landing.yaml is no yard yet: 2 mistakes.',
        '',
        'Line 54: `limit: 7` has no unit. Write `7 s`.',
        '   54 |         limit: 7',
        '      |                ^',
        '',
        'Line 71: `loud: yes` is neither `true` nor `false`. Write `true`.',
        '   71 |         loud: yes',
        '      |               ^',
        '',
      ].join('\n'),
    );
  });

  it('shows warnings first, then the figures', () => {
    expect(good.exitCode).toBe(0);
    const { output } = good;
    expect(output).toContain(
      'landing.yaml reads well: The landing, 7 props, 3 scenes, 1 circuit, 1 tank, 2 zones.',
    );
    const order = [
      'Look at this\n  - The bus listens on 127.0.0.1 alone',
      '\nCircuits\n',
      '\nAir\n',
      '\nZones\n',
      '\nProps\n',
    ];
    const places = order.map((part) => output.indexOf(part));
    expect(places).not.toContain(-1);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
  });

  it('keeps within the width of a terminal, and numbers with their units', () => {
    for (const line of good.output.split('\n')) {
      expect(line.length).toBeLessThanOrEqual(100);
      expect(line).not.toMatch(/ \d+(\.\d+)?$/u);
    }
  });

  it('puts the notes with their lines among what to look at', () => {
    const noted = printCheck(landing(['dark: [2026-10-17]', 'dark: [2026-10-14]']), 'landing.yaml');
    expect(noted.output).toContain('  - Line 23: 2026-10-14 has no show anyway');
  });
});

describe('check as JSON', () => {
  it('has everything a program needs', () => {
    const good = JSON.parse(printCheck(LANDING, 'landing.yaml', { json: true }).output) as CheckReport;
    expect(good).toMatchObject({ file: 'landing.yaml', ok: true, cautions: CAUTIONS, errors: [], notes: [] });
    expect(good.findings.find((f) => f.code === 'loopback')).toMatchObject({ level: 'warning' });

    const { output, exitCode } = printCheck(landing(['limit: 12 s', 'limit: 7']), 'landing.yaml', {
      json: true,
    });
    expect(exitCode).toBe(1);
    expect(JSON.parse(output)).toMatchObject({
      ok: false,
      errors: [
        {
          line: 54,
          column: 16,
          path: 'props.ferry.moves.out.limit',
          found: '7',
          example: '7 s',
          message: 'Line 54: `limit: 7` has no unit. Write `7 s`.',
        },
      ],
      findings: [],
    });
  });

  it('says of every error what was read, of a key that is missing too', () => {
    const { output } = printCheck(landing(['    title: Ferryman\n', '']), 'landing.yaml', { json: true });
    expect(JSON.parse(output)).toMatchObject({
      errors: [{ path: 'props.ferryman.title', found: 'nothing', wanted: 'a text of 1 to 100 letters' }],
    });
  });
});

describe('files', () => {
  const folder = mkdtempSync(join(tmpdir(), 'dusklatch-check-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const file = (name: string, bytes: string | Uint8Array): string => {
    const path = join(folder, name);
    writeFileSync(path, bytes);
    return path;
  };

  it('are read and checked', () => {
    expect(checkFile(file('good.yaml', LANDING)).exitCode).toBe(0);
    const bad = checkFile(file('bad.yaml', landing(['limit: 12 s', 'limit: 7'])), { json: true });
    expect(bad.exitCode).toBe(1);
    expect(JSON.parse(bad.output).errors).toHaveLength(1);
  });

  it('that are not there are misuse, said in a sentence', () => {
    const gone = checkFile(join(folder, 'gone.yaml'));
    expect(gone.exitCode).toBe(2);
    expect(gone.output).toMatch(/^There is no file .*gone\.yaml\.\n$/);
    expect(checkFile(folder).exitCode).toBe(2);
    expect(JSON.parse(checkFile(join(folder, 'gone.yaml'), { json: true }).output)).toMatchObject({
      ok: false,
    });
  });

  it('that are no text are told so, with the line', () => {
    const broken = new Uint8Array([...Buffer.from('yard:\n  title: M'), 0xf6, ...Buffer.from('we\n')]);
    expect(checkFile(file('latin.yaml', broken)).output).toContain(
      'Line 2: the file is not text in UTF-8. Save it again with the encoding UTF-8.',
    );
    const utf16 = new Uint8Array([0xff, 0xfe, ...Buffer.from('yard: 1\n', 'utf16le')]);
    expect(checkFile(file('utf16.yaml', utf16)).output).toContain('the file is saved as UTF-16');
    expect(readYardBytes(new Uint8Array([0xef, 0xbb, 0xbf, ...Buffer.from(LANDING)])).ok).toBe(true);
  });

  it('that are far too large are not even read', () => {
    const path = file('large.yaml', new Uint8Array(5 * 1024 * 1024));
    expect(checkFile(path).output).toContain('the file has 5 MiB; a yard file has 1 MiB at most.');
  });
});

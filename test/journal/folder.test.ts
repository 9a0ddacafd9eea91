import { existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openFolder } from '../../server/journal/folder.ts';
import { scratch, thrown } from './sample.ts';

describe('the data folder', () => {
  it('is made with all above it, for its owner only', () => {
    const dir = join(scratch(), 'state', 'dusklatch');
    const folder = openFolder(dir);
    expect(folder.dir).toBe(dir);
    expect(statSync(dir).mode & 0o777).toBe(0o700);
    folder.close();
  });

  it('is one daemon’s at a time, and the second is told whose', () => {
    const dir = scratch();
    const folder = openFolder(dir);
    expect(thrown(() => openFolder(dir))).toMatchObject({
      name: 'JournalError',
      code: 'locked',
      message: expect.stringMatching(new RegExp(`process ${process.pid}\\b.*DUSKLATCH_DATA`)),
    });
    folder.close();
    folder.close();
    openFolder(dir).close();
  });

  it('is free though a dead daemon left its files', () => {
    const dir = scratch();
    writeFileSync(join(dir, 'desk.pid'), '1\n');
    writeFileSync(join(dir, 'desk.lock'), '');
    openFolder(dir).close();
    expect(readdirSync(dir).sort()).toEqual(['desk.lock', 'desk.pid']);
  });

  it('says why it can’t be used', () => {
    const dir = scratch();
    const file = join(dir, 'a-file');
    writeFileSync(file, '');
    for (const wrong of [file, join(file, 'below')]) {
      expect(thrown(() => openFolder(wrong))).toMatchObject({
        code: 'unusable',
        message: expect.stringContaining("The data folder can't be used"),
      });
    }
    expect(existsSync(file)).toBe(true);
  });
});

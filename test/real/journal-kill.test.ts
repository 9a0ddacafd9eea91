import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { openFolder } from '../../server/journal/folder.ts';
import { openNumbers } from '../../server/journal/numbers.ts';
import { openJournal } from '../../server/journal/sqlite.ts';

/** The writer runs what was built (`npm run build`), as the daemon does. */
const ROOM = join(import.meta.dirname, '../../dist/server/journal');
const WRITER = join(import.meta.dirname, 'journal-writer.mjs');

let dir = '';
let writer: ChildProcess | undefined;

beforeEach(() => {
  if (!existsSync(join(ROOM, 'sqlite.js'))) throw new Error('nothing is built: run `npm run build` first');
  dir = mkdtempSync(join(tmpdir(), 'dusklatch-kill-'));
});
afterEach(() => {
  writer?.kill('SIGKILL');
  rmSync(dir, { recursive: true, force: true });
});

/** Starts the writer, lets it be assured of so many turns, calls `meanwhile`, kills it; gives back what it last said. */
async function writeAndKill(turns: number, size: number, meanwhile: () => void = () => {}) {
  const child = spawn(process.execPath, [WRITER, ROOM, dir, String(size)], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  writer = child;
  const said = { open: -1, event: 0, stop: 0 };
  let rest = '';
  let seen = 0;
  let failed = '';
  child.stderr.on('data', (bytes: Buffer) => {
    failed += bytes;
  });
  child.stdout.on('data', (bytes: Buffer) => {
    const rows = (rest + bytes).split('\n');
    rest = rows.pop()!;
    for (const row of rows) {
      const [what, n] = row.split(' ');
      said[what as keyof typeof said] = Number(n);
      if (what === 'stop') seen += 1;
    }
    if (seen >= turns && !child.killed) {
      meanwhile();
      child.kill('SIGKILL');
    }
  });
  const signal = await new Promise((resolve) => child.once('close', (_code, by) => resolve(by)));
  expect(failed).toBe('');
  expect(signal).toBe('SIGKILL');
  return said;
}

it('has everything that was assured before kill -9, whole turns only, twenty times over', async () => {
  let before = 0;
  for (let round = 0; round < 20; round += 1) {
    const size = [1, 7, 100][round % 3]!;
    const said = await writeAndKill(3 + ((round * 13) % 40), size);
    expect(said.open).toBe(before);

    const folder = openFolder(dir);
    const journal = openJournal(dir);
    const last = journal.lastEvent();
    expect(last).toBeGreaterThanOrEqual(said.event);
    expect((last - before) % size).toBe(0);
    let n = before;
    for (;;) {
      const batch = journal.events(n, 1_000);
      if (batch.length === 0) break;
      for (const event of batch) expect(event.n).toBe(++n);
    }
    expect(n).toBe(last);
    expect(journal.lines(0, 10_000).at(-1)!.text).toBe(`stopped by turn of ${last}`);
    const numbers = openNumbers(dir);
    // The writer may have been killed between the record of a turn and the number of it, never two turns apart.
    expect(numbers.stop).toBeGreaterThanOrEqual(said.stop);
    expect(last - numbers.stop).toBeLessThanOrEqual(size);
    numbers.close();
    journal.close();
    folder.close();
    before = last;
  }
}, 60_000);

it('lets no second daemon in while the first lives, names it, and is free the moment it is killed', async () => {
  let refused: unknown;
  let pid: number | undefined;
  await writeAndKill(3, 1, () => {
    pid = writer!.pid;
    try {
      openFolder(dir).close();
    } catch (error) {
      refused = error;
    }
  });
  expect(refused).toMatchObject({ code: 'locked', message: expect.stringContaining(`process ${pid})`) });
  openFolder(dir).close();
});

it('can be read beside a daemon that writes', async () => {
  let read = -1;
  const said = await writeAndKill(10, 5, () => {
    const reader = openJournal(dir, { readOnly: true });
    read = reader.lastEvent();
    expect(reader.events(0, read)).toHaveLength(read);
    reader.close();
  });
  expect(read).toBeGreaterThanOrEqual(50);
  expect(read % 5).toBe(0);
  expect(said.event).toBeGreaterThanOrEqual(50);
});

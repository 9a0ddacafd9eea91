import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { Shore } from './shore.ts';
import { type Replayed, replayOf, until, type Yard } from './yard-rig.ts';

/** What the tests of a stop ask again and again. */

/** A keeper clears the stop, and that moves nothing. */
export async function clear(yard: Yard): Promise<void> {
  const answer = await yard.command('/api/stop/clear');
  expect([answer.status, await answer.text()]).toEqual([200, expect.any(String)]);
  expect((await yard.picture()).mode).toBe('held');
}

/** Why something was refused. */
export const reasons = async (answer: Response) =>
  ((await answer.json()) as { reasons: { code: string; sentence: string }[] }).reasons;

/** From the stop of this number on, nothing that moves is on the bus. Resolves to the place where that began. */
export function nothingMovesAfter({ ear }: Shore, n: number): number {
  const stopAt = ear.heard.findIndex(
    (h) => h.topic === 'yard/stop' && h.payload.latched === true && h.payload.n === n,
  );
  expect(stopAt).toBeGreaterThanOrEqual(0);
  expect(ear.orders(stopAt)).toEqual([]);
  return stopAt;
}

/** Clears once nothing bars it, ends the daemon, and replays its record. */
export async function clearedAndReplayed({ yard }: Shore): Promise<Replayed> {
  await until('nothing to bar a clear', async () => (await yard.picture()).stop.bars.length === 0);
  await clear(yard);
  await yard.kill('SIGTERM');
  const replayed = await replayOf(yard.dataDir);
  expect(replayed.difference).toBeNull();
  return replayed;
}

/** The small file of numbers, its newer half. */
export function numbersIn(yard: Yard): string {
  const lines = readFileSync(join(yard.dataDir, 'numbers'), 'latin1').match(/write \d+, stop .*?;/g)!;
  return lines.sort((a, b) => Number(/\d+/.exec(b)![0]) - Number(/\d+/.exec(a)![0]))[0]!;
}

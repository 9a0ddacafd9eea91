import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';
import type { Line } from '../../server/journal/port.ts';
import type { Event } from '../../server/show/events.ts';

const dirs: string[] = [];

afterEach(() => {
  for (const dir of dirs.splice(0)) rmSync(dir, { recursive: true, force: true });
});

/** An empty folder, gone after the test. */
export function scratch(): string {
  const dir = mkdtempSync(join(tmpdir(), 'dusklatch-'));
  dirs.push(dir);
  return dir;
}

/** 1 November 2026, 00:00 UTC. */
export const START = 1_793_491_200_000;

export function event(n: number): Event {
  return {
    n,
    at: START + n * 10.5,
    kind: 'sensorChanged',
    prop: n % 2 === 0 ? 'ferry' : 'constructor',
    sensor: 'far',
    made: n % 3 === 0,
    session: 'm7q2',
    count: n,
    retained: false,
  };
}

export function events(from: number, to: number): Event[] {
  return Array.from({ length: to - from + 1 }, (_, i) => event(from + i));
}

export function line(n: number, given: Partial<Line> = {}): Line {
  return {
    n,
    at: START + n * 10.5,
    code: 'run-started',
    reason: '{"code":"run-started","origin":"plan"}',
    text: `The crossing started — №${n} “by plan”.`,
    prop: null,
    scene: 'crossing',
    run: `2026-10-31.crossing.${n}`,
    ...given,
  };
}

/** What a call throws; a call that throws nothing fails the test. */
export function thrown(work: () => unknown): unknown {
  try {
    work();
  } catch (error) {
    return error;
  }
  throw new Error('nothing was thrown');
}

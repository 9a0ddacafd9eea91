import { defineConfig } from 'vitest/config';

/*
 * Three groups, one after the other: what runs in virtual time may share the machine with itself; real processes and the
 * browser are given it alone, one file at a time, since their time is real.
 */
const group = (name: string, groupOrder: number, include: string[], exclude: string[], alone: boolean) => ({
  extends: true as const,
  test: {
    name,
    include,
    exclude,
    sequence: { groupOrder },
    ...(alone ? { fileParallelism: false, maxWorkers: 1 } : {}),
  },
});

const REAL = ['test/real/**/*.test.ts'];
const BROWSER = ['test/browser/**/*.test.ts'];

export default defineConfig({
  test: {
    environment: 'node',
    setupFiles: ['test/chance.ts'],
    testTimeout: 20_000,
    hookTimeout: 60_000,
    projects: [
      group('virtual', 0, ['test/**/*.test.ts'], [...REAL, ...BROWSER], false),
      group('real', 1, REAL, [], true),
      group('browser', 2, BROWSER, [], true),
    ],
  },
});

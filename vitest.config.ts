import { defineConfig } from 'vitest/config';

/*
 * Three groups, one after the other: what runs in virtual time may share the machine with itself; of real processes two
 * files run at a time, since they mostly wait; the browser has the machine alone.
 */
const group = (name: string, groupOrder: number, include: string[], exclude: string[], workers?: number) => ({
  extends: true as const,
  test: {
    name,
    include,
    exclude,
    sequence: { groupOrder },
    ...(workers === undefined ? {} : { maxWorkers: workers, fileParallelism: workers > 1 }),
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
      group('virtual', 0, ['test/**/*.test.ts'], [...REAL, ...BROWSER]),
      group('real', 1, REAL, [], 2),
      group('browser', 2, BROWSER, [], 1),
    ],
  },
});

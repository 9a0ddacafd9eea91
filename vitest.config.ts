import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/*
 * Three groups, one after the other: what runs in virtual time shares the machine with itself, a file to a core (left to
 * itself the runner would keep one core idle, which is half of two); of real processes three files run at a time, since
 * they mostly wait, and with them those of the browser that mostly wait for a yard; the rest of the browser has the
 * machine alone.
 */
const group = (name: string, groupOrder: number, include: string[], exclude: string[], workers: number) => ({
  extends: true as const,
  test: {
    name,
    include,
    exclude,
    sequence: { groupOrder },
    maxWorkers: workers,
    fileParallelism: workers > 1,
  },
});

const REAL = [
  'test/real/**/*.test.ts',
  'test/browser/daemon.test.ts',
  'test/browser/german.test.ts',
  'test/browser/live-file.test.ts',
];
const BROWSER = ['test/browser/**/*.test.ts'];

/** Each waits for about a minute, whatever the machine: begun last, the run would wait for it alone. */
const LONG = [
  'real/night',
  'browser/daemon',
  'real/exam',
  'browser/german',
  'browser/live-file',
  'real/chaos',
  'real/discord',
];

class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId }: TestSpecification): number => {
      const at = LONG.findIndex((name) => moduleId.endsWith(`${name}.test.ts`));
      return at < 0 ? LONG.length : at;
    };
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b));
  }
}

export default defineConfig({
  test: {
    environment: 'node',
    setupFiles: ['test/chance.ts'],
    testTimeout: 20_000,
    hookTimeout: 60_000,
    sequence: { sequencer: LongFirst },
    projects: [
      group('virtual', 0, ['test/**/*.test.ts'], [...REAL, ...BROWSER], availableParallelism()),
      group('real', 1, REAL, [], 3),
      group('browser', 2, BROWSER, REAL, 1),
    ],
  },
});

import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { type Row, row } from './row.ts';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const PROPS = 40;
/** The first night is mostly the compiler's, so that a few are no measure. */
const FOLDED_NIGHTS = 10;
const DELIVERED_NIGHTS = 4;

/** The storm is built apart from the bench: it has the page's own store in it. */
function build(): void {
  const tsc = ['node_modules/typescript/bin/tsc', '-p', 'test/storm/tsconfig.json'];
  execFileSync(process.execPath, tsc, { cwd: ROOT, stdio: 'inherit' });
}

/** Simulated time over time of the processor, all threads, for nights of a yard of 40 props without weather. */
function timesReal(nights: number, ...more: string[]): number {
  const storm = [
    'dist/storm/test/storm/run.js',
    '--large',
    `${PROPS}`,
    '--from',
    '1',
    '--seeds',
    `${nights}`,
  ];
  const said = execFileSync(process.execPath, [...storm, ...more], { cwd: ROOT, encoding: 'utf8' });
  const figure = /(\d+) times real time/.exec(said)?.[1];
  if (figure === undefined || !said.includes('\n0 failed')) throw new Error(`the storm broke: ${said}`);
  return Number(figure);
}

/** How much faster than the yard the simulated storm goes on one core; real time itself is the floor. */
export async function benchStorm(): Promise<Row[]> {
  build();
  const of = (nights: number): string =>
    `${PROPS} props, ${nights} nights, time of the processor on all threads`;
  return [
    row(
      'storm, every heartbeat delivered',
      timesReal(DELIVERED_NIGHTS, '--deliver'),
      1,
      'times real',
      '>= 2000',
      of(DELIVERED_NIGHTS),
    ),
    row('storm, heartbeats folded', timesReal(FOLDED_NIGHTS), 1, 'times real', '>= 10000', of(FOLDED_NIGHTS)),
  ];
}

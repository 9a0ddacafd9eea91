import { startBare } from './bare.ts';
import { cpuMs, residentMb } from './process.ts';
import { type Board, board, sleep, startDaemon } from './rig.ts';
import { median, type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const BOARDS = 40;
const IDLE_MS = 15_000;
const STARTS = 5;

async function boardsOn(busUrl: string): Promise<Board[]> {
  const out: Board[] = [];
  for (let i = 0; i < BOARDS / 2; i++) {
    out.push(await board(busUrl, `boat-${i}`, { near: true, far: false, mat: false }, () => {}));
    out.push(await board(busUrl, `figure-${i}`, {}, () => {}));
  }
  return out;
}

/** Resident set and CPU at rest with 40 boards, and time to `readyz`; against bare node with the same libraries. */
export async function benchRest(): Promise<Row[]> {
  const starts: number[] = [];
  const bareStarts: number[] = [];
  for (let i = 0; i < STARTS; i++) {
    const d = await startDaemon((port) => pairsYard(BOARDS / 2, port));
    starts.push(d.readyMs);
    await d.stop();
    const b = await startBare();
    bareStarts.push(b.readyMs);
    await b.end();
  }
  const d = await startDaemon((port) => pairsYard(BOARDS / 2, port));
  const boards = await boardsOn(d.busUrl);
  await d.opened();
  const ours = await restOf(d.pid);
  for (const b of boards) b.close();
  await d.stop();
  const bare = await startBare();
  const bareBoards = await boardsOn(bare.busUrl);
  const floor = await restOf(bare.pid);
  for (const b of bareBoards) b.close();
  await bare.end();
  return [
    row('start to readyz', median(starts), median(bareStarts), 'ms', '<= 1000 ms', 'median of 5'),
    row('idle CPU, 40 props open', ours.cpuShare, floor.cpuShare, '% of a core', '<= 2'),
    row('resident set, 40 props open', ours.mb, floor.mb, 'MB', '<= 2'),
  ];
}

async function restOf(pid: number): Promise<{ cpuShare: number; mb: number }> {
  await sleep(2000);
  const before = cpuMs(pid);
  await sleep(IDLE_MS);
  return { cpuShare: ((cpuMs(pid) - before) / IDLE_MS) * 100, mb: residentMb(pid) };
}

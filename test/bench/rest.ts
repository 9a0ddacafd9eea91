import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { cpuMs, residentMb } from './process.ts';
import { type Board, board, freePort, sleep, startDaemon, until } from './rig.ts';
import { median, type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const BARE = fileURLToPath(new URL('../../../test/bench/bare.mjs', import.meta.url));
const BOARDS = 40;
const IDLE_MS = 15_000;
const STARTS = 5;

interface Bare {
  readonly child: ChildProcess;
  readonly busUrl: string;
  readonly readyMs: number;
}

async function startBare(): Promise<Bare> {
  const [port, busPort] = [await freePort(), await freePort()];
  const begun = performance.now();
  const child = spawn(process.execPath, [BARE, String(port), String(busPort)], {
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  await until('the bare node', () =>
    fetch(`http://127.0.0.1:${port}/readyz`).then(
      (r) => r.ok,
      () => false,
    ),
  );
  return { child, busUrl: `mqtt://127.0.0.1:${busPort}`, readyMs: performance.now() - begun };
}

async function ended(child: ChildProcess): Promise<void> {
  child.kill();
  if (child.exitCode === null) await once(child, 'exit');
}

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
    await ended(b.child);
  }
  const d = await startDaemon((port) => pairsYard(BOARDS / 2, port));
  const boards = await boardsOn(d.busUrl);
  await until('the yard to open', async () => {
    const { mode } = await d.picture();
    if (mode === 'closed') await d.command('/api/open', { for: '2 h', plan: false });
    await sleep(200);
    return mode === 'open';
  });
  const ours = await restOf(d.pid);
  for (const b of boards) b.close();
  await d.stop();
  const bare = await startBare();
  const bareBoards = await boardsOn(bare.busUrl);
  const floor = await restOf(bare.child.pid!);
  for (const b of bareBoards) b.close();
  await ended(bare.child);
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

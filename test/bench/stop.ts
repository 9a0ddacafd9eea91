import { matFlood } from './flood.ts';
import { type Board, board, type Daemon, rawClient, sleep, startDaemon, until } from './rig.ts';
import { quantile, type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const BOARDS = 200;
const ROUNDS = 30;
const FLOODED_MS = 500;

/** HTTP `POST /api/stop` sent → the last of 200 boards has it; against one raw client publishing to the same 200. */
export async function benchStop(): Promise<Row[]> {
  const d = await startDaemon((port) => pairsYard(BOARDS / 2, port));
  let had = 0;
  let last = 0;
  const hear = (topic: string): void => {
    if (topic !== 'stop' && topic !== 'floor') return;
    had += 1;
    last = performance.now();
  };
  const boards: Board[] = [];
  const boats: Board[] = [];
  for (let i = 0; i < BOARDS / 2; i++) {
    boats.push(await board(d.busUrl, `boat-${i}`, { near: true, far: false, mat: false }, hear));
    boards.push(boats[i]!, await board(d.busUrl, `figure-${i}`, {}, hear));
  }
  for (const b of boards) b.client.subscribe('bench/floor', { qos: 1 });
  const raw = await rawClient(d.busUrl);
  const rows: Row[] = [];
  try {
    await sleep(2000);
    for (const load of ['alone', 'under full intake'] as const) {
      const ours: number[] = [];
      const floor: number[] = [];
      for (let i = 0; i < ROUNDS; i++) {
        const end = load === 'alone' ? () => {} : await flooded(boats);
        floor.push(await once(() => void raw.publish('bench/floor', '{"latched":true}', { qos: 1 })));
        ours.push(await once(() => void press(d)));
        end();
        await cleared(d);
      }
      for (const [share, aim] of [
        [0.5, '<= 1.3'],
        [0.99, '<= 1.5'],
      ] as const)
        rows.push(
          row(`stop ${load}, p${share * 100}`, quantile(ours, share), quantile(floor, share), 'ms', aim),
        );
    }
  } finally {
    raw.end(true);
    for (const b of boards) b.close();
    await d.stop();
  }
  return rows;

  /** From sending to the last of all boards. */
  async function once(send: () => void): Promise<number> {
    had = 0;
    const sent = performance.now();
    send();
    await until('all boards to have it', () => had >= BOARDS);
    return last - sent;
  }
}

/** All boats flood, and have filled the buffers; returns how to end it. */
async function flooded(boats: readonly Board[]): Promise<() => void> {
  const end = matFlood(boats);
  await sleep(FLOODED_MS);
  return end;
}

/** What comes of it is measured at the boards; one that failed is waited for there, and told. */
const press = (d: Daemon): Promise<unknown> =>
  fetch(`${d.url}/api/stop`, { method: 'POST' }).catch((error: unknown) =>
    process.stderr.write(`stop: ${String(error)}\n`),
  );

async function cleared(d: Daemon): Promise<void> {
  await until('the stop to clear', async () => (await d.command('/api/stop/clear')).ok);
  await sleep(100);
}

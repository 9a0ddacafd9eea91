import { readFileSync } from 'node:fs';
import { type Board, board, rawClient, sleep, startDaemon } from './rig.ts';
import { type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const SPAN_MS = 5000;
const PLAIN = 20;

/**
 * Sensor messages a second that the daemon decodes, journals, steps and shows, against a raw subscriber that only parses
 * JSON. Both are flooded by the same publishers through the same broker; the daemon's own count of events is taken.
 */
export async function benchIntake(): Promise<Row[]> {
  const d = await startDaemon((port) => pairsYard(PLAIN, port));
  const boards: Board[] = [];
  for (let i = 0; i < PLAIN; i++) {
    boards.push(await board(d.busUrl, `boat-${i}`, { near: true, far: false }, () => {}));
    boards.push(await board(d.busUrl, `figure-${i}`, {}, () => {}));
  }
  const raw = await rawClient(d.busUrl);
  let parsed = 0;
  raw.on('message', (_, bytes) => {
    JSON.parse(bytes.toString());
    parsed += 1;
  });
  try {
    await sleep(1500);
    let n = 10_000;
    // the same reading again and again: an edge each time would lock the prop out for chatter
    const floodOf = (topic: (i: number) => string): (() => void) => {
      let on = true;
      const turn = (): void => {
        if (!on) return;
        for (let k = 0; k < 40; k++) {
          const i = ++n % PLAIN;
          const b = boards[2 * i]!;
          b.client.publish(
            topic(i),
            JSON.stringify({ prop: `boat-${i}`, made: true, session: b.session, n }),
            { qos: 0 },
          );
        }
        setImmediate(turn);
      };
      turn();
      return () => {
        on = false;
      };
    };
    const before = await taken(d.url);
    const end = floodOf((i) => `yard/prop/boat-${i}/sense/near`);
    await sleep(SPAN_MS);
    end();
    await sleep(1000);
    const ours = ((await taken(d.url)) - before) / (SPAN_MS / 1000);
    await raw.subscribeAsync('bench/floor/+', { qos: 0 });
    const endRaw = floodOf((i) => `bench/floor/${i}`);
    await sleep(SPAN_MS);
    endRaw();
    await sleep(500);
    const floor = parsed / (SPAN_MS / 1000);
    return [row('intake', ours, floor, 'messages/s', '>= 0.3', 'the publishers share two cores with both')];
  } finally {
    raw.end(true);
    for (const b of boards) b.close();
    await d.stop();
  }
}

/** The daemon's own count of events taken. */
async function taken(url: string): Promise<number> {
  const text = await (await fetch(`${url}/metrics`)).text();
  return Number(/^dusklatch_events_total (\d+)/m.exec(text)?.[1] ?? 0);
}

/** Resident set of a process, MB. */
export function residentMb(pid: number): number {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1] ?? 0) / 1024;
}

/** CPU time of a process so far, ms (USER_HZ is 100 on Linux). */
export function cpuMs(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ');
  return (Number(fields[11]) + Number(fields[12])) * 10;
}

import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import { io } from 'socket.io-client';
import { floodOf, matFlood } from './flood.ts';
import { cpuMs } from './process.ts';
import { type Board, board, rawClient, sleep, startDaemon } from './rig.ts';
import { median, type Row, row } from './row.ts';
import { pairsYard } from './yard-text.ts';

const SPAN_MS = 5000;
/** The flood has filled all buffers by then. */
const BEFORE_MS = 1000;
const PAIRS = 20;
const ROUNDS = 3;

interface Span {
  readonly fromMs: number;
  readonly toMs: number;
  /** Of the daemon's CPU. */
  readonly cpuMs: number;
  /** What a page or a subscriber was given. */
  readonly got: number;
}

/**
 * Sensor messages a second that the daemon decodes, journals, steps and shows, against a raw subscriber that only parses
 * JSON. Both are flooded by the same publishers through the same broker, by turns. Ours are the readings that stand in
 * the record afterwards, by the times of their events; a page listens all the while, and what it is shown is counted.
 */
export async function benchIntake(): Promise<Row[]> {
  const d = await startDaemon((port) => pairsYard(PAIRS, port));
  const boats: Board[] = [];
  const boards: Board[] = [];
  for (let i = 0; i < PAIRS; i++) {
    boats.push(await board(d.busUrl, `boat-${i}`, { near: true, far: false, mat: false }, () => {}));
    boards.push(boats[i]!, await board(d.busUrl, `figure-${i}`, {}, () => {}));
  }
  const page = io(d.url, { transports: ['websocket'] });
  let shown = 0;
  page.on('change', (change: { props?: object }) => {
    if (change.props) shown += 1;
  });
  const spans: Span[] = [];
  const floors: Span[] = [];
  try {
    await sleep(1500);
    for (let i = 0; i < ROUNDS; i++) {
      spans.push(await during(d.pid, matFlood(boats), () => shown));
      floors.push(await floorOf(d.pid, d.busUrl, boats));
      await sleep(1000);
    }
    await d.end();
    return rowsOf(readingsIn(join(d.dataDir, 'journal.db'), spans), spans, floors);
  } finally {
    page.disconnect();
    for (const b of boards) b.close();
    await d.stop();
  }
}

function rowsOf(readings: readonly number[], spans: readonly Span[], floors: readonly Span[]): Row[] {
  const seconds = (s: Span): number => (s.toMs - s.fromMs) / 1000;
  const ours = readings.map((n, i) => n / seconds(spans[i]!));
  const floor = floors.map((f) => f.got / seconds(f));
  const cost = readings.map((n, i) => (spans[i]!.cpuMs * 1000) / n);
  const passing = floors.map((f) => (f.cpuMs * 1000) / f.got);
  const pictures = median(spans.map((s) => s.got / seconds(s)));
  const note = `the publishers share two cores with both; ${pictures.toFixed(0)} pictures a second to a page`;
  return [
    row('intake', median(ours), median(floor), 'messages/s', '>= 0.3', note),
    row('CPU of the daemon a message', median(cost), median(passing), 'us', '', 'floor: passed on to one'),
  ];
}

/** The same readings on topics of nobody, to a raw subscriber of this process. */
async function floorOf(pid: number, busUrl: string, boats: readonly Board[]): Promise<Span> {
  const raw = await rawClient(busUrl);
  let parsed = 0;
  raw.on('message', (_, bytes) => {
    JSON.parse(bytes.toString());
    parsed += 1;
  });
  await raw.subscribeAsync('bench/floor/+', { qos: 0 });
  const flood = floodOf(boats, (b, i, n) => ({
    topic: `bench/floor/${i}`,
    payload: { prop: `boat-${i}`, made: n % 2 > 0, session: b.session, n },
  }));
  const span = await during(pid, flood, () => parsed);
  if (!raw.connected) process.stderr.write("intake: the floor's subscriber was cut off\n");
  raw.end(true);
  return span;
}

/** Lets a flood run and gives the span in which it was steady; what is counted stops with it. */
async function during(pid: number, end: () => void, count: () => number): Promise<Span> {
  await sleep(BEFORE_MS);
  const before = { at: Date.now(), cpu: cpuMs(pid), count: count() };
  await sleep(SPAN_MS);
  end();
  return {
    fromMs: before.at,
    toMs: Date.now(),
    cpuMs: cpuMs(pid) - before.cpu,
    got: count() - before.count,
  };
}

/** Readings in the record of a daemon that has ended, by span; its axis is the wall clock of its start. */
function readingsIn(path: string, spans: readonly Span[]): number[] {
  const db = new DatabaseSync(path, { readOnly: true });
  const count = db.prepare(
    `SELECT count(*) AS n FROM events WHERE at >= ? AND at < ? AND json_extract(body, '$.kind') = 'sensorChanged'`,
  );
  const out = spans.map(({ fromMs, toMs }) => (count.get(fromMs, toMs) as { n: number }).n);
  db.close();
  return out;
}

import type { MqttClient } from 'mqtt';
import { startBare } from './bare.ts';
import { type Board, board, type Daemon, rawClient, sleep, startDaemon } from './rig.ts';
import { quantile, type Row, row } from './row.ts';
import { figuresYard } from './yard-text.ts';

const FIGURES = 40;
const EVERY_S = 5;
const SPAN_MS = 60_000;
/** So long after a planned start the bare timer has its own, so that neither stands in the other's way. */
const APART_MS = 60;

/** Wall clock with fractions of a millisecond; two processes differ by less than one. */
const wall = (): number => performance.timeOrigin + performance.now();

/**
 * Planned start → its `do` at the board, ms late, 40 props that each have a start every few seconds; against a bare
 * timer in another process, set to the same instants a moment on, that publishes through the same kind of broker.
 */
export async function benchJitter(): Promise<Row[]> {
  const d = await startDaemon((port) => figuresYard(FIGURES, EVERY_S, port));
  const told = new Map<string, number>();
  const boards: Board[] = [];
  for (let i = 0; i < FIGURES; i++) boards.push(await board(d.busUrl, `figure-${i}`, {}, wave(told)));
  const bare = await startBare();
  const timer = await rawClient(bare.busUrl);
  try {
    await sleep(1500);
    await d.opened({ for: '2 min', plan: true });
    const from = wall() + 500;
    const planned = (await plannedOf(d)).filter((p) => p.at > from && p.at < from + SPAN_MS);
    const late = setTimers(timer, planned);
    await sleep(SPAN_MS + 3000);
    // a mended plan may have moved a start by the time it came
    const meant = new Map((await plannedOf(d)).map((p) => [p.id, p.at]));
    const ours = planned.flatMap(({ id }) => (told.has(id) ? [told.get(id)! - meant.get(id)!] : []));
    const floor = [...late()];
    const note = `${ours.length} of ${planned.length} starts, p50 ${ms(ours, 0.5)} and ${ms(floor, 0.5)} ms`;
    return [
      row('start jitter, p99', quantile(ours, 0.99), quantile(floor, 0.99), 'ms', '<= 5 ms over', note),
    ];
  } finally {
    for (const b of boards) b.close();
    timer.end(true);
    await bare.end();
    await d.stop();
  }
}

const ms = (values: readonly number[], share: number): string => quantile(values, share).toFixed(1);

/** A board whose figure waves for a second when told; when it was told, by run. */
function wave(told: Map<string, number>) {
  return (topic: string, p: Record<string, unknown>, me: Board): void => {
    if (!topic.endsWith('/do')) return;
    if (!told.has(p.run as string)) told.set(p.run as string, wall());
    const did = { prop: p.prop, run: p.run, step: p.step, move: p.move, session: me.session };
    me.say(`prop/${p.prop}/did`, { ...did, is: 'started' });
    setTimeout(() => me.say(`prop/${p.prop}/did`, { ...did, is: 'done', ms: 1000 }), 1000);
  };
}

interface Planned {
  readonly id: string;
  /** Wall clock, ms. */
  readonly at: number;
}

interface Plan {
  readonly runs: readonly { readonly id: string; readonly start: number }[];
}

/** Every planned start and when it is to be, once the plan is there. */
async function plannedOf(d: Daemon): Promise<Planned[]> {
  for (;;) {
    const plan = (await (await fetch(`${d.url}/api/plan`)).json()) as Plan | null;
    const open = (await d.picture()).night?.open;
    if (plan && open !== undefined) {
      if (plan.runs.length > 0) return plan.runs.map((r) => ({ id: r.id, at: open + r.start * 1000 }));
    }
    await sleep(50);
  }
}

/** Has the bare timer publish at these instants, a moment on; gives how late each came. */
function setTimers(timer: MqttClient, planned: readonly Planned[]): () => readonly number[] {
  const late: number[] = [];
  timer.on('message', (_, bytes) => void late.push(wall() - Number(bytes.toString())));
  timer.subscribe('bench/now', { qos: 0 });
  timer.publish('bench/at', JSON.stringify(planned.map((p) => p.at + APART_MS)), { qos: 1 });
  return () => late;
}

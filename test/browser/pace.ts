import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import type { CDPSession } from 'playwright-core';
import { haveBrowser, LAPTOP, launch } from './chromium.ts';
import { Fixture } from './fixture.ts';
import { many } from './hand-pictures.ts';

export { haveBrowser };

export interface Pace {
  /** The script that the screen of the yard loads, gzipped. */
  firstScriptBytes: number;
  /** All script there is, what other screens ask for among it, gzipped. */
  scriptBytes: number;
  /** The rest of it: document, style sheet, icon. */
  otherBytes: number;
  props: number;
  changes: number;
  /** Longest piece of work of the page's thread in each span between two changes, ms. */
  longestMs: { median: number; p99: number; most: number };
  /** All work of that thread for one change, ms, beyond what the page does at rest. */
  perChangeMs: number;
}

const CHANGES = 60;
const EVERY_MS = 100;

/** A frame at 60 Hz has 16.7 ms: 300 props, all unfolded, ten changes a second. The page must be built. */
export async function measurePage(): Promise<Pace> {
  const fixture = await Fixture.start(many());
  const browser = await launch();
  try {
    const page = await browser.newPage({ viewport: LAPTOP });
    const loaded = new Set<string>();
    page.on('request', (request) => {
      if (request.resourceType() === 'script') loaded.add(new URL(request.url()).pathname.slice(1));
    });
    await page.goto(`${fixture.url}/#/yard`);
    await page.waitForSelector('html[data-link=live]');
    const folded = page.locator('zone-group button[aria-expanded=false]');
    while ((await folded.count()) > 0) await folded.first().click();
    const cdp = await page.context().newCDPSession(page);
    await cdp.send('Performance.enable');
    await page.waitForTimeout(500);
    const first = [...loaded];
    const restMs = await workMs(cdp, () => page.waitForTimeout(CHANGES * EVERY_MS));
    const trace = await traced(await browser.newBrowserCDPSession());
    const busyMs = await workMs(cdp, () => changes(fixture));
    const longest = perSpan(await trace());
    return {
      ...sizes(first),
      props: await page.locator('prop-row').count(),
      changes: CHANGES,
      longestMs: { median: at(longest, 0.5), p99: at(longest, 0.99), most: at(longest, 1) },
      perChangeMs: (busyMs - restMs) / CHANGES,
    };
  } finally {
    await browser.close();
    await fixture.stop();
  }
}

/** Each ends what the one before began and begins three moves, as in a yard of three hundred that is busy everywhere. */
async function changes(fixture: Fixture): Promise<void> {
  const ids = Object.keys(fixture.picture.props);
  for (let n = 0; n < CHANGES; n += 1) {
    const from = (n * 3) % (ids.length - 6);
    const props = ids.slice(from, from + 6).map((id, place) => {
      const prop = fixture.picture.props[id]!;
      const moves = place >= 3;
      const move = moves ? { move: 'rise', since: fixture.clock(), usualMs: 4000, limitMs: 8000 } : null;
      return [id, { ...prop, state: moves ? 'moving' : 'ready', move } as const];
    });
    fixture.change({}, { props: Object.fromEntries(props) });
    await new Promise((later) => setTimeout(later, EVERY_MS));
  }
}

async function workMs(cdp: CDPSession, during: () => Promise<unknown>): Promise<number> {
  const spent = async () => {
    const { metrics } = await cdp.send('Performance.getMetrics');
    return metrics.find(({ name }) => name === 'TaskDuration')!.value * 1000;
  };
  const before = await spent();
  await during();
  return (await spent()) - before;
}

interface TraceEvent {
  name: string;
  ph: string;
  ts: number;
  dur?: number;
  tid: number;
  pid: number;
  args?: { name?: string };
}

/** Begins to record the work of all threads; the function returned ends it and gives what was recorded. */
async function traced(cdp: CDPSession): Promise<() => Promise<TraceEvent[]>> {
  const events: TraceEvent[] = [];
  cdp.on('Tracing.dataCollected', ({ value }) => {
    for (const event of value) events.push(event as unknown as TraceEvent);
  });
  await cdp.send('Tracing.start', {
    transferMode: 'ReportEvents',
    traceConfig: { includedCategories: ['toplevel', 'disabled-by-default-devtools.timeline', '__metadata'] },
  });
  return async () => {
    const complete = new Promise((done) => cdp.once('Tracing.tracingComplete', done));
    await cdp.send('Tracing.end');
    await complete;
    return events;
  };
}

/** The longest piece of work of the page's main thread in each span of 100 ms, ms, in order of size. */
function perSpan(events: TraceEvent[]): number[] {
  const mains = new Set(
    events
      .filter((e) => e.name === 'thread_name' && e.args?.name === 'CrRendererMain')
      .map((e) => `${e.pid}.${e.tid}`),
  );
  const spans = new Map<number, number>();
  for (const event of events) {
    if (event.ph !== 'X' || event.dur === undefined || !mains.has(`${event.pid}.${event.tid}`)) continue;
    const span = Math.floor(event.ts / (EVERY_MS * 1000));
    spans.set(span, Math.max(spans.get(span) ?? 0, event.dur / 1000));
  }
  if (spans.size < CHANGES / 2) throw new Error('the work of the page was not recorded');
  return [...spans.values()].sort((a, b) => a - b);
}

function at(sorted: number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
}

const WEB = fileURLToPath(new URL('../../dist/web/', import.meta.url));

function sizes(first: string[]): Pick<Pace, 'firstScriptBytes' | 'scriptBytes' | 'otherBytes'> {
  const files = readdirSync(WEB, { recursive: true, encoding: 'utf8' }).filter((name) => name.includes('.'));
  const bytes = (name: string) => gzipSync(readFileSync(WEB + name)).length;
  const sum = (names: string[]) => names.reduce((all, name) => all + bytes(name), 0);
  return {
    firstScriptBytes: sum(first),
    scriptBytes: sum(files.filter((name) => name.endsWith('.js'))),
    otherBytes: sum(files.filter((name) => !name.endsWith('.js'))),
  };
}

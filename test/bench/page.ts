import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';
import type { Row } from './row.ts';

const PACE = fileURLToPath(new URL('../../../test/browser/pace.ts', import.meta.url));
const FRAME_MS = 1000 / 60;
const SCRIPT_KB = 80;

/** Of what `measurePage` gives; the browser's room is not built with this one, which is why it is said again. */
interface Pace {
  readonly firstScriptBytes: number;
  readonly scriptBytes: number;
  readonly props: number;
  readonly longestMs: { readonly median: number; readonly p99: number; readonly most: number };
  readonly perChangeMs: number;
}

/**
 * What the page of the yard weighs, and how long a change takes with 300 props and ten changes a second; the floor is what
 * it may. Without a browser it is passed over.
 */
export async function benchPage(): Promise<Row[]> {
  const { module } = await runnerImport<{
    haveBrowser: boolean;
    measurePage(): Promise<Pace>;
  }>(PACE);
  if (!module.haveBrowser) {
    process.stderr.write('page: no browser here, passed over (apt-get install chromium)\n');
    return [];
  }
  const pace = await module.measurePage();
  const kb = pace.firstScriptBytes / 1024;
  const { longestMs, props } = pace;
  const rest = `and ${((pace.scriptBytes - pace.firstScriptBytes) / 1024).toFixed(0)} KB when asked for`;
  const most = `median ${longestMs.median.toFixed(1)}, most ${longestMs.most.toFixed(1)} ms`;
  return [
    budget('page, first script, gzipped', kb, SCRIPT_KB, 'KB', '<= 80 KB', rest),
    budget(
      `page, longest work a change, p99, ${props} props`,
      longestMs.p99,
      FRAME_MS,
      'ms',
      '<= a frame',
      most,
    ),
    budget(`page, all work a change, ${props} props`, pace.perChangeMs, FRAME_MS, 'ms', '<= a frame'),
  ];
}

function budget(work: string, ours: number, floor: number, unit: string, aim: string, note?: string): Row {
  return { work, ours, floor, unit, ratio: ours / floor, aim, ...(note ? { note } : {}) };
}

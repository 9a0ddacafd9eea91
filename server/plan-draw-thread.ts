import { parentPort, workerData } from 'node:worker_threads';
import { rfc3339 } from './calendar/local-time.ts';
import { readYard } from './file/read.ts';
import { planTonight } from './plan/plan.ts';
import type { DrawOrder } from './plan-draw.ts';

const { text, night, expects } = workerData as DrawOrder;
const read = readYard(text);
if (!read.ok) throw new Error('the yard file that was fine a moment ago has errors');
const { yard } = read;
parentPort!.postMessage(planTonight(yard, night, { expects, stamp: (ms) => rfc3339(yard, ms) }));

import { Worker } from 'node:worker_threads';
import type { NightTimes, TonightPlan } from './plan/tonight.ts';
import type { Expects } from './yard/timeline.ts';

export interface DrawOrder {
  /** The yard file's text. */
  readonly text: string;
  readonly night: NightTimes;
  readonly expects: Expects;
}

/**
 * Draws tonight's plan on a thread of its own: a large yard takes seconds on a small computer, and a desk whose loop
 * stands still for the bus's silence loses its props.
 */
export function drawPlan(order: DrawOrder): Promise<TonightPlan> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./plan-draw-thread.js', import.meta.url), { workerData: order });
    worker.once('message', (plan: TonightPlan) => resolve(plan));
    worker.once('error', reject);
    worker.once('exit', (code) =>
      reject(new Error(`the planning thread ended with ${code} before it had a plan`)),
    );
  });
}

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import type { Clock } from './clock.ts';
import type { Desk } from './desk.ts';
import type { NightTimes, TonightPlan } from './plan/tonight.ts';
import { mendedFor } from './plan-mend.ts';
import type { PlannedStart } from './show/events.ts';

/** A plan's times are written to the second. */
const STAMP_MS = 1000;

/**
 * Tonight's plan as it was drawn up, kept in the data folder, so that after a restart in mid-night the page and the
 * mending still know what it was. The core itself only knows the starts.
 */
export class PlanKeeper {
  readonly #path: string;
  plan: TonightPlan | null = null;

  constructor(dataDir: string) {
    this.#path = join(dataDir, 'tonight.json');
  }

  keep(plan: TonightPlan, yardHash: string): void {
    this.plan = plan;
    try {
      writeFileAtomic.sync(this.#path, JSON.stringify({ yardHash, plan }));
    } catch {
      // a full disk: it is drawn up again after a restart
    }
  }

  /**
   * The plan of that night under that yard file, if it is the one kept. Of nights opened by hand several may bear one
   * name: they are told apart by when they were opened.
   */
  kept(night: NightTimes, yardHash: string): TonightPlan | null {
    try {
      const kept = JSON.parse(readFileSync(this.#path, 'utf8')) as { yardHash: string; plan: TonightPlan };
      if (kept.yardHash !== yardHash || kept.plan.night !== night.date) return null;
      if (Math.abs(Date.parse(kept.plan.open) - night.openMs) > STAMP_MS) return null;
      this.plan = kept.plan;
      return kept.plan;
    } catch {
      return null;
    }
  }

  /** Mends what is left of tonight's plan after something moved; once, however many ask within one loop. */
  mend(desk: Desk, clock: Clock): void {
    if (this.#mending) return;
    this.#mending = true;
    clock.soon(() => {
      this.#mending = false;
      mendNow(desk);
    });
  }
  #mending = false;
}

/** The planned starts of a night, as the desk takes them. */
export function plannedStarts(plan: TonightPlan, night: NightTimes): PlannedStart[] {
  return plan.runs.map(({ id, scene, start }) => ({
    id,
    scene,
    startMs: night.openMs + Math.round(start * 1000),
  }));
}

/** Mends the plan of a desk for what is so now. */
export function mendNow(desk: Desk): void {
  const { show } = desk;
  const runs = mendedFor(show);
  if (runs) desk.tell({ kind: 'planMended', night: show.night!.date, runs });
}

import { upcoming } from '../../server/calendar/find.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import type { PlannedStart } from '../../server/show/events.ts';
import type { Yard } from '../../server/yard/types.ts';
import type { Chance } from './chance.ts';

const cache = new WeakMap<Yard, Map<number, NightTimes[]>>();
const DAY_MS = 86_400_000;

/** The nights around an instant, from the real calendar. Asked once a day of a yard, since it is slow. */
export function nightsAround(yard: Yard, wall: number): readonly NightTimes[] {
  const known = cache.get(yard) ?? new Map<number, NightTimes[]>();
  cache.set(yard, known);
  const day = Math.floor(wall / DAY_MS);
  const found = known.get(day) ?? upcoming(yard, (day - 1) * DAY_MS, 4);
  known.set(day, found);
  return found;
}

export const nightAt = (yard: Yard, wall: number): NightTimes | null =>
  nightsAround(yard, wall).find((n) => n.openMs <= wall && wall < n.closeMs) ?? null;

export const preparedNight = (yard: Yard, wall: number): NightTimes | null =>
  nightsAround(yard, wall).findLast((n) => n.prepareMs <= wall && wall < n.closeMs) ?? null;

const RUNS_MOST = 600;

/**
 * A plan that no planner would draw up: every scene by its own beat, one upon the other. What can't be is for the core
 * to refuse, and this asks it to far more often than a good plan would.
 */
export function rashPlan(yard: Yard, night: NightTimes, chance: Chance): PlannedStart[] {
  const out: PlannedStart[] = [];
  for (const scene of yard.scenes.values()) {
    if (scene.everyMs === null) continue;
    let n = 0;
    for (let at = night.openMs + chance.between(0, scene.everyMs); at < night.closeMs; ) {
      n += 1;
      out.push({ id: `${night.date}.${scene.id}.${n}`, scene: scene.id, startMs: Math.round(at) });
      at += scene.everyMs * chance.between(0.6, 1.4);
    }
  }
  return out.sort((a, b) => a.startMs - b.startMs).slice(0, RUNS_MOST);
}

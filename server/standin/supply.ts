import { advance, draw, freeLitres, fullTank, pressureKpa, type TankLevel } from '../yard/air.ts';
import type { Tank } from '../yard/types.ts';

/** The yard's tanks as they really are, shared by every prop that draws from them. */
export interface Supply {
  /** Takes free air; answers the gauge pressure left, kPa. A tank gives no more than it holds. */
  draw(atMs: number, tank: string, litres: number): number;
  /** Gauge pressure now, kPa. */
  kpa(atMs: number, tank: string): number;
  workingKpa(tank: string): number;
  /** Lets all the air out. */
  drain(atMs: number, tank: string): void;
  has(tank: string): boolean;
}

export function supplyOf(tanks: ReadonlyMap<string, Tank>, atMs: number): Supply {
  const levels = new Map<string, TankLevel>([...tanks].map(([id, t]) => [id, fullTank(t, atMs)]));
  const take = (nowMs: number, id: string, litres: number): number => {
    const tank = tanks.get(id);
    const level = levels.get(id);
    if (!tank || !level) throw new Error(`no tank ${id} in the yard`);
    const now = advance(tank, level, Math.max(nowMs, level.atMs));
    const next = litres > 0 ? draw(tank, now, Math.min(litres, now.litres)) : now;
    levels.set(id, next);
    return pressureKpa(tank, next.litres);
  };
  return {
    draw: take,
    kpa: (nowMs, id) => take(nowMs, id, 0),
    workingKpa: (id) => tanks.get(id)?.workingKpa ?? 0,
    drain: (nowMs, id) => {
      const tank = tanks.get(id);
      if (tank) take(nowMs, id, freeLitres(tank, tank.cutOutKpa));
    },
    has: (id) => tanks.has(id),
  };
}

/** The least share of the working pressure at which a cylinder still moves. Common practice, no source. */
const LEAST_SHARE = 0.3;

/** How fast a pneumatic move runs at this pressure, as a share of its usual speed; 0: it does not move. */
export function airShare(kpa: number, workingKpa: number): number {
  const share = workingKpa > 0 ? kpa / workingKpa : 1;
  return share >= 1 ? 1 : share < LEAST_SHARE ? 0 : share;
}

import type { NightState } from '../../server/plan/mend.ts';
import type { NightTimes, TonightPlan } from '../../server/plan/tonight.ts';
import type { Yard } from '../../server/yard/types.ts';

/** The night as it stands `now` seconds after open, if all that has begun went as `begun` says. */
export function stateOf(
  yard: Yard,
  night: NightTimes,
  begun: TonightPlan['runs'],
  now: number,
  plan: TonightPlan,
): NightState {
  const ms = (s: number) => night.openMs + Math.round(s * 1000);
  const over = begun.filter((r) => r.end <= now);
  const propRests: Record<string, number> = Object.create(null);
  const sceneRests: Record<string, number> = Object.create(null);
  const zoneGaps: Record<string, number[]> = Object.create(null);
  const moved: Record<string, [number, number][]> = Object.create(null);
  const at: Record<string, string | null> = Object.create(null);
  for (const p of yard.props.values()) at[p.id] = p.home;
  for (const r of over) {
    const scene = yard.scenes.get(r.scene)!;
    sceneRests[scene.id] = Math.max(sceneRests[scene.id] ?? 0, ms(r.end) + scene.restMs);
    for (const p of scene.props)
      propRests[p] = Math.max(propRests[p] ?? 0, ms(r.end) + yard.props.get(p)!.restMs);
    if (scene.zone !== null) {
      const ends = (zoneGaps[scene.zone] ?? []).concat(ms(r.end) + yard.zones.get(scene.zone)!.gapMs);
      zoneGaps[scene.zone] = ends.filter((e) => e > ms(now));
    }
  }
  const done = begun.flatMap((r) => r.steps).filter((s) => s.start < now);
  for (const s of done.sort((a, b) => a.start - b.start)) {
    if (s.end <= now) moved[s.prop] = [...(moved[s.prop] ?? []), [ms(s.start), ms(s.end)]];
    at[s.prop] = s.end <= now ? yard.props.get(s.prop)!.moves.get(s.move)!.until : null;
  }
  return {
    nowMs: ms(now),
    running: begun
      .filter((r) => r.end > now)
      .map((r) => ({
        scene: r.scene,
        startMs: ms(r.start),
        endMs: ms(r.end),
        moves: r.steps
          .filter((s) => s.end > now)
          .map((s) => ({ prop: s.prop, move: s.move, startMs: ms(s.start), endMs: ms(s.end) })),
      })),
    remaining: plan.runs
      .filter((r) => r.start >= now)
      .map((r) => ({ id: r.id, scene: r.scene, startMs: ms(r.start) })),
    shutScenes: [],
    propRests,
    sceneRests,
    zoneGaps,
    moved,
    tanks: tanksAt(yard, night, begun, now),
    at,
  };
}

function tanksAt(
  yard: Yard,
  night: NightTimes,
  begun: TonightPlan['runs'],
  now: number,
): NightState['tanks'] {
  const levels: Record<string, { atMs: number; litres: number; pumping: boolean }> = {};
  for (const tank of yard.tanks.values()) {
    const perKpa = tank.volumeLitres / 101.325;
    let [litres, pumping, at] = [tank.cutOutKpa * perKpa, false, 0];
    const pass = (to: number) => {
      if (pumping) litres += ((to - at) * tank.deliveryLpm) / 60;
      if (litres >= tank.cutOutKpa * perKpa) [litres, pumping] = [tank.cutOutKpa * perKpa, false];
      at = to;
    };
    const steps = begun.flatMap((r) => r.steps).sort((a, b) => a.start - b.start);
    for (const s of steps) {
      if (s.start > now) break;
      for (const air of yard.props.get(s.prop)!.moves.get(s.move)!.air) {
        if (air.tank !== tank.id) continue;
        pass(s.start);
        litres -= air.litres;
        if (litres <= tank.cutInKpa * perKpa) pumping = true;
      }
    }
    pass(now);
    levels[tank.id] = { atMs: night.openMs + Math.round(now * 1000), litres, pumping };
  }
  return levels;
}

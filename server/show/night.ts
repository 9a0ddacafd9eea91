import { yardAgainst } from './admission.ts';
import type { Event, PlannedStart } from './events.ts';
import { advanceHoming, beginHoming } from './homing.ts';
import type { Reason } from './reasons.ts';
import { setPlanned } from './run-end.ts';
import { newRunId, startAgainst, startRun } from './scene.ts';
import { axisOf, type PlannedRun, type Show, wallOf } from './show.ts';
import { stationReasons } from './station.ts';
import type { Turn } from './turn.ts';

/*
 * The night and its modes.
 *
 *   closed ── open (a person, or by itself at its instant) ──► opening: notice, then homing ──► open
 *   open ── hold ──► held ── open ──► opening
 *   open, opening, held ── close ──► closing: runs end, homing ──► closed
 *   any ── stop ──► stopped ── clear ──► held
 *
 * At `close` an open yard closes; a held one is closed without homing; a stopped one stays stopped. A returning link,
 * power or sensor changes no mode.
 */

/** All that bars opening now. */
export function openReasons(show: Show, at: number): Reason[] {
  const out: Reason[] = [];
  if (show.stop.latched) out.push({ code: 'stopped', stop: show.stop.n });
  out.push(...stationReasons(show, at));
  const barred = yardAgainst(show, at);
  if (barred && !out.some((r) => r.code === barred.code)) out.push(barred);
  return out;
}

export function openAsked(turn: Turn, e: Extract<Event, { kind: 'openAsked' }>): void {
  const { show, at } = turn;
  if (show.mode === 'open' || show.mode === 'opening')
    return turn.answer([{ code: 'already-open', mode: show.mode }]);
  const reasons = openReasons(show, at);
  if (show.mode === 'closing') reasons.push({ code: 'mode', mode: 'closing' });
  const night = e.night ?? show.night;
  if (
    !night ||
    wallOf(show, at) < night.openMs - (e.night ? night.noticeMs : 0) ||
    wallOf(show, at) >= night.closeMs
  )
    reasons.push({ code: night ? 'outside-hours' : 'no-night' });
  if (reasons.length > 0) return turn.answer(reasons);
  if (e.night) takeNight(turn, e.night, []);
  show.unplanned = !e.planned;
  if (!e.planned) dropPlanned(turn, { code: 'run-unplanned' });
  beginOpening(turn, e.by);
  turn.answer();
}

function takeNight(turn: Turn, night: NonNullable<Show['night']>, runs: readonly PlannedRun[]): void {
  turn.show.night = night;
  turn.show.planned = runs;
  turn.show.plannedFrom = 0;
}

export function beginOpening(turn: Turn, by: string): void {
  const { show, at } = turn;
  const night = show.night!;
  show.opening = { phase: 'notice', noticeEndsAt: at + night.noticeMs, by };
  show.openingWaits = [];
  show.autoOpenUntil = null;
  turn.setMode('opening', by);
  turn.do({ kind: 'giveNotice', inMs: night.noticeMs });
  const scene = night.noticeScene === null ? undefined : turn.yard.scenes.get(night.noticeScene);
  if (!scene) return;
  const reason = startAgainst(turn, scene, 'notice');
  if (reason) turn.record({ code: 'run-skipped', plannedMs: at, for: reason }, { scene: scene.id });
  else startRun(turn, scene, 'notice', newRunId(turn, scene.id));
}

export function holdAsked(turn: Turn, by: string): void {
  const { mode } = turn.show;
  if (mode !== 'open' && mode !== 'opening' && mode !== 'held') return turn.answer([{ code: 'mode', mode }]);
  turn.show.opening = null;
  // homing moves under way end by themselves; none is begun
  turn.show.homing = null;
  turn.show.autoOpenUntil = null;
  turn.setMode('held', by);
  turn.answer();
}

export function closeAsked(turn: Turn, by: string): void {
  const { mode } = turn.show;
  if (mode === 'stopped') return turn.answer([{ code: 'stopped', stop: turn.show.stop.n }]);
  if (mode !== 'closed' && mode !== 'closing') beginClosing(turn, by);
  turn.answer();
}

function beginClosing(turn: Turn, by: string): void {
  turn.show.opening = null;
  turn.show.homing = null;
  turn.show.autoOpenUntil = null;
  turn.setMode('closing', by);
}

export function nightDrawn(turn: Turn, e: Extract<Event, { kind: 'nightDrawn' }>): void {
  const { show } = turn;
  const busy = show.mode === 'opening' || show.mode === 'open' || show.mode === 'closing';
  if (busy && show.night !== null && show.night.date !== e.night.date) return;
  const sameNight = show.night?.date === e.night.date;
  const kept = sameNight ? show.planned.filter((r) => r.state !== 'planned') : [];
  takeNight(
    turn,
    e.night,
    inOrder([...kept, ...(show.unplanned && sameNight ? [] : named(turn, e.night.date, e.runs))]),
  );
  if (!sameNight) show.unplanned = false;
  turn.record({ code: 'plan-drawn', night: e.night.date, runs: e.runs.length });
}

/** A run's name is never used twice: a plan drawn up again for the same night numbers on from the first. */
function named(turn: Turn, night: string, runs: readonly PlannedStart[]): PlannedRun[] {
  const offsets = new Map<string, number>();
  const highest = new Map<string, number>();
  const out: PlannedRun[] = [];
  for (const r of runs) {
    const used = turn.show.scenes[r.scene]!.used;
    if (!offsets.has(r.scene)) offsets.set(r.scene, Object.hasOwn(used, night) ? used[night]! : 0);
    const number = Number(r.id.slice(r.id.lastIndexOf('.') + 1)) + offsets.get(r.scene)!;
    highest.set(r.scene, Math.max(highest.get(r.scene) ?? 0, number));
    out.push(planned(`${night}.${r.scene}.${number}`, r));
  }
  const date = night.slice(0, 10);
  for (const [scene, n] of highest) {
    const used = Object.fromEntries(Object.entries(turn.show.scenes[scene]!.used).filter(([k]) => k >= date));
    turn.setScene(scene, { used: { ...used, [night]: n } });
  }
  return out;
}

const planned = (id: string, r: PlannedStart): PlannedRun => ({
  id,
  scene: r.scene,
  startMs: r.startMs,
  state: 'planned',
  actualStartMs: null,
  actualEndMs: null,
  why: null,
});

/** In order of start; where two are equal, in the order of the plan. */
const inOrder = (runs: PlannedRun[]): PlannedRun[] => runs.sort((a, b) => a.startMs - b.startMs);

/** The mended rest of the plan: runs that are not in it any more are marked skipped, with why. */
export function planMended(turn: Turn, e: Extract<Event, { kind: 'planMended' }>): void {
  const { show } = turn;
  if (show.night?.date !== e.night) return;
  const starts = new Map(e.runs.map((r) => [r.id, r.startMs]));
  let changed = 0;
  const runs = show.planned.map((r): PlannedRun => {
    if (r.state !== 'planned') return r;
    const startMs = starts.get(r.id);
    if (startMs === r.startMs) return r;
    changed += 1;
    if (startMs !== undefined) return { ...r, startMs };
    return skipped(turn, r, { code: 'mended-away' });
  });
  if (changed === 0) return;
  show.planned = inOrder(runs);
  show.plannedFrom = 0;
  turn.record({ code: 'plan-mended', runs: changed });
}

function skipped(turn: Turn, r: PlannedRun, why: Reason): PlannedRun {
  turn.setScene(r.scene, { skipped: turn.show.scenes[r.scene]!.skipped + 1 });
  turn.record(
    { code: 'run-skipped', plannedMs: axisOf(turn.show, r.startMs), for: why },
    { scene: r.scene, run: r.id },
  );
  return { ...r, state: 'skipped', why };
}

function dropPlanned(turn: Turn, why: Reason): void {
  turn.show.planned = turn.show.planned.map((r) => (r.state === 'planned' ? skipped(turn, r, why) : r));
}

/** How late a planned run may start: half its `every`, at least 10 s. */
export const lateAllowedMs = (show: Show, scene: string): number =>
  Math.max(10_000, (show.yard.scenes.get(scene)!.everyMs ?? 0) / 2);

/** Starts what is due and can start; marks skipped what is too late, with what stood against it. */
export function startPlanned(turn: Turn): void {
  const { show, at } = turn;
  const wall = wallOf(show, at);
  let from = show.plannedFrom;
  for (let i = from; i < turn.show.planned.length; i++) {
    const r = turn.show.planned[i]!;
    if (r.startMs > wall) break;
    if (r.state === 'planned') {
      const reason = startAgainst(turn, turn.yard.scenes.get(r.scene)!, 'plan');
      if (!reason) startRun(turn, turn.yard.scenes.get(r.scene)!, 'plan', r.id);
      else if (wall >= r.startMs + lateAllowedMs(show, r.scene))
        setPlanned(turn, r.id, skipped(turn, r, reason));
    }
    if (i === from && turn.show.planned[i]!.state !== 'planned') from += 1;
  }
  turn.show.plannedFrom = from;
}

/** When a planned run wants looking at: its start, or a moment on while something stands against one that is due. */
export function plannedDue(show: Show, retryMs: number): number {
  const next = show.planned[show.plannedFrom];
  if (!next) return Number.POSITIVE_INFINITY;
  const at = axisOf(show, next.startMs);
  if (at > show.at) return at;
  return show.at + retryMs;
}

/** The instant at which tonight opens by itself, on the axis; Infinity where it does not or has. */
export function selfOpenDue(show: Show): number {
  const night = show.night;
  if (!night?.opensByItself || show.selfOpened === night.date) return Number.POSITIVE_INFINITY;
  return axisOf(show, night.openMs - night.noticeMs);
}

/** Opens by itself at its instant and from `closed` only; with a reason against it, it waits for a person. */
export function watchNight(turn: Turn): void {
  const { show, at } = turn;
  const night = show.night;
  if (!night) return;
  if (at >= selfOpenDue(show)) {
    show.selfOpened = night.date;
    if (show.mode === 'closed' && wallOf(show, at) < night.closeMs) openBySelf(turn);
  }
  if (show.autoOpenUntil !== null) openAgain(turn);
  if (wallOf(show, at) >= night.closeMs) nightOver(turn);
}

function openBySelf(turn: Turn): void {
  const reasons = openReasons(turn.show, turn.at);
  // the red button is given its first seconds before its silence counts
  if (reasons.some((r) => r.code === 'station-not-heard') && reasons.length === 1) {
    turn.show.selfOpened = null;
    return;
  }
  if (reasons.length === 0) return beginOpening(turn, 'by itself');
  turn.show.openingWaits = reasons;
  turn.record({ code: 'opening-waits', for: reasons });
}

/** `restart: auto` after a cut: as soon as nothing bars it, within its patience; then a person must. */
function openAgain(turn: Turn): void {
  const { show, at } = turn;
  if (show.mode !== 'held') {
    show.autoOpenUntil = null;
    return;
  }
  const reasons = openReasons(show, at);
  if (reasons.length === 0) return beginOpening(turn, 'after a restart');
  if (at < show.autoOpenUntil!) return;
  show.autoOpenUntil = null;
  show.openingWaits = reasons;
  turn.record({ code: 'opening-waits', for: reasons });
}

function nightOver(turn: Turn): void {
  const { show } = turn;
  if (show.mode === 'open' || show.mode === 'opening') beginClosing(turn, 'the hour');
  else if (show.mode === 'held' && show.runs.length === 0 && nothingMoves(show))
    turn.setMode('closed', 'the hour');
  if (show.mode !== 'closing') {
    dropPlanned(turn, { code: 'night-ended' });
    show.night = null;
    show.openingWaits = [];
    show.autoOpenUntil = null;
  }
}

const nothingMoves = (show: Show): boolean => Object.values(show.props).every((p) => p.flight === null);

/** Takes an opening or a closing as far as it goes now. */
export function advanceMode(turn: Turn): void {
  const { show, at } = turn;
  const opening = show.opening;
  if (show.mode === 'opening' && opening) {
    if (opening.phase === 'notice') {
      if (at < opening.noticeEndsAt) return;
      show.opening = { ...opening, phase: 'homing' };
      beginHoming(turn);
    }
    if (!advanceHoming(turn)) return;
    show.opening = null;
    turn.setMode('open', opening.by);
    turn.mend();
  } else if (show.mode === 'closing') {
    if (show.runs.length > 0) return;
    if (!show.homing) beginHoming(turn);
    if (!advanceHoming(turn)) return;
    turn.setMode('closed', show.modeBy);
  }
}

import { yardAgainst } from './admission.ts';
import { endBenches } from './bench.ts';
import type { Event } from './events.ts';
import { advanceHoming, beginHoming } from './homing.ts';
import { dropPlanned, takeNight } from './planned.ts';
import type { Reason } from './reasons.ts';
import { newRunId, startAgainst, startRun } from './scene.ts';
import { axisOf, type Show, wallOf } from './show.ts';
import { STATION_GRACE_MS, stationReasons } from './station.ts';
import type { Turn } from './turn.ts';
import { sumUpNight } from './wear.ts';

/*
 * The night and its modes.
 *
 *   closed ── open (a person, or by itself at its instant) ──► opening: notice, then homing ──► open
 *   open ── hold ──► held ── open ──► opening
 *   open, opening, held ── close ──► closing: runs end, homing ──► closed
 *   any ── stop ──► stopped ── clear ──► held
 *
 * At `close` an open yard closes; a held one is closed without homing, once what runs in it has ended; a stopped one
 * stays stopped. Then the night is let go of, and one that was drawn up behind it comes. A returning link, power or
 * sensor changes no mode.
 */

/** So late it may still open by itself: as long as a night opened by hand before it takes to close. */
const SELF_OPEN_LATE_MS = 300_000;

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
  if (e.night) openByHand(turn, e.night);
  show.unplanned = !e.planned;
  if (!e.planned) dropPlanned(turn, { code: 'run-unplanned' });
  beginOpening(turn, e.by);
  turn.answer();
}

/** A night made by hand comes before tonight's, which waits behind it with its plan. */
function openByHand(turn: Turn, night: NonNullable<Show['night']>): void {
  const { show } = turn;
  const other = show.night;
  if (other && other.date !== night.date && wallOf(show, turn.at) < other.closeMs)
    show.nextNight = { night: other, planned: show.planned };
  if (other?.date !== night.date) takeNight(turn, night, []);
  else show.night = night;
}

export function beginOpening(turn: Turn, by: string): void {
  const { show, at } = turn;
  const night = show.night!;
  endBenches(turn);
  show.stop = { ...show.stop, reopened: true };
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
  endBenches(turn);
  turn.show.opening = null;
  turn.show.homing = null;
  turn.show.autoOpenUntil = null;
  turn.setMode('closing', by);
}

/** The instant at which tonight opens by itself, on the axis; Infinity where it does not or has. */
function selfOpenDue(show: Show): number {
  const night = show.night;
  if (!night?.opensByItself || show.selfOpened === selfOpeningOf(night)) return Number.POSITIVE_INFINITY;
  return axisOf(show, night.openMs - night.noticeMs);
}

/** With its instant, since a demonstration begins a night of the same date at each start. */
const selfOpeningOf = (night: NonNullable<Show['night']>): string => `${night.date} ${night.openMs}`;

/** When the night itself next wants looking at. */
export function nightDue(show: Show, retryMs: number): number {
  if (!show.night) return Number.POSITIVE_INFINITY;
  const self = selfOpenDue(show);
  const close = axisOf(show, show.night.closeMs);
  // once it is past, what still closes or runs ends by its own deadlines, and the night with it
  const waits = show.mode === 'closing' || (show.mode === 'held' && isBusy(show));
  const over = close > show.at ? close : waits ? Number.POSITIVE_INFINITY : show.at + 1;
  // waiting for a red button to be heard: look again, not at once
  return Math.min(self > show.at ? self : show.at + retryMs, over);
}

/** Opens by itself at its instant and from `closed` only; with a reason against it, it waits for a person. */
export function watchNight(turn: Turn): void {
  const { show, at } = turn;
  const night = show.night;
  if (!night) return;
  if (at >= selfOpenDue(show)) {
    show.selfOpened = selfOpeningOf(night);
    if (wallOf(show, at) < night.closeMs) openBySelf(turn);
  }
  if (show.autoOpenUntil !== null) openAgain(turn);
  if (wallOf(show, at) >= night.closeMs) nightOver(turn);
}

function openBySelf(turn: Turn): void {
  const { mode } = turn.show;
  if (mode === 'open' || mode === 'opening') return;
  const reasons = openReasons(turn.show, turn.at);
  const night = turn.show.night!;
  const plannedMs = axisOf(turn.show, night.openMs - night.noticeMs);
  // the clock was set, or the night was drawn up long after its hour: nobody expects it to open now
  if (turn.at > plannedMs + SELF_OPEN_LATE_MS)
    reasons.push({ code: 'too-late', plannedMs, lateMs: turn.at - plannedMs });
  if (mode === 'held' || mode === 'closing') reasons.push({ code: 'mode', mode });
  // the red button is given its first seconds before its silence counts, and the bus those of a start
  const starting = turn.at < turn.show.desk.startedAt + STATION_GRACE_MS;
  if (
    reasons.length > 0 &&
    reasons.every((r) => r.code === 'station-not-heard' || (starting && r.code === 'no-bus'))
  ) {
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
  if (show.mode === 'closing' || (show.mode === 'held' && isBusy(show))) return;
  if (show.mode === 'held') turn.setMode('closed', 'the hour');
  dropPlanned(turn, { code: 'night-ended' });
  sumUpNight(turn);
  show.night = null;
  show.openingWaits = [];
  show.autoOpenUntil = null;
  const next = show.nextNight;
  show.nextNight = null;
  if (next && wallOf(show, turn.at) < next.night.closeMs) takeNight(turn, next.night, next.planned);
}

/** Something runs or moves. What a lost link left moving is not waited for. */
const isBusy = (show: Show): boolean =>
  show.runs.length > 0 || Object.values(show.props).some((p) => p.flight !== null && !p.flight.lost);

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
    // after a stop nothing moves before someone has opened: what stands away from home is homed by the next opening
    if (!show.stop.reopened) {
      if (isBusy(show)) return;
    } else {
      if (!show.homing) beginHoming(turn);
      if (!advanceHoming(turn)) return;
    }
    turn.setMode('closed', show.modeBy);
    if (show.night && wallOf(show, at) >= show.night.closeMs) nightOver(turn);
  }
}

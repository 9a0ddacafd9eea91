import { rfc3339 } from './calendar/local-time.ts';
import { sunMs } from './calendar/sun.ts';
import type { LockoutPicture, Picture, PropPicture, RunPicture, ScenePicture } from './picture.ts';
import { sceneAgainst } from './show/admission.ts';
import { releaseAgainst } from './show/fault.ts';
import { endMade, isPropLive, reading } from './show/interlock.ts';
import { ampsNow } from './show/loads.ts';
import { NEVER, type Show, wallOf } from './show/show.ts';
import { clearReasons, silentOf } from './show/stop.ts';
import { whyOf } from './show/why.ts';
import { faultCauses, faultChecks, faultText } from './words/faults.ts';
import { say, type WordContext } from './words/reasons.ts';
import { advance, pressureKpa } from './yard/air.ts';
import type { Prop } from './yard/types.ts';

const KPA_PER_PSI = 6.894757;
const NEXT_MOST = 20;

export interface PictureAbout {
  readonly seq: number;
  /** The desk's axis now, ms. */
  readonly at: number;
  readonly demonstration: boolean;
  readonly words: WordContext;
  readonly notes: readonly string[];
  /** It waits for another desk to go, and this says so; null where it does not. */
  readonly waitsFor?: string | null;
}

/** The picture of a show at an instant of the desk's axis; all its times are wall clock. */
export function pictureOf(show: Show, about: PictureAbout): Picture {
  const { at, words } = about;
  const { yard } = show;
  const wall = (ms: number): number => wallOf(show, ms);
  return {
    seq: about.seq,
    at: wall(at),
    yard: {
      id: yard.id,
      title: yard.title,
      timezone: yard.timezone,
      demonstration: about.demonstration,
      sun: sunOf(show, wall(at)),
    },
    mode: show.mode,
    modeWhy: about.waitsFor ?? modeWhy(show, words),
    night: show.night && {
      date: show.night.date,
      open: show.night.openMs,
      close: show.night.closeMs,
      quiet: show.night.quietMs,
      notice: show.night.noticeMs,
    },
    bus: {
      connected: show.desk.connected,
      epoch: show.desk.epoch,
      standsDown:
        about.waitsFor ??
        (show.desk.standsDown && say({ code: 'stands-down', desk: show.desk.standsDown.desk }, words)),
    },
    stop: stopPicture(show, at, words),
    props: each(yard.props, (prop) => propPicture(show, prop, at, words)),
    scenes: each(yard.scenes, (scene): ScenePicture => scenePicture(show, scene.id, at, words)),
    ...loadsOf(show, at),
    zones: each(yard.zones, (zone) => ({
      title: zone.title,
      runs: show.runs.filter((r) => yard.scenes.get(r.scene)!.zone === zone.id).length,
      atMost: Number.isFinite(zone.atMost) ? zone.atMost : null,
    })),
    now: show.runs.map((r): RunPicture => ({ id: r.id, scene: r.scene, start: wall(r.startedAt) })),
    next: nextRuns(show),
    notes: [...about.notes],
  };
}

/** What each circuit carries and each tank holds at an instant of the desk's axis, as the desk reckons it. */
export function loadsOf(show: Show, at: number): Pick<Picture, 'circuits' | 'tanks'> {
  return {
    circuits: each(show.yard.circuits, (c) => ({
      title: c.title,
      amps: round(ampsNow(show, c.id, at).run, 2),
      limitAmps: round(c.continuous * c.breakerAmps, 2),
      breakerAmps: c.breakerAmps,
    })),
    tanks: each(show.yard.tanks, (tank) => {
      const level = show.tanks[tank.id]!;
      const now = advance(tank, level, Math.max(at, level.atMs));
      return {
        title: tank.title,
        psi: round(pressureKpa(tank, now.litres) / KPA_PER_PSI, 1),
        workingPsi: round(tank.workingKpa / KPA_PER_PSI, 1),
        cutOutPsi: round(tank.cutOutKpa / KPA_PER_PSI, 1),
        pumping: now.pumping,
      };
    }),
  };
}

function each<T, U>(map: ReadonlyMap<string, T>, make: (value: T, id: string) => U): Record<string, U> {
  return Object.fromEntries([...map].map(([id, value]) => [id, make(value, id)]));
}

/** By the local date, which only a new minute can change: the pictures of a minute share it. */
function sunOf({ yard }: Show, wallMs: number): { rise: number | null; set: number | null } {
  const minute = Math.floor(wallMs / 60_000);
  const kept = suns.get(yard);
  if (kept?.minute === minute) return kept.sun;
  const date = rfc3339(yard, wallMs).slice(0, 10);
  const sun = { rise: sunMs(yard, date, 'sunrise'), set: sunMs(yard, date, 'sunset') };
  suns.set(yard, { minute, sun });
  return sun;
}
const suns = new WeakMap<object, { minute: number; sun: { rise: number | null; set: number | null } }>();

function modeWhy(show: Show, words: WordContext): string | null {
  if (show.openingWaits.length > 0) return say({ code: 'opening-waits', for: show.openingWaits }, words);
  if (show.recordFailing !== null) return say({ code: 'record-failing', why: show.recordFailing }, words);
  if (!show.desk.connected) return say({ code: 'no-bus' }, words);
  if (show.mode === 'opening' && show.opening?.phase === 'notice')
    return say({ code: 'opening-notice', atMs: show.opening.noticeEndsAt }, words);
  if (show.mode === 'opening' && show.homing)
    return say({ code: 'opening-homes', props: [...show.homing.moving, ...show.homing.waiting] }, words);
  if (show.mode === 'held' && show.modeBy === 'restart')
    return say({ code: 'held-restart', atMs: show.modeAt }, words);
  return null;
}

function stopPicture(show: Show, at: number, words: WordContext): Picture['stop'] {
  const { stop } = show;
  return {
    latched: stop.latched,
    n: stop.n,
    at: stop.latched ? wallOf(show, stop.at) : null,
    by: stop.latched ? say({ code: 'stop-by', by: stop.by }, words) : null,
    answered: stop.latched ? Object.keys(stop.answered) : [],
    silent: stop.latched ? silentOf(show) : [],
    bars: stop.latched ? clearReasons(show, at).map((r) => say(r, words)) : [],
  };
}

function propPicture(show: Show, prop: Prop, at: number, words: WordContext): PropPicture {
  const p = show.props[prop.id]!;
  const { state, why } = whyOf(show, prop.id, at);
  const link = show.controllers[prop.controller]!;
  const live = isPropLive(show, prop.id, at);
  const f = p.flight;
  return {
    title: prop.title,
    zone: prop.zone,
    kind: prop.kind,
    controller: prop.controller,
    state,
    at: endMade(show, prop.id, at),
    sensors: Object.fromEntries(
      [...prop.sensors.values()].map((s) => [
        s.id,
        {
          made: p.sensors[s.id]?.made ?? false,
          fresh: reading(show, prop.id, s.id, at) !== null,
          kind: s.kind,
        },
      ]),
    ),
    lockout: p.lockout && lockoutPicture(show, prop.id, at, words),
    why: say(why, words),
    run: p.heldBy,
    move: f && {
      move: f.move,
      since: wallOf(show, f.countFrom ?? f.sentAt),
      usualMs: f.expectMs,
      limitMs: prop.moves.get(f.move)!.limitMs,
    },
    live,
    // said only while it is silent: a live one's word is as old as the picture
    heard: link.heardAt === NEVER || live ? null : wallOf(show, link.heardAt),
    counts: { cycles: p.cycles, moves: p.moves },
    serviceDue: prop.serviceEvery !== null && p.serviceCalledAt > 0,
    drift: p.drift && { move: p.drift.move!, nightsLeft: p.drift.nights! },
    moves: prop.kind === 'stop-station' ? [] : [...prop.moves.keys()],
  };
}

function lockoutPicture(show: Show, id: string, at: number, words: WordContext): LockoutPicture {
  const { fault, acknowledged, hand = null } = show.props[id]!.lockout!;
  const against = releaseAgainst(show, id, at);
  const first = fault.first;
  return {
    code: fault.code,
    since: wallOf(show, fault.at),
    text:
      hand === null
        ? faultText(fault, words)
        : `${faultText(fault, words)} ${words.tongue.frame.alsoByHand(hand)}`,
    causes: faultCauses(fault, words.tongue),
    checks: faultChecks(fault, words.tongue),
    acknowledged,
    barred: against ? say(against, words) : null,
    first: first !== undefined && show.props[first]?.lockout ? first : null,
  };
}

function scenePicture(show: Show, id: string, at: number, words: WordContext): ScenePicture {
  const scene = show.yard.scenes.get(id)!;
  const running = show.runs.some((r) => r.scene === id);
  const s = show.scenes[id]!;
  const against = running ? null : (scenePropOut(show, id, at) ?? null);
  return {
    title: scene.title,
    zone: scene.zone,
    running,
    why: against && say(against, words),
    made: s.made,
    wanted: wantedOf(show.planned).get(id) ?? 0,
    skipped: s.skipped,
    lastStart: s.lastStartAt === null ? null : wallOf(show, s.lastStartAt),
  };
}

/** How many runs the plan has of each scene, counted once for each plan and not anew for every scene of every picture. */
function wantedOf(planned: Show['planned']): ReadonlyMap<string, number> {
  const kept = wanted.get(planned);
  if (kept) return kept;
  const counts = new Map<string, number>();
  for (const { scene } of planned) counts.set(scene, (counts.get(scene) ?? 0) + 1);
  wanted.set(planned, counts);
  return counts;
}
const wanted = new WeakMap<Show['planned'], ReadonlyMap<string, number>>();

/** In an open yard what stands against a start now; else only what a person must see to. */
function scenePropOut(show: Show, id: string, at: number) {
  const scene = show.yard.scenes.get(id)!;
  if (show.mode === 'open') return sceneAgainst(show, scene, at);
  for (const prop of scene.props) {
    const lockout = show.props[prop]!.lockout;
    if (lockout) return { code: 'locked-out', prop, fault: lockout.fault.code } as const;
    if (!isPropLive(show, prop, at)) return { code: 'silent', prop } as const;
  }
  return null;
}

function nextRuns(show: Show): RunPicture[] {
  const out: RunPicture[] = [];
  for (let i = show.plannedFrom; i < show.planned.length && out.length < NEXT_MOST; i++) {
    const r = show.planned[i]!;
    if (r.state === 'planned') out.push({ id: r.id, scene: r.scene, start: r.startMs });
  }
  return out;
}

function round(value: number, digits: number): number {
  const f = 10 ** digits;
  return Math.round(value * f) / f;
}

import { benchDue } from './bench.ts';
import { HOMING_PATIENCE_MS } from './homing.ts';
import { standDownDue } from './identity.ts';
import { nightDue } from './night.ts';
import { flightDue } from './overdue.ts';
import { plannedDue } from './planned.ts';
import { STEP_PATIENCE_MS } from './scene.ts';
import type { Run, Show } from './show.ts';
import { stationDue } from './station.ts';
import { stopDue } from './stop.ts';

/** How often something that waits for a limit to free itself is looked at again. */
export const RETRY_MS = 250;

/**
 * When the desk must next say `timeReached`, on its axis, ms; Infinity where nothing waits for time. It may be in the
 * past where something is overdue. Every deadline of the core is data in the show, and this is where they meet.
 */
export function nextDue(show: Show): number {
  return Math.min(linksDue(show), propsDue(show), runsDue(show), modeDue(show));
}

function linksDue(show: Show): number {
  let due = Number.POSITIVE_INFINITY;
  const silence = show.yard.bus.silenceMs;
  for (const id of show.yard.controllers.keys()) {
    const link = show.controllers[id]!;
    // live while not more than the silence has passed: due in the ms after
    if (link.live) due = Math.min(due, link.heardAt + silence + 1);
  }
  return Math.min(due, standDownDue(show), stationDue(show), stopDue(show));
}

function propsDue(show: Show): number {
  let due = Number.POSITIVE_INFINITY;
  for (const id of show.yard.props.keys()) {
    const p = show.props[id]!;
    if (p.flight) due = Math.min(due, flightDue(show, id, p.flight));
    if (p.bench) due = Math.min(due, benchDue(p.bench));
  }
  return due;
}

function runsDue(show: Show): number {
  let due = Number.POSITIVE_INFINITY;
  for (const run of show.runs) due = Math.min(due, runDue(show, run));
  return due;
}

function runDue(show: Show, run: Run): number {
  if (run.state !== 'running' && run.state !== 'homing') return Number.POSITIVE_INFINITY;
  if (run.waitsFor) return Math.min(show.at + RETRY_MS, run.since + STEP_PATIENCE_MS);
  const step = show.yard.scenes.get(run.scene)!.steps[run.pos];
  return run.state === 'running' && step?.kind === 'wait' ? run.since + step.ms : Number.POSITIVE_INFINITY;
}

function modeDue(show: Show): number {
  let due = Number.POSITIVE_INFINITY;
  if (show.opening?.phase === 'notice') due = show.opening.noticeEndsAt;
  if (show.homing && show.homing.waiting.length > 0)
    due = Math.min(due, show.at + RETRY_MS, show.homing.since + HOMING_PATIENCE_MS);
  if (show.autoOpenUntil !== null) due = Math.min(due, show.at + RETRY_MS, show.autoOpenUntil);
  return Math.min(due, nightDue(show, RETRY_MS), plannedDue(show, RETRY_MS));
}

import { timelineOf } from '../yard/timeline.ts';
import type { Move, Prop, Yard } from '../yard/types.ts';
import { driveMs } from './build.ts';
import { isEnd } from './check-moves.ts';
import { above, joined, writeShare } from './figures.ts';
import { plain, writeTime } from './quantities.ts';
import type { Finding } from './review.ts';
import { heldShare, movingShare, zoneShare } from './wants.ts';

export function reviewProps(yard: Yard): Finding[] {
  return [
    ...[...yard.zones.keys()].flatMap((zone) => reviewZone(yard, zone)),
    ...[...yard.scenes.keys()].flatMap((scene) => reviewScene(yard, scene)),
    ...[...yard.props.values()].flatMap((prop) => reviewProp(yard, prop)),
  ];
}

function reviewZone(yard: Yard, id: string): Finding[] {
  const zone = yard.zones.get(id)!;
  const share = zoneShare(yard, id);
  if (zone.atMost === Number.POSITIVE_INFINITY) {
    return [
      {
        level: 'note',
        code: 'zone',
        zone: id,
        text: `Zone ${zone.title}: wanted ${writeShare(share)} of the time by one scene or another, without a limit.`,
      },
    ];
  }
  const room = zone.atMost === 1 ? 'one scene at a time' : `${zone.atMost} scenes at a time`;
  const text = `Zone ${zone.title}: ${room}, wanted ${Math.round(share * 3600)} s of ${zone.atMost * 3600} s in an hour${zone.gapMs > 0 ? `, gaps of ${writeTime(zone.gapMs)} included` : ''}.`;
  const findings: Finding[] = [{ level: 'note', code: 'zone', zone: id, text }];
  if (above(share, zone.atMost)) {
    findings.push({
      level: 'warning',
      code: 'zone-overbooked',
      zone: id,
      text: `Zone ${zone.title} is wanted more than it has room: some runs will be missing from the plan. Aim less often, shorten the gap, or let more in at a time.`,
    });
  }
  return findings;
}

function reviewScene(yard: Yard, id: string): Finding[] {
  const scene = yard.scenes.get(id)!;
  if (scene.everyMs === null) return [];
  const { lengthMs } = timelineOf(yard, scene);
  const rest = Math.max(scene.restMs, ...scene.props.map((p) => yard.props.get(p)!.restMs));
  if (lengthMs + rest <= scene.everyMs) return [];
  const text = `${scene.title} takes ${writeTime(lengthMs)} and then rests ${writeTime(rest)}, and aims to start every ${writeTime(scene.everyMs)}: it can't keep that.`;
  return [{ level: 'warning', code: 'scene-too-often', scene: id, text }];
}

function reviewProp(yard: Yard, prop: Prop): Finding[] {
  if (prop.kind === 'stop-station') return [];
  const findings: Finding[] = [];
  const add = (level: Finding['level'], code: Finding['code'], text: string): void => {
    findings.push({ level, code, text, prop: prop.id });
  };
  if (prop.duty) {
    const share = movingShare(yard, prop.id);
    const over = above(share, prop.duty.on);
    const text = `${prop.title} is wanted moving ${writeShare(share)} of the time, and its duty is ${writeShare(prop.duty.on)} of any ${writeTime(prop.duty.overMs)}`;
    add(
      over ? 'warning' : 'note',
      over ? 'duty-overbooked' : 'duty',
      over ? `${text}: some runs will be missing from the plan.` : `${text}.`,
    );
  }
  const held = heldShare(yard, prop.id);
  if (above(held, 1)) {
    add(
      'warning',
      'prop-overbooked',
      `The scenes that use ${prop.title} want it ${writeShare(held)} of the time with its rest of ${writeTime(prop.restMs)}: some runs will be missing from the plan.`,
    );
  }
  const byClock = [...prop.moves.values()].filter((m) => stopsByClock(prop, m)).map((m) => `\`${m.id}\``);
  if (byClock.length > 0) {
    add(
      'note',
      'cannot-stop-itself',
      `${prop.title} can't stop by itself in ${joined(byClock)}: only its board's clock ends it, and no end sensor. If the board hangs it goes on, so see that a limit switch, a cam or a spring stops it where it does no harm.`,
    );
  }
  const ends = [...prop.sensors.values()].filter((s) => s.kind === 'end');
  if (ends.length > 0 && prop.home === null && prop.moves.size > 0) {
    add(
      'note',
      'no-home',
      `${prop.title} has ends and no \`home\`: it is never homed, and begins the night where it was left.`,
    );
  }
  for (const move of prop.moves.values()) findings.push(...reviewTravel(prop, move));
  return findings;
}

/**
 * A move that travels and ends by time alone: of a prop with ends, a drive or air, or until a sensor that is no end.
 * Lamps, bells and figures that only play are not meant.
 */
function stopsByClock(prop: Prop, move: Move): boolean {
  if (move.until !== null) return !isEnd(prop, move.until);
  return (
    move.air.length > 0 || prop.drive !== null || [...prop.sensors.values()].some((s) => s.kind === 'end')
  );
}

function reviewTravel(prop: Prop, move: Move): Finding[] {
  if (move.until === null) return [];
  const findings: Finding[] = [];
  const name = `${prop.title}, \`${move.id}\``;
  if (move.limitMs > move.usualMs * 3 + 2000) {
    const text = `${name}: usual ${writeTime(move.usualMs)}, limit ${writeTime(move.limitMs)}. A jam would push against its stop for ${writeTime(move.limitMs - move.usualMs)} before it is a fault.`;
    findings.push({ level: 'note', code: 'wide-limit', prop: prop.id, text });
  }
  if (!prop.drive) return findings;
  const { rpm, teeth, pitchMm, travelMm } = prop.drive;
  const ms = driveMs({ rpm, teeth, pitch: pitchMm, travel: travelMm });
  const speed = `${plain(Math.round(((rpm / 60) * teeth * pitchMm) / 10) / 100)} m/s`;
  const drive = `its drive makes ${plain(Math.round(travelMm / 10) / 100)} m in ${writeTime(ms)} (${speed})`;
  if (!move.derived && (ms < move.usualMs / 1.5 || ms > move.usualMs * 1.5)) {
    const text = `${name}: usual ${writeTime(move.usualMs)} in the file, but ${drive}. One of the two is wrong.`;
    findings.push({ level: 'warning', code: 'drive-differs', prop: prop.id, text });
  } else if (move.derived) {
    findings.push({
      level: 'note',
      code: 'drive',
      prop: prop.id,
      text: `${name}: no usual time in the file; ${drive}.`,
    });
  }
  return findings;
}

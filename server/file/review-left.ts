import type { Yard } from '../yard/types.ts';
import type { YardError } from './errors.ts';
import type { Finding } from './review.ts';
import { reviewAir } from './review-air.ts';
import { reviewCircuits } from './review-circuits.ts';
import { reviewProps } from './review-props.ts';

export interface ReviewLeft {
  readonly findings: readonly Finding[];
  /** Titles or ids of what has mistakes and is not in the sums. */
  readonly leftOut: readonly string[];
}

const ROOMS = ['circuits', 'tanks', 'zones', 'props', 'scenes'] as const;
type Room = (typeof ROOMS)[number];

/**
 * Reviews what can be read of a yard file with mistakes. What has a mistake itself is in no sum, nor is a scene
 * that plays it, and each is named; nothing is said of the yard as a whole, which may want for just what was left out. `left` is what `readYard` could make
 * of the file; it is only looked at. Pure but for the release of the time-zone table.
 */
export function reviewLeft(left: Yard, errors: readonly YardError[]): ReviewLeft {
  const bad = badOf(errors);
  const whole = (room: Room, id: string | undefined): boolean => id === undefined || !bad[room].has(id);
  const yard = without(left, bad);
  let findings: Finding[];
  try {
    findings = [...reviewCircuits(yard), ...reviewAir(yard), ...reviewProps(yard)];
  } catch {
    // what is left does not hang together well enough to be summed up
    return { findings: [], leftOut: [] };
  }
  return {
    findings: findings.filter(
      (f) =>
        whole('circuits', f.circuit) &&
        whole('tanks', f.tank) &&
        whole('zones', f.zone) &&
        whole('props', f.prop) &&
        whole('scenes', f.scene),
    ),
    leftOut: ROOMS.flatMap((room) => [...bad[room]].map((id) => left[room].get(id)?.title ?? id)),
  };
}

function badOf(errors: readonly YardError[]): Record<Room, Set<string>> {
  const bad = Object.fromEntries(ROOMS.map((room) => [room, new Set<string>()])) as Record<Room, Set<string>>;
  for (const { path } of errors) {
    const [, room, id] = /^(circuits|tanks|zones|props|scenes)\.([^.[]+)/.exec(path) ?? [];
    if (room !== undefined && id !== undefined) bad[room as Room].add(id);
  }
  return bad;
}

/** Without the bad ones, and without the scenes that play them: how long those take nobody knows. */
function without(left: Yard, bad: Record<Room, Set<string>>): Yard {
  for (const { id, props } of left.scenes.values())
    if (props.some((prop) => bad.props.has(prop))) bad.scenes.add(id);
  return {
    ...left,
    props: new Map([...left.props].filter(([id]) => !bad.props.has(id))),
    scenes: new Map([...left.scenes].filter(([id]) => !bad.scenes.has(id))),
  };
}

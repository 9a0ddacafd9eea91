import type { Course } from '../../server/past/course.ts';
import type { Then } from '../../server/past/reader.ts';
import type { Reason } from '../../server/show/reasons.ts';
import { at, EVENING, fault, open, recorded, stopped } from './hand-pictures.ts';

/** A night with a lockout at 20:52:31, another at 21:14:00, and a stop at 21:40:00; it closed at 22:30. */
export function course(): Course {
  const runs: [number, number][] = [];
  for (let n = 0; n < 43; n += 1) {
    const from = at('18:08:06') + n * 366_000;
    runs.push([from, from + 59_000]);
  }
  return {
    night: '2026-10-31',
    from: at('17:56:00'),
    to: at('22:45:00'),
    runs,
    missed: [at('21:16:00'), at('21:20:00')],
    faults: [at('20:52:31'), at('21:14:00')],
    stops: [at('21:40:00')],
    turns: [at('18:05:30'), at('18:06:20'), at('21:40:00'), at('22:30:00'), at('22:30:40')],
  };
}

const line = (
  n: number,
  clock: string,
  reason: Reason,
  prop: string | null,
  scene: string | null = null,
) => ({
  n,
  at: at(clock),
  code: reason.code,
  text: recorded({
    reason,
    ...(prop === null ? {} : { prop }),
    ...(scene === null ? {} : { scene, run: `2026-10-31.${scene}.30` }),
  }),
  prop,
  scene,
  run: scene === null ? null : `2026-10-31.${scene}.30`,
});

/** The yard of the evening at an instant: open, with the ferry locked out from 21:14 on, stopped at 21:40. */
export function thenOf(when: number): Then | null {
  if (when < at('17:00:00')) return null;
  const locked = fault();
  const picture = when >= at('21:40:00') ? stopped() : when >= at('21:14:00') ? locked : open();
  const shift = when - EVENING;
  for (const prop of Object.values(picture.props))
    if (prop.move) prop.move = { ...prop.move, since: prop.move.since + shift };
  const lines = [
    line(4008, '21:13:12', { code: 'run-started', origin: 'plan' }, null, 'crossing'),
    {
      ...line(4012, '21:14:00', { code: 'lockout-raised', fault: FAULT }, 'ferry'),
      text: locked.props.ferry!.lockout!.text,
    },
    line(4013, '21:14:00', { code: 'run-failed', prop: 'ferry', fault: 'travel-slow' }, null, 'crossing'),
  ];
  return {
    at: when,
    picture: { ...picture, at: when },
    lines: lines.filter((one) => Math.abs(one.at - when) < 180_000),
    off: false,
    gap: false,
  };
}

const FAULT = { code: 'travel-slow', prop: 'ferry', at: at('21:14:00') } as const;

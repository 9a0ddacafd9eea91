import { readYard } from '../../server/file/read.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import type { Yard } from '../../server/yard/types.ts';

/**
 * A small Saltmarsh Landing for the core's tests: a ferry with two ends, a ferryman who rows while it stands at far, a
 * hatch with one end and air, a bell that is loud, a lantern, a guest's mat and a red button that can be watched.
 * Round figures, so that a test can be reckoned in the head.
 */
export const LANDING = `
yard: {id: saltmarsh, title: Saltmarsh Landing, timezone: America/Chicago, latitude: 41.88, longitude: -87.63}
bus: {listen: "127.0.0.1:1883", silence: 1 s}
nights:
  - {prepare: "0 16 * 10 *", open: "18:00", close: "22:00", quiet: "21:00", opens: by itself, notice: 30 s}
circuits:
  dock: {title: Dock outlets, volts: 120, breaker: 15 A, standing: 2 A}
tanks:
  shed: {volume: 6 gal, cut-in: 90 psi, cut-out: 120 psi, working: 70 psi, delivery: 2.6 cfm,
         compressor: {circuit: dock, amps: 4 A}}
zones:
  pond: {title: The pond, at-most: 1, gap: 20 s}
  porch: {title: The porch}
props:
  ferry:
    title: Ferry
    controller: ferry-board
    sensors: {near: end, far: end}
    home: near
    moves:
      out: {until: far, usual: 6 s, limit: 10 s, needs: [ferryman at rest], load: {dock: {run: 2 A, surge: 5 A for 400 ms}}}
      back: {until: near, usual: 6 s, limit: 10 s, needs: [ferryman at rest], load: {dock: {run: 2 A, surge: 5 A for 400 ms}}}
  ferryman:
    title: Ferryman
    moves:
      row: {lasts: 20 s, limit: 25 s, needs: [ferry.far], load: {dock: 1 A}}
  hatch:
    title: Cellar hatch
    sensors: {shut: end}
    home: shut
    moves:
      slam: {lasts: 3 s, air: {shed: 2.4 l}}
      close: {until: shut, usual: 1 s, limit: 4 s}
  bell: {title: Bell, moves: {toll: {lasts: 6 s, load: {dock: 1 A}, loud: true}}}
  lantern: {title: Lantern, moves: {flicker: {lasts: 10 s, load: {dock: 1 A}}}}
  path-mat: {title: Path mat, sensors: {step: plain}}
scenes:
  crossing:
    title: The crossing
    zone: pond
    every: 2 min
    steps: [ferry.out, ferryman.row, ferry.back]
    if-it-fails: [ferry.back]
  porch-scare:
    title: On the porch
    zone: porch
    every: 1 min
    on: path-mat.step
    again-after: 30 s
    steps:
      - together: [lantern.flicker, hatch.slam]
      - wait: 2 s
      - hatch.close
      - bell.toll
  lanterns-up: {title: Lanterns up, steps: [lantern.flicker]}
`;

/** The landing with one text put for another; each pair is one change. Fails where the text is not there. */
export function landing(...changes: readonly (readonly [from: string, to: string])[]): Yard {
  let text = LANDING;
  for (const [from, to] of changes) {
    if (!text.includes(from)) throw new Error(`the landing has no ${from}`);
    text = text.replaceAll(from, to);
  }
  return yardOf(text);
}

/** The landing with a red button at the gate. */
export const withGate = (...changes: readonly (readonly [string, string])[]): Yard =>
  landing(
    [
      '  path-mat: {title',
      '  gate: {title: Gate button, kind: stop-station, sensors: {button: plain}}\n  path-mat: {title',
    ],
    ...changes,
  );

export function yardOf(text: string): Yard {
  const read = readYard(text, undefined, { from: 2026, to: 2026 });
  if (!read.ok) throw new Error(read.errors.map((e) => `${e.line}: ${e.message}`).join('\n'));
  return read.yard;
}

/** 31 October 2026, 18:00 by Chicago's summer time: 23:00 UTC. */
export const OPEN_MS = Date.UTC(2026, 9, 31, 23, 0);
export const HOUR_MS = 3_600_000;

export const NIGHT: NightTimes = {
  date: '2026-10-31',
  prepareMs: OPEN_MS - 2 * HOUR_MS,
  openMs: OPEN_MS,
  closeMs: OPEN_MS + 4 * HOUR_MS,
  quietMs: OPEN_MS + 3 * HOUR_MS,
  opensByItself: true,
  noticeMs: 30_000,
  noticeScene: null,
};

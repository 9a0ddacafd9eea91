/** A yard of small boards whose moves take about a second, so that a fault is told in seconds. */

export interface LandingBus {
  /** Embedded, on this port of the loopback. */
  readonly port?: number;
  /** Another's broker. */
  readonly url?: string;
}

export const NOTICE_MS = 2000;
/** Every board of it, in the order of its file. */
export const BOARDS = [
  'ferry',
  'ferryman',
  'gull',
  'hatch',
  'bell',
  'lantern',
  'gate-button',
  'pier-button',
] as const;

export interface LandingOptions {
  readonly restart?: 'ask' | 'auto';
  /** False: without the two red buttons, whose silence stops the yard. */
  readonly stations?: boolean;
}

/**
 * The yard file. Nights of its own it has on 29 February alone, so that whatever day a test is run on, the night is one
 * that the test has opened by hand.
 */
export function landing(bus: LandingBus, { restart = 'ask', stations = true }: LandingOptions = {}): string {
  const text = `yard: {id: landing, title: Saltmarsh Landing, timezone: America/Chicago, latitude: 41.88, longitude: -87.63, restart: ${restart}}
bus: {${bus.url === undefined ? `listen: 127.0.0.1:${bus.port}` : `url: "${bus.url}"`}, silence: 1 s}
nights:
  - {prepare: "0 16 29 2 *", open: "18:00", close: "22:00", opens: by hand, notice: ${NOTICE_MS} ms}
circuits:
  dock: {title: Dock outlets, volts: 120, breaker: 15 A}
props:
  ferry:
    title: Ferry
    sensors: {near: end, far: end}
    home: near
    moves:
      out: {until: far, usual: 1.5 s, limit: 3 s, needs: [ferryman at rest], load: {dock: 1.8 A}}
      back: {until: near, usual: 1.5 s, limit: 3 s, needs: [ferryman at rest], load: {dock: 1.8 A}}
  ferryman:
    title: Ferryman
    moves:
      row: {lasts: 1 s, limit: 3 s, needs: [ferry.far], load: {dock: 0.9 A}}
  gull:
    title: Gull
    sensors: {perch: end, out: end}
    home: perch
    moves:
      swing: {until: out, usual: 800 ms, limit: 2.5 s}
      settle: {until: perch, usual: 800 ms, limit: 2.5 s}
  hatch:
    title: Cellar hatch
    sensors: {shut: end, open: end}
    home: shut
    moves:
      fling: {until: open, usual: 600 ms, limit: 2 s}
      close: {until: shut, usual: 600 ms, limit: 2 s}
  bell: {title: Bell post, moves: {toll: {lasts: 500 ms, limit: 2 s, load: {dock: 1.1 A}}}}
  lantern: {title: Porch lantern, moves: {glow: {lasts: 6 s, limit: 9 s, load: {dock: 0.4 A}}}}
  gate-button: {title: Red button at the gate, kind: stop-station, sensors: {button: plain}}
  pier-button: {title: Red button on the pier, kind: stop-station, sensors: {button: plain}}
scenes:
  crossing: {title: The crossing, every: 7 s, steps: [ferry.out, ferryman.row, ferry.back], if-it-fails: [ferry.back]}
  gull-calls: {title: The gull, every: 4 s, steps: [gull.swing, gull.settle], if-it-fails: [gull.settle]}
  below-stairs: {title: Something below stairs, every: 4 s, steps: [hatch.fling, hatch.close], if-it-fails: [hatch.close]}
  bell-tolls: {title: The bell tolls, every: 3 s, steps: [bell.toll]}
  lantern-glows: {title: The lantern glows, steps: [lantern.glow]}
`;
  return stations ? text : text.replace(/^.*kind: stop-station.*\n/gm, '');
}

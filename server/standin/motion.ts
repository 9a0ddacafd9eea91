/**
 * One stretch of movement along a track: standing still, driven at a steady speed up to a stop, or coasting to rest
 * after the outputs went off. Lengths mm, speeds mm/s, times ms.
 */
export interface Motion {
  readonly fromMs: number;
  readonly fromMm: number;
  /** Signed; 0 where it stands still. */
  readonly mmPerS: number;
  /** Signed, against the speed while coasting; 0 while driven. mm/s². */
  readonly mmPerS2: number;
  /** When and where it comes to rest; `fromMs` and `fromMm` where it stands still. */
  readonly endMs: number;
  readonly endMm: number;
}

export function standing(atMs: number, atMm: number): Motion {
  return { fromMs: atMs, fromMm: atMm, mmPerS: 0, mmPerS2: 0, endMs: atMs, endMm: atMm };
}

/** Driven at a steady speed until it stands against `stopMm`. */
export function driven(atMs: number, atMm: number, mmPerS: number, stopMm: number): Motion {
  const takesMs = ((stopMm - atMm) / mmPerS) * 1000;
  if (mmPerS === 0 || !(takesMs > 0)) return standing(atMs, atMm);
  return { fromMs: atMs, fromMm: atMm, mmPerS, mmPerS2: 0, endMs: after(atMs + takesMs), endMm: stopMm };
}

/** Coasting to rest over `stoppingMm` at an even deceleration (v² = 2·a·s), or against a hard stop before that. */
export function coasting(
  atMs: number,
  atMm: number,
  mmPerS: number,
  stoppingMm: number,
  lowMm: number,
  highMm: number,
): Motion {
  if (mmPerS === 0 || stoppingMm <= 0) return standing(atMs, atMm);
  const way = Math.sign(mmPerS);
  const mmPerS2 = (-way * mmPerS * mmPerS) / (2 * stoppingMm);
  const endMm = Math.min(highMm, Math.max(lowMm, atMm + way * stoppingMm));
  const free: Motion = { fromMs: atMs, fromMm: atMm, mmPerS, mmPerS2, endMs: Infinity, endMm };
  return { ...free, endMs: after(atMs + reachMs(free, endMm)) };
}

export function placeAt(m: Motion, atMs: number): number {
  if (atMs >= m.endMs) return m.endMm;
  const s = (atMs - m.fromMs) / 1000;
  return m.fromMm + m.mmPerS * s + (m.mmPerS2 * s * s) / 2;
}

export function speedAt(m: Motion, atMs: number): number {
  return atMs >= m.endMs ? 0 : m.mmPerS + (m.mmPerS2 * (atMs - m.fromMs)) / 1000;
}

/** The whole ms at which each of these places has just been passed, in order of time; those not passed left out. */
export function passings(m: Motion, places: readonly number[]): number[] {
  const low = Math.min(m.fromMm, m.endMm);
  const high = Math.max(m.fromMm, m.endMm);
  return places
    .filter((mm) => mm >= low && mm <= high && low < high)
    .map((mm) => Math.min(m.endMs, after(m.fromMs + reachMs(m, mm))))
    .sort((a, b) => a - b);
}

/** ms from the start of the motion to a place that it reaches. */
function reachMs(m: Motion, mm: number): number {
  const way = Math.abs(mm - m.fromMm);
  const v = Math.abs(m.mmPerS);
  const a = Math.abs(m.mmPerS2);
  if (a === 0) return (way / v) * 1000;
  return ((v - Math.sqrt(Math.max(0, v * v - 2 * a * way))) / a) * 1000;
}

/** The first whole ms that lies clearly after this instant, so that a place passed then is really behind. */
function after(ms: number): number {
  return Math.floor(ms + 1e-3) + 1;
}

import { LOST_AFTER_MS } from './link.ts';

const EVERY_MS = 250;

/**
 * The page's one tick, and the watch for sleep. A phone that slept, or a tab that was frozen or hidden, shows what was
 * true when it went under; the monotonic clock may have stood still meanwhile, so both clocks are watched.
 */
export function watchWake(parts: { tick: () => void; woke: () => void }): void {
  let mono = performance.now();
  let wall = Date.now();
  let hiddenAt: number | null = null;
  const look = () => {
    const slept = performance.now() - mono > LOST_AFTER_MS || Math.abs(Date.now() - wall) > LOST_AFTER_MS;
    mono = performance.now();
    wall = Date.now();
    if (slept) parts.woke();
  };
  setInterval(() => {
    look();
    parts.tick();
  }, EVERY_MS);
  document.addEventListener('visibilitychange', () => {
    if (document.hidden) hiddenAt = Date.now();
    else if (hiddenAt !== null && Date.now() - hiddenAt > LOST_AFTER_MS) parts.woke();
    else look();
  });
  document.addEventListener('resume', parts.woke);
  window.addEventListener('pageshow', (event) => {
    if (event.persisted) parts.woke();
  });
}

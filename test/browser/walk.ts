import type { Page } from 'playwright-core';
import { expect } from 'vitest';

interface Seen {
  scrolled: number;
  inView: boolean;
  hit: boolean;
  height: number;
  width: number;
  sideways: boolean;
}

/**
 * Scrolls everything that scrolls from top to bottom, a screenful or so many pixels at a time, and at each place asks
 * what lies at nine points of the stop bar.
 */
export function walk(page: Page, stepPx?: number): Promise<Seen[]> {
  return page.evaluate(async (step) => {
    const main = document.querySelector('yard-page')?.shadowRoot?.querySelector('main');
    if (!main) throw new Error('no content on the page');
    const button = document.querySelector('stop-bar button')!;
    const seen = [];
    for (let top = 0; ; top += step ?? Math.max(40, main.clientHeight)) {
      main.scrollTo(0, top);
      window.scrollTo(0, top);
      await new Promise(requestAnimationFrame);
      const box = button.getBoundingClientRect();
      const hits = [0.02, 0.5, 0.98].flatMap((across) =>
        [0.1, 0.5, 0.9].map((down) => {
          const found = document.elementFromPoint(box.left + across * box.width, box.top + down * box.height);
          return found === button;
        }),
      );
      seen.push({
        scrolled: main.scrollTop,
        inView: box.top >= 0 && box.left >= 0 && box.bottom <= innerHeight && box.right <= innerWidth,
        hit: hits.every(Boolean),
        height: box.height,
        width: box.width / innerWidth,
        sideways: document.documentElement.scrollWidth > innerWidth || main.scrollWidth > main.clientWidth,
      });
      if (main.scrollTop + main.clientHeight >= main.scrollHeight - 1) return seen;
    }
  }, stepPx);
}

export function good(seen: Seen[]): void {
  expect(seen.length).toBeGreaterThan(0);
  for (const place of seen) {
    expect(place).toMatchObject({ inView: true, hit: true, sideways: false });
    expect(place.height).toBeGreaterThanOrEqual(48);
    expect(place.width).toBeGreaterThan(0.9);
  }
}

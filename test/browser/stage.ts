import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll } from 'vitest';
import type { Picture } from '../../server/picture.ts';
import type { Me } from '../../web/store.ts';
import { launch, PHONE } from './chromium.ts';
import { Fixture } from './fixture.ts';

export interface Scenery {
  picture: Picture;
  hash?: string;
  me?: Me | null;
  light?: string;
  options?: BrowserContextOptions;
  /** Wait until the page shows a live picture; false where it never will. */
  live?: boolean;
}

export const KEEPER: Me = { name: 'Wren', role: 'keeper' };
export const HELPER: Me = { name: 'Heron', role: 'helper' };

/** One browser a test file; each page with a desk of its own, all closed after the test. */
export function stage() {
  let browser: Browser;
  let open: (() => Promise<void>)[] = [];
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser?.close());
  afterEach(async () => {
    const closing = open;
    open = [];
    // Pages before desks, which stand behind them in the list: a page would call its desk again.
    for (const close of closing) await close();
  });

  return {
    async desk(picture: Picture, me: Me | null = null): Promise<Fixture> {
      const fixture = await Fixture.start(picture);
      fixture.me = me;
      open.push(() => fixture.stop());
      return fixture;
    },

    /** A page on a desk that is there already. */
    async page(fixture: Fixture, scenery: Omit<Scenery, 'picture' | 'me'> = {}): Promise<Page> {
      const context = await browser.newContext({
        viewport: PHONE,
        timezoneId: 'America/Chicago',
        ...scenery.options,
      });
      open.unshift(() => context.close());
      const page = await context.newPage();
      if (scenery.options?.javaScriptEnabled !== false) {
        await page.addInitScript((light) => {
          if (location.protocol !== 'about:') localStorage.setItem('light', light);
        }, scenery.light ?? 'dusk');
      }
      await page.goto(`${fixture.url}/${scenery.hash ?? '#/yard'}`);
      if (scenery.live !== false) await page.waitForSelector('html[data-link=live]');
      return page;
    },

    async show(scenery: Scenery): Promise<{ page: Page; fixture: Fixture }> {
      const fixture = await this.desk(scenery.picture, scenery.me ?? null);
      return { page: await this.page(fixture, scenery), fixture };
    },
  };
}

/** Waits in real time until something holds. */
export async function until(holds: () => boolean | Promise<boolean>, withinMs = 4000): Promise<void> {
  const end = performance.now() + withinMs;
  while (performance.now() < end) {
    if (await holds()) return;
    await new Promise((later) => setTimeout(later, 20));
  }
  throw new Error(`did not come true within ${withinMs} ms: ${holds}`);
}

/** The middle of the stop bar on the page. */
export async function stopMiddle(page: Page): Promise<{ x: number; y: number }> {
  const box = await page.locator('stop-bar button').boundingBox();
  if (!box) throw new Error('no stop bar on the page');
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

import type { CDPSession, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { haveBrowser, PHONE } from './chromium.ts';
import type { Fixture } from './fixture.ts';
import { open, stopped, stoppedClear } from './hand-pictures.ts';
import { stage, stopMiddle, until } from './stage.ts';

const pause = (ms: number) => new Promise((later) => setTimeout(later, ms));
const said = (page: Page) => page.locator('stop-bar [role=status]').textContent();

async function finger(page: Page): Promise<(type: string, x?: number, y?: number) => Promise<unknown>> {
  const cdp: CDPSession = await page.context().newCDPSession(page);
  return (type, x, y) =>
    cdp.send('Input.dispatchTouchEvent', {
      type: type as 'touchStart',
      touchPoints: x === undefined || y === undefined ? [] : [{ x, y }],
    });
}

/** So long nothing must have come for a stop that must not. */
const SURELY_MS = 500;

async function noStop(fixture: Fixture): Promise<void> {
  await pause(SURELY_MS);
  expect(fixture.stops()).toEqual([]);
}

describe.skipIf(!haveBrowser)('STOP ALL', () => {
  const at = stage();

  it('asks no question and wants no sign-in: a click stops', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
    expect(fixture.heard.every((call) => call.path === '/api/stop')).toBe(true);
    expect(new URL(page.url()).hash).toBe('#/yard');
  });

  it('fires while the button of the mouse is still down', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    const { x, y } = await stopMiddle(page);
    await page.mouse.move(x, y);
    await page.mouse.down();
    await until(() => fixture.stops().length > 0);
    await page.mouse.up();
  });

  it('fires while the finger still lies on it', async () => {
    const { page, fixture } = await at.show({ picture: open(), options: { hasTouch: true, isMobile: true } });
    const { x, y } = await stopMiddle(page);
    const touch = await finger(page);
    await touch('touchStart', x, y);
    await until(() => fixture.stops().length > 0);
    await touch('touchEnd');
  });

  it('fires on a tap, and a finger that trembles by 10 px still taps', async () => {
    const { page, fixture } = await at.show({ picture: open(), options: { hasTouch: true, isMobile: true } });
    const { x, y } = await stopMiddle(page);
    const touch = await finger(page);
    await touch('touchStart', x, y);
    await touch('touchMove', x + 8, y - 6);
    await touch('touchEnd');
    await until(() => fixture.stops().length > 0);
  });

  it('does not fire where the finger moved 16 px at once: that is scrolling', async () => {
    const { page, fixture } = await at.show({ picture: open(), options: { hasTouch: true, isMobile: true } });
    const { x, y } = await stopMiddle(page);
    const touch = await finger(page);
    await touch('touchStart', x, y);
    await touch('touchMove', x, y - 17);
    await touch('touchEnd');
    await noStop(fixture);
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 20, y);
    await page.mouse.up();
    await noStop(fixture);
  });

  it.each(['Enter', ' '])('stops by the key %j, and is the first that Tab reaches', async (key) => {
    const { page, fixture } = await at.show({ picture: open() });
    await page.keyboard.press('Tab');
    await page.keyboard.down(key);
    await until(() => fixture.stops().length > 0);
    await page.keyboard.up(key);
    await pause(100);
    // The two ways of one press; key-up and the form do not press again.
    expect(fixture.stops().length).toBe(2);
  });

  it('stops by a click without a pointer, as screen readers make it', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    await page.locator('stop-bar button').evaluate((button: HTMLElement) => button.click());
    await until(() => fixture.stops().length > 0);
  });

  it('tells how many have stopped, and who has not', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    fixture.onStop = () => {
      const { stop } = stopped();
      fixture.change({ mode: 'stopped', now: [], stop: { ...stop, at: fixture.clock() } });
    };
    await page.locator('stop-bar button').click();
    await until(async () => (await said(page)) === 'Stopping… 10 of 11');
    await until(
      async () =>
        (await said(page)) ===
        'Stopped 10 of 11. Fog bank does not answer. Pull its plug or press the red button.',
    );
    fixture.change({ stop: { ...stoppedClear().stop, at: fixture.clock() - 3000 } });
    await until(async () => (await said(page)) === 'Stopped. All 11 answered.');
  });

  it('says so when no bus carries the stop', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    fixture.busTakesStop = false;
    await page.locator('stop-bar button').click();
    await until(async () => ((await said(page)) ?? '').includes('Press the red button'));
  });

  it('works when the socket never comes, long before the page has a picture', async () => {
    const fixture = await at.desk(open());
    fixture.feeding = false;
    const page = await at.page(fixture, { live: false });
    await page.route('**/api/yard', (route) => route.abort());
    await page.reload();
    await page.waitForSelector('html[data-link=lost]');
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
    await until(async () => ((await said(page)) ?? '').includes('go and look'));
  });

  it('works by its other way when fetch is blocked, and posts the form in the end', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    await page.evaluate(() => {
      window.fetch = () => Promise.reject(new TypeError('blocked'));
      navigator.sendBeacon = () => false;
    });
    await page.locator('stop-bar button').click();
    await page.waitForURL('**/api/stop', { timeout: 12_000 });
    expect(fixture.stops()[0]!.type).toBe('application/x-www-form-urlencoded');
  });

  it('posts the plain form where the script did not load', async () => {
    const fixture = await at.desk(open());
    fixture.script = false;
    const page = await at.page(fixture, { live: false });
    await page.getByText('its script did not load').waitFor();
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
    expect(fixture.stops()[0]!.type).toBe('application/x-www-form-urlencoded');
  });

  it('posts the plain form where scripts are off, from a bar that is in view and large', async () => {
    const fixture = await at.desk(open());
    const page = await at.page(fixture, { live: false, options: { javaScriptEnabled: false } });
    const box = (await page.locator('stop-bar button').boundingBox())!;
    expect(box.y + box.height).toBeLessThanOrEqual(PHONE.height);
    expect(box.width).toBeGreaterThan(0.9 * PHONE.width);
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
  });

  it('works where the rest of the page is broken', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    const broken = page.waitForEvent('pageerror');
    fixture.change({ mode: 'held', night: { open: 'x' } } as never);
    await broken;
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
  });

  it('stops from any of five pages at once, and all five show it', async () => {
    const fixture = await at.desk(open());
    const pages = await Promise.all([1, 2, 3, 4, 5].map(() => at.page(fixture)));
    fixture.onStop = () => {
      if (!fixture.picture.stop.latched)
        fixture.change({ mode: 'stopped', now: [], stop: stoppedClear().stop });
    };
    await Promise.all(pages.map((page) => page.locator('stop-bar button').click()));
    await until(() => fixture.stops().length >= 10);
    for (const page of pages) {
      await until(async () => (await said(page)) === 'Stopped. All 11 answered.');
      expect(await page.locator('stopped-card h2').textContent()).toContain('Stopped');
    }
  });
});

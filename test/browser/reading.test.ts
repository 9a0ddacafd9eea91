import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { haveBrowser, LAPTOP, PHONE } from './chromium.ts';
import { fault, open, stopped, stoppedClear } from './hand-pictures.ts';
import { KEEPER, stage } from './stage.ts';

const SCREENS = [
  '#/yard',
  '#/tonight',
  '#/faults',
  '#/nights',
  '#/nights/2026-10-31/past',
  '#/wall',
  '#/setup',
  '#/setup/file',
  '#/setup/people',
  '#/setup/notices',
  '#/sign-in',
  '#/prop/ferry',
];

/** Text that is drawn smaller than 14 px, with its size; letters in a picture grow and shrink with it. */
const smallText = (page: Page) =>
  page.evaluate(() => {
    const found: string[] = [];
    const look = (root: Document | ShadowRoot) => {
      for (const element of root.querySelectorAll('*')) {
        if (element.shadowRoot) look(element.shadowRoot);
        const own = [...element.childNodes].some(
          (n) => n.nodeType === Node.TEXT_NODE && n.textContent?.trim(),
        );
        if (!own || element.getClientRects().length === 0 || element.closest('title, option, .unseen'))
          continue;
        const scale = element instanceof SVGGraphicsElement ? (element.getScreenCTM()?.a ?? 1) : 1;
        const px = Number.parseFloat(getComputedStyle(element).fontSize) * scale;
        if (px < 13.9) found.push(`${px.toFixed(1)} ${element.textContent!.trim().slice(0, 40)}`);
      }
    };
    look(document);
    return found;
  });

/** Common practice, no source: at arm's length in the dark nothing below 14 px. */
describe.skipIf(!haveBrowser)('reading it at arm’s length', () => {
  const at = stage();

  it.each(Object.entries({ phone: PHONE, laptop: LAPTOP }))(
    'has no letters below 14 px on any screen: %s',
    async (_name, viewport) => {
      const { page } = await at.show({ picture: fault(), me: KEEPER, options: { viewport } });
      for (const hash of SCREENS) {
        await page.evaluate((h) => {
          location.hash = h;
        }, hash);
        await page.waitForTimeout(300);
        expect(await smallText(page), hash).toEqual([]);
      }
    },
  );

  it('keeps the strip in one line of a phone, whatever the yard does', async () => {
    for (const picture of [open(), fault(), stopped(), stoppedClear()]) {
      const { page } = await at.show({ picture, options: { viewport: PHONE } });
      const box = await page.locator('top-strip .facts').boundingBox();
      expect(box!.height, picture.mode).toBeLessThan(38);
    }
  });

  it('keeps what runs and when apart on the wall, of a phone too', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/wall', options: { viewport: PHONE } });
    await page.locator('wall-screen now-next li').first().waitFor();
    const rows = await page.locator('wall-screen now-next li').evaluateAll((all) =>
      all.map((row) => {
        const [title, when] = [...row.children].slice(-2) as [Element, Element];
        const range = document.createRange();
        range.selectNodeContents(title);
        return when.getBoundingClientRect().left - range.getBoundingClientRect().right;
      }),
    );
    expect(rows.length).toBeGreaterThan(2);
    for (const gap of rows) expect(gap).toBeGreaterThan(0);
  });

  it('names every prop in trouble above the first, which fills a phone', async () => {
    const { page } = await at.show({ picture: fault() });
    const named = page.locator('yard-screen .named');
    expect(await named.textContent()).toBe("Ferry, Diver's helmet, Fog bank");
    expect(await named.isVisible()).toBe(true);
    expect((await named.boundingBox())!.y).toBeLessThan(100);
  });

  it('keeps tonight’s plan where it can’t be read again, and never says then that none is drawn', async () => {
    const { page, fixture } = await at.show({ picture: open(), options: { viewport: LAPTOP } });
    await page.locator('yard-screen .planned').first().waitFor();
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    await page.waitForTimeout(600);
    expect(await page.locator('yard-screen .planned').count()).toBeGreaterThan(0);
    expect(await page.getByText('No plan is drawn').count()).toBe(0);
    const told = await page.locator('yard-screen now-next li').allTextContents();
    expect(told.some((row) => row.includes('was running'))).toBe(true);
    expect(told.filter((row) => /was (in|for) /.test(row))).toEqual([]);
  });
});

import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { busLost, fault, held, open } from './hand-pictures.ts';
import { KEEPER, stage, until } from './stage.ts';

const link = (page: Page) => page.evaluate(() => document.documentElement.dataset.link);
const said = (page: Page) => page.locator('stop-bar [role=status]').textContent();

describe.skipIf(!haveBrowser)('a lost link', () => {
  const at = stage();

  it('shows after 2.5 s without a beat, and not before', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    await page.evaluate(() => {
      const shown = window as unknown as { lostAt: number };
      new MutationObserver(() => {
        if (document.documentElement.dataset.link === 'lost') shown.lostAt ||= performance.now();
      }).observe(document.documentElement, { attributes: true });
    });
    fixture.beating = false;
    // The last word may be up to one beat old by now.
    const silentFrom = await page.evaluate(() => performance.now());
    await page.waitForSelector('html[data-link=lost]');
    const lostAt = await page.evaluate(() => (window as unknown as { lostAt: number }).lostAt);
    expect(lostAt - silentFrom).toBeGreaterThan(1400);
    // 2.5 s and one tick of 250 ms; the rest is this machine.
    expect(lostAt - silentFrom).toBeLessThan(3500);
    fixture.beating = true;
    await page.waitForSelector('html[data-link=live]');
  });

  it('can not be mistaken: the strip counts up, every state was, the bar is a dashed outline, no colour is left', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER });
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    const age = page.locator('top-strip .age');
    const first = await age.textContent();
    expect(first).toMatch(/^No word for \d+ s$/);
    await until(async () => (await age.textContent()) !== first);
    for (const row of await page.locator('prop-row .state').allTextContents()) expect(row).toMatch(/^was /);
    expect(await page.locator('top-strip .mode').textContent()).toBe('was open');
    const clock = page.locator('top-strip .clock');
    const stood = await clock.textContent();
    expect(stood).toMatch(/^was 21:14:\d\d$/);
    await page.waitForTimeout(1100);
    expect(await clock.textContent()).toBe(stood);
    expect(await page.locator('.hatch').count()).toBe(1);
    expect(await said(page)).toBe("Can't reach the yard. Use the red button.");
    const border = await page.locator('stop-bar button').evaluate((b) => getComputedStyle(b).borderStyle);
    expect(border).toBe('dashed');
    const colours = await page.evaluate(() => {
      const found = new Set<string>();
      const look = (root: Document | ShadowRoot) => {
        for (const element of root.querySelectorAll('*')) {
          if (element.shadowRoot) look(element.shadowRoot);
          const style = getComputedStyle(element);
          for (const name of ['color', 'backgroundColor', 'borderTopColor', 'fill', 'stroke'] as const) {
            found.add(style[name]);
          }
        }
      };
      look(document);
      return [...found];
    });
    for (const colour of colours) {
      const [r, g, b] = (colour.match(/[\d.]+/g) ?? []).map(Number);
      if (r === undefined || g === undefined || b === undefined) continue;
      // A grey: its parts lie together.
      expect(Math.max(r, g, b) - Math.min(r, g, b), colour).toBeLessThan(16);
    }
  });

  it('sends nothing else and keeps nothing for later, but the stop still tries and tells honestly', async () => {
    const { page, fixture } = await at.show({ picture: held(), me: KEEPER });
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    const buttons = page.locator('mode-card button');
    for (const button of await buttons.all()) expect(await button.isDisabled()).toBe(true);
    await page.locator('stop-bar button').click();
    await until(async () => (await said(page)) === 'Trying to reach the yard… Use the red button.');
    await until(
      async () => (await said(page)) === 'The stop did not get through. Use the red button.',
      12_000,
    );
    fixture.reachable = true;
    await page.waitForSelector('html[data-link=live]', { timeout: 10_000 });
    await page.waitForTimeout(1500);
    expect(fixture.heard).toEqual([]);
  });

  it('gets a stop through by the call alone where only the feed is gone', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    fixture.beating = false;
    await page.waitForSelector('html[data-link=lost]');
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
    await until(async () => ((await said(page)) ?? '').startsWith('The yard computer took the stop.'));
  });

  it('is what a page wakes into, until a picture asked for since has come', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    fixture.holdYard = true;
    await page.evaluate(() => {
      // As after ten minutes of sleep: the wall clock has gone on, the monotonic one need not have.
      const real = Date.now;
      Date.now = () => real() + 600_000;
    });
    await page.waitForSelector('html[data-link=lost]');
    await page.waitForTimeout(1600);
    // Beats came meanwhile.
    expect(await link(page)).toBe('lost');
    fixture.picture = { ...fixture.picture, mode: 'held' };
    fixture.holdYard = false;
    await page.waitForSelector('html[data-link=live]');
    expect(await page.locator('top-strip .mode').textContent()).toBe('held');
  });

  it('comes back from a gap by asking for the whole', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    fixture.skip({ mode: 'held' });
    fixture.change({ modeWhy: 'Held by Wren.' });
    await until(async () => (await page.locator('top-strip .mode').textContent()) === 'held');
    expect(await link(page)).toBe('live');
  });

  it('is said in words of its own for phone, bus and prop', async () => {
    const lost = await at.show({ picture: open() });
    lost.fixture.cut();
    await lost.page.getByText("This page can't reach the yard computer").waitFor();
    const bus = await at.show({ picture: busLost() });
    await bus.page.getByText('The yard computer has lost its link to the props').waitFor();
    const prop = await at.show({ picture: fault(), hash: '#/prop/fog-bank' });
    await prop.page.getByText('Its board does not answer').waitFor();
    expect(await prop.page.getByText('lost its link').count()).toBe(0);
  });
});

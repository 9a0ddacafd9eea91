import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { haveBrowser, PHONE } from './chromium.ts';
import { isBuilt, OwnYard, PIN } from './own-yard.ts';
import { stopMiddle, until } from './stage.ts';

/** The page on the real daemon's demonstration yard: what a newcomer does in the first minutes. */
describe.skipIf(!haveBrowser || !isBuilt)('the page on the daemon', () => {
  let yard: OwnYard;
  let page: Page;
  let url: string;

  beforeAll(async () => {
    yard = await OwnYard.demonstration();
    url = yard.url;
    page = await (await yard.browser.newContext({ viewport: PHONE })).newPage();
  });
  afterAll(() => yard?.end());

  const mode = () => page.locator('top-strip .mode').textContent();
  const said = () => page.locator('stop-bar [role=status]').textContent();

  it('opens by itself, says that it is a demonstration, and complains of nothing', async () => {
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(String(error)));
    await page.goto(url);
    await page.waitForSelector('html[data-link=live]');
    await page.getByText('A demonstration: nothing here is real.').waitFor();
    await until(async () => (await mode()) === 'open', 60_000);
    await until(
      async () =>
        /^(\d+) of \1 well$/.test((await page.locator('top-strip').getByText('well').textContent()) ?? ''),
      10_000,
    );
    expect(complaints).toEqual([]);
  }, 90_000);

  it('still says that it is a demonstration after a reload, and on every screen', async () => {
    const says = () => page.getByText('A demonstration: nothing here is real.').waitFor();
    await page.reload();
    await page.waitForSelector('html[data-link=live]');
    await says();
    for (const hash of [
      '#/tonight',
      '#/faults',
      '#/nights',
      '#/setup',
      '#/prop/ferry',
      '#/wall',
      '#/sign-in',
    ]) {
      await page.goto(`${url}/${hash}`);
      await says();
      await page.reload();
      await says();
    }
  }, 40_000);

  it('shows tonight’s plan', async () => {
    await page.goto(`${url}/#/tonight`);
    await until(async () => (await page.locator('night-ruler .planned').count()) > 10);
    await page.locator('curve-chart canvas').first().waitFor();
    await page.getByRole('button', { name: 'List' }).click();
    await until(async () => (await page.locator('tonight-screen ol li .title').count()) > 20);
  });

  it('leads a newcomer, who has no PIN, from a jam to a lockout in full words', async () => {
    await page.goto(`${url}/#/yard`);
    await page.getByRole('button', { name: 'Jam the ferry' }).click();
    const began = performance.now();
    await page.getByRole('link', { name: 'Read why' }).click({ timeout: 90_000 });
    yard.told += `\nlocked out ${Math.round(performance.now() - began)} ms after the jam`;
    const card = page.locator('trouble-card').first();
    expect(await card.locator('h3').textContent()).toBe('Ferry locked out');
    expect(await card.locator('ol').first().locator('li').count()).toBeGreaterThan(1);
  }, 120_000);

  it('releases it by a held press once it is free, signed in as the keeper of the demonstration', async () => {
    await page.getByRole('button', { name: 'Free the ferry' }).click();
    await page.getByRole('button', { name: 'Be the keeper' }).click();
    const release = page.getByRole('button', { name: 'Hold to release' });
    await until(() => release.isEnabled(), 10_000);
    await release.hover();
    await page.mouse.down();
    await page.getByRole('button', { name: 'Let go now' }).waitFor();
    await page.mouse.up();
    await until(async () => (await page.locator('trouble-card').count()) === 0, 10_000);
    await page.goto(`${url}/#/faults`);
    await page.locator('faults-screen ul li').first().waitFor();
  }, 40_000);

  it('lets it run again', async () => {
    await page.goto(`${url}/#/yard`);
    await page.getByRole('button', { name: 'Run it again' }).click();
    await page.getByText('There it goes: the ferry runs again.').waitFor({ timeout: 90_000 });
    await page.getByRole('button', { name: 'Jam the ferry' }).waitFor({ state: 'detached' });
  }, 120_000);

  it('signs in with the PIN that the terminal showed', async () => {
    await page.goto(`${url}/#/setup`);
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.goto(`${url}/#/sign-in`);
    await page.locator('#pin').pressSequentially(PIN);
    await page.keyboard.press('Enter');
    await until(() => new URL(page.url()).hash !== '#/sign-in');
  });

  it('stops everything, and shows that all obeyed', async () => {
    const { x, y } = await stopMiddle(page);
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.up();
    await until(async () => /^Stopped\. All \d+ answered\.$/.test((await said()) ?? ''), 10_000);
    expect(await mode()).toBe('stopped');
  });

  it('clears by a held press, which leads to held and moves nothing', async () => {
    await page.goto(`${url}/#/yard`);
    const clear = page.getByRole('button', { name: 'Hold to clear the stop' });
    await until(() => clear.isEnabled(), 10_000);
    await clear.hover();
    await page.mouse.down();
    await page.getByRole('button', { name: 'Let go now' }).waitFor();
    await page.mouse.up();
    await until(async () => (await mode()) === 'held', 10_000);
    expect(await said()).toBe('Someone in danger? Red button first.');
  }, 40_000);

  it('benches a prop while pressed', async () => {
    await page.goto(`${url}/#/prop/ferryman`);
    await page.goto(`${url}/#/prop/ferry`);
    const move = page.locator('bench-panel button', { hasText: 'out' });
    await until(() => move.isEnabled(), 10_000);
    await move.hover();
    await page.mouse.down();
    await page.locator('prop-screen .progress').waitFor();
    await page.mouse.up();
    await until(async () => (await page.locator('prop-screen .progress').count()) === 0, 5000);
  }, 40_000);

  it('shows a daemon that is gone as lost, and comes back with it', async () => {
    yard.signal('SIGSTOP');
    await page.waitForSelector('html[data-link=lost]', { timeout: 8000 });
    yard.signal('SIGCONT');
    await page.waitForSelector('html[data-link=live]', { timeout: 15_000 });
  }, 40_000);
});

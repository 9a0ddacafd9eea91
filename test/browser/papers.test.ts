import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { reportHtml } from '../../server/report/as-html.ts';
import { tellReport } from '../../server/report/tables.ts';
import { FAULT_CODES } from '../../server/show/reasons.ts';
import { TestYard } from '../api/harness.ts';
import { SAMPLE } from '../report/sample.ts';
import { landing } from '../show/landing.ts';
import { judge } from './axe.ts';
import { haveBrowser, launch, PHONE } from './chromium.ts';

/** The pages that are read rather than used: those of the faults as they are served, and the report as it is kept. */
describe.skipIf(!haveBrowser)('what is read, in a browser', () => {
  let browser: Browser;
  let yard: TestYard;
  beforeAll(async () => {
    browser = await launch();
    yard = await TestYard.start();
  });
  afterAll(async () => {
    await yard?.end();
    await browser?.close();
  });

  async function open(
    scheme: 'light' | 'dark',
    javaScriptEnabled = true,
  ): Promise<{ page: Page; said: string[] }> {
    const context = await browser.newContext({ viewport: PHONE, colorScheme: scheme, javaScriptEnabled });
    const page = await context.newPage();
    const said: string[] = [];
    page.on('console', (m) => said.push(m.text()));
    page.on('pageerror', (error) => said.push(String(error)));
    return { page, said };
  }

  it.each(['light', 'dark'] as const)(
    'a fault’s page wears its own style under its policy, %s',
    async (scheme) => {
      const { page, said } = await open(scheme);
      for (const path of ['/faults/', '/faults/travel-slow']) {
        await page.goto(`http://${yard.host}${path}`);
        const background = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
        expect(background).toBe(scheme === 'light' ? 'rgb(211, 214, 215)' : 'rgb(23, 27, 29)');
        const bar = await page.locator('button').boundingBox();
        expect([bar!.height >= 48, bar!.width > 300]).toEqual([true, true]);
        expect(await judge(page)).toEqual([]);
      }
      await page.goto(`http://${yard.host}/faults/`);
      expect(await page.locator('main a[href^="/faults/"]').count()).toBe(FAULT_CODES.length);
      // the policy let everything through, and would not let a foreign style
      expect(said).toEqual([]);
      await page.evaluate(() => {
        const style = document.createElement('style');
        style.textContent = 'body { background: #010203 }';
        document.head.append(style);
      });
      expect(said.join('\n')).toMatch(/Content Security Policy/);
      await page.context().close();
    },
  );

  it('a fault’s page stops the yard without any script', async () => {
    const { page } = await open('light', false);
    await page.goto(`http://${yard.host}/faults/chatter`);
    const before = yard.door.stops.length;
    await page.getByRole('button', { name: 'STOP ALL' }).click();
    await page.waitForURL(/\/api\/stop$/);
    expect(yard.door.stops.length).toBe(before + 1);
    await page.context().close();
  });

  it.each(['light', 'dark'] as const)('a report stands by itself, %s', async (scheme) => {
    const { page, said } = await open(scheme);
    const asked: string[] = [];
    page.on('request', (r) => asked.push(r.url()));
    await page.setContent(reportHtml(tellReport(SAMPLE, landing())));
    expect(await judge(page, 'paper')).toEqual([]);
    expect([said, asked]).toEqual([[], []]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    expect(await page.getByRole('columnheader', { name: 'drift' }).count()).toBe(1);
    await page.context().close();
  });
});

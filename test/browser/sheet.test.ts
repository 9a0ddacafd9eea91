import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { EVENING, held, open } from './hand-pictures.ts';
import { KEEPER, stage, until } from './stage.ts';

describe.skipIf(!haveBrowser)('a prop’s sheet', () => {
  const at = stage();

  it('charts the last journeys against usual and limit, and says when it slows down', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/prop/ferry' });
    const chart = page.locator('travel-chart').first();
    await chart.locator('.dot').first().waitFor();
    expect(await chart.locator('.dot').count()).toBe(40);
    await chart.getByText('usually 7.1 s, limit 12.0 s').waitFor();
    const limit = Number(await chart.locator('.limit').getAttribute('y1'));
    const highest = await chart
      .locator('.dot')
      .evaluateAll((dots) => Math.min(...dots.map((dot) => Number(dot.getAttribute('cy')))));
    expect(highest).toBeGreaterThan(limit);
    await chart
      .getByText(/^Slowing down: 9\.1 s by now\. At this pace it reaches its limit in 4 nights\./)
      .waitFor();
    expect(await page.locator('travel-chart').count()).toBe(2);
    await page.locator('travel-chart').nth(1).getByText('Not timed yet.').waitFor();
  });

  it('moves no button under a thumb when what is read comes late', async () => {
    const fixture = await at.desk(held(), KEEPER);
    const page = await at.page(fixture);
    let give = () => {};
    const late = new Promise<void>((done) => {
      give = done;
    });
    await page.route('**/travels', async (route) => {
      await late;
      await route.continue();
    });
    await page.evaluate(() => {
      location.hash = '#/prop/ferry';
    });
    const bench = page.getByRole('button', { name: 'Hold: out' });
    const before = await bench.boundingBox();
    give();
    await page.locator('travel-chart .dot').first().waitFor();
    await page.locator('story-list').waitFor();
    expect(await bench.boundingBox()).toEqual(before);
  });

  it('tells its story, newest first, and takes up what happens', async () => {
    const fixture = await at.desk(open());
    const line = (n: number, text: string, prop: string) => ({
      n,
      at: EVENING - 60_000 + n * 1000,
      code: 'homed',
      text,
      prop,
      scene: null,
      run: null,
    });
    fixture.record = [line(1, 'Ferry is home.', 'ferry'), line(2, 'Gull is home.', 'gull')];
    const page = await at.page(fixture, { hash: '#/prop/ferry' });
    await page.locator('story-list').getByText('Ferry is home.').waitFor();
    fixture.record.push(line(3, 'Ferry waited for the pond.', 'ferry'));
    const told = page.locator('story-list li span');
    await until(async () => (await told.count()) === 2);
    expect(await told.allTextContents()).toEqual(['Ferry waited for the pond.', 'Ferry is home.']);
  });
});

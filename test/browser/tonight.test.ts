import { describe, expect, it } from 'vitest';
import { haveBrowser, LAPTOP } from './chromium.ts';
import { open } from './hand-pictures.ts';
import { stage, until } from './stage.ts';

describe.skipIf(!haveBrowser)('tonight', () => {
  const at = stage();

  it('shows the hour around now on a ruler: zones, planned and real runs, what was missed and why', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    await page.getByRole('button', { name: '1 h', exact: true }).click();
    const ruler = page.locator('night-ruler .ruler');
    await ruler.waitFor();
    expect(await ruler.locator('.zone').allTextContents()).toEqual(['The pond', 'The porch']);
    expect(await ruler.locator('.planned').count()).toBeGreaterThan(10);
    expect(await ruler.locator('.was').count()).toBeGreaterThan(3);
    await page.locator('night-ruler li').getByText('On the porch, skipped. Ferry is locked out.').waitFor();
    await expect
      .poll(() => ruler.getAttribute('aria-label'))
      .toMatch(/^Clock ruler from 20:5\d to 21:5\d with \d+ runs, 4 of them not planned\./);
  });

  it('draws what ran by hand and for guests apart from the plan, by shape and by word', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight', options: { viewport: LAPTOP } });
    await page.getByRole('button', { name: '1 h', exact: true }).click();
    const ruler = page.locator('night-ruler .ruler');
    const besides = ruler.locator('.unplanned');
    await until(async () => (await besides.count()) === 4);
    // Their bars are broken, those of the plan whole; each has the mark of who began it.
    const dashes = (of: string) =>
      ruler.locator(of).evaluateAll((all) => all.map((one) => getComputedStyle(one).strokeDasharray));
    for (const dash of await dashes('.unplanned line:not(.foot)')) expect(dash).not.toBe('none');
    for (const dash of await dashes('rect.was')) expect(dash).toBe('none');
    const marks = await besides.locator('path').evaluateAll((all) => all.map((one) => one.getAttribute('d')));
    expect(marks).toHaveLength(4);
    expect(new Set(marks).size).toBe(2);
    expect(await besides.locator('.lost').count()).toBe(1);
    expect(await besides.locator('text').allTextContents()).toContain('The crossing, by hand');
    // In a lane of their own: over none of the plan's boxes.
    const [plans, by] = await ruler.evaluate((drawn) =>
      ['rect.planned, rect.missed', '.unplanned path'].map((of) =>
        [...drawn.querySelectorAll(of)].map((one) => {
          const { top, bottom } = one.getBoundingClientRect();
          return { top, bottom };
        }),
      ),
    );
    expect([plans!.length > 10, by!.length]).toEqual([true, 4]);
    for (const mark of by!)
      for (const box of plans!) expect(mark.bottom <= box.top || mark.top >= box.bottom).toBe(true);
    // And in words below.
    const said = await page.locator('night-ruler li').allTextContents();
    const lines = said.map((text) => text.replace(/\s+/g, ' ').trim());
    expect(lines).toContain('21:05 On the porch, guest, failed. Scarecrow took too long.');
    expect(lines).toContain('21:07 The crossing, by hand, done.');
    expect(lines).toContain('21:13 The crossing, by hand, running.');
    expect(lines).toContain('21:09 On the porch, guest, done.');
  });

  it('folds them in words where they are many, and lists each by its time', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    await page.getByRole('button', { name: 'Night', exact: true }).click();
    const fold = page.locator('night-ruler details');
    await fold.getByText('5 runs in this stretch that were not planned').click();
    await fold.getByText('On the porch, notice, done.').waitFor();
    await page.getByRole('button', { name: 'List' }).click();
    const rows = page.locator('tonight-screen li');
    await rows.filter({ hasText: '21:13' }).getByText('by hand, running').waitFor();
    await rows.filter({ hasText: '21:05' }).getByText('guest, failed').waitFor();
    await page.getByText(/earlier runs went well/).click();
    await rows.filter({ hasText: '18:05' }).getByText('notice, done').waitFor();
  });

  it('keeps now in its place while the night goes on, and lets go of it by hand', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    const where = () => page.locator('night-ruler .now').getAttribute('x1').then(Number);
    const label = () => page.locator('night-ruler .ruler').getAttribute('aria-label');
    const began = await where();
    const said = await label();
    await page.getByRole('button', { name: 'Later' }).click();
    await until(async () => (await label()) !== said);
    expect(await page.locator('night-ruler .now').count()).toBe(0);
    await page.getByRole('button', { name: 'Now', exact: true }).click();
    await until(async () => (await where()) === began);
  });

  it('shows the whole night with open, quiet, close and sunset where they lie in it', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    await page.getByRole('button', { name: 'Night', exact: true }).click();
    const sides = page.locator('night-ruler .side');
    await until(async () => {
      const words = await sides.allTextContents();
      return ['Open', 'quiet', 'Close'].every((word) => words.includes(word));
    });
  });

  it('keeps the list for those who prefer it, on this phone', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/tonight' });
    await page.getByRole('button', { name: 'List' }).click();
    await page.locator('tonight-screen li.now').waitFor();
    expect(await page.locator('night-ruler').count()).toBe(0);
    await page.goto('about:blank');
    await page.goto(`${fixture.url}/#/tonight`);
    await page.locator('tonight-screen li.now').waitFor();
  });

  it('charts loads and pressure against their limits, with the figures in words', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    const charts = page.locator('curve-chart');
    await charts.locator('canvas').first().waitFor();
    expect(await charts.count()).toBe(2);
    await page.getByText('Planned most: 11.3 A at 20:10.').waitFor();
    await page.getByText('limit 12.0 A').waitFor();
    await page.getByText('Amps are the steady load, which the limit is for.').waitFor();
    await page.getByText('Planned most with starting motors: 13.6 A, for a breaker of 15 A.').waitFor();
    expect(await charts.first().getByRole('img').getAttribute('aria-label')).toMatch(
      /^Dock outlets through the night\. Planned most: 11\.3 A at 20:10\. So far most: 11\.3 A/,
    );
    // Something is drawn: the picture holds more than one colour.
    const colours = await charts.first().evaluate((chart) => {
      const canvas = chart.shadowRoot!.querySelector('canvas')!;
      const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
      const seen = new Set<string>();
      for (let n = 0; n < data.length; n += 4)
        if (data[n + 3]! > 200) seen.add(`${data[n]},${data[n + 1]},${data[n + 2]}`);
      return seen.size;
    });
    expect(colours).toBeGreaterThan(2);
  });

  it('does without the charts where they can’t be loaded, and loads none before they are wanted', async () => {
    const fixture = await at.desk(open());
    const page = await at.page(fixture);
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.route(/\/chart-/, (route) => route.abort());
    expect(asked.filter((url) => url.includes('/chart-'))).toEqual([]);
    await page.evaluate(() => {
      location.hash = '#/tonight';
    });
    await page.getByText('The chart could not be loaded. The figures above hold.').first().waitFor();
    await page.getByText('Planned most: 11.3 A at 20:10.').waitFor();
  });

  it('is moved by a finger across it, and drawn apart and together by two', async () => {
    const { page } = await at.show({
      picture: open(),
      hash: '#/tonight',
      options: { hasTouch: true, isMobile: true },
    });
    const ruler = page.locator('night-ruler .ruler');
    await ruler.waitFor();
    const spanned = async () => {
      const label = (await ruler.getAttribute('aria-label'))!;
      const [from, to] = [...label.matchAll(/(\d\d):(\d\d)/g)].map(([, h, m]) => Number(h) * 60 + Number(m));
      return { from: from!, to: to!, minutes: to! - from! };
    };
    const before = await spanned();
    expect(before.minutes).toBe(20);
    const box = (await ruler.boundingBox())!;
    const y = box.y + 60;
    const cdp = await page.context().newCDPSession(page);
    const touch = (type: string, ...xs: number[]) =>
      cdp.send('Input.dispatchTouchEvent', {
        type: type as 'touchStart',
        touchPoints: xs.map((x, id) => ({ x, y, id })),
      });
    // Half its width to the right: half its length back in time.
    await touch('touchStart', box.x + 80);
    for (let n = 1; n <= 10; n += 1) await touch('touchMove', box.x + 80 + (n * box.width) / 20);
    await touch('touchEnd');
    await until(async () => Math.abs((await spanned()).from - (before.from - 10)) <= 1);
    expect((await spanned()).minutes).toBe(20);
    // Drawn together to half: twice as long.
    await touch('touchStart', box.x + 60, box.x + 300);
    for (let n = 1; n <= 10; n += 1) await touch('touchMove', box.x + 60 + n * 6, box.x + 300 - n * 6);
    await touch('touchEnd');
    await until(async () => Math.abs((await spanned()).minutes - 40) <= 2);
    expect(await page.getByRole('button', { name: '20 min' }).getAttribute('aria-pressed')).toBe('false');
    await page.getByRole('button', { name: '20 min' }).click();
    await until(async () => (await spanned()).minutes === 20);
  });

  it('lets a finger that goes down over it scroll the page', async () => {
    const { page } = await at.show({
      picture: open(),
      hash: '#/tonight',
      options: { hasTouch: true, isMobile: true },
    });
    const ruler = page.locator('night-ruler .ruler');
    const box = (await ruler.boundingBox())!;
    const said = await ruler.getAttribute('aria-label');
    const cdp = await page.context().newCDPSession(page);
    const touch = (type: string, ...ys: number[]) =>
      cdp.send('Input.dispatchTouchEvent', {
        type: type as 'touchStart',
        touchPoints: ys.map((y) => ({ x: box.x + 100, y })),
      });
    await touch('touchStart', box.y + 90);
    for (let n = 1; n <= 10; n += 1) {
      await touch('touchMove', box.y + 90 - n * 15);
      await page.waitForTimeout(16);
    }
    await touch('touchEnd');
    expect(await page.locator('main.wide').evaluate((main) => main.scrollTop)).toBeGreaterThan(100);
    expect(await ruler.getAttribute('aria-label')).toBe(said);
  });

  it('is moved by a mouse and by a wheel across, and spread by a pinch on a touch pad', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/tonight' });
    const ruler = page.locator('night-ruler .ruler');
    const label = () => ruler.getAttribute('aria-label');
    const box = (await ruler.boundingBox())!;
    const first = await label();
    await page.mouse.move(box.x + 200, box.y + 60);
    await page.mouse.down();
    await page.mouse.move(box.x + 100, box.y + 60, { steps: 5 });
    await page.mouse.up();
    await until(async () => (await label()) !== first);
    const second = await label();
    await page.mouse.wheel(200, 0);
    await until(async () => (await label()) !== second);
    const third = await label();
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, 60);
    await page.keyboard.up('Control');
    await until(async () => (await label()) !== third);
    expect(await page.evaluate(() => visualViewport!.scale)).toBe(1);
  });
});

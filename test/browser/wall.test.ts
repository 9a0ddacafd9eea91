import { describe, expect, it } from 'vitest';
import { haveBrowser, LAPTOP } from './chromium.ts';
import { demonstration, fault, many, open, stopped } from './hand-pictures.ts';
import { KEEPER, stage, until } from './stage.ts';

const WALL = { width: 1920, height: 1080 };

describe.skipIf(!haveBrowser)('the yard on the wall', () => {
  const at = stage();

  it('has nothing to press but STOP ALL, whoever is signed in', async () => {
    for (const picture of [open(), fault(), stopped(), demonstration()]) {
      const { page, fixture } = await at.show({
        picture,
        me: KEEPER,
        hash: '#/wall',
        options: { viewport: WALL },
      });
      await page.locator('wall-screen .prop').first().waitFor();
      const pressed = await page.evaluate(() => {
        const found: string[] = [];
        const look = (root: Document | ShadowRoot) => {
          for (const element of root.querySelectorAll('*')) {
            if (element.shadowRoot) look(element.shadowRoot);
            if (
              element.matches('a[href], button, input, select, textarea, summary, [tabindex="0"]:not(main)')
            )
              found.push(element.outerHTML.slice(0, 60));
          }
        };
        look(document);
        return found;
      });
      expect(pressed).toEqual([expect.stringContaining('STOP ALL')]);
      await page.locator('stop-bar button').click();
      await until(() => fixture.stops().length > 0);
    }
  });

  it('shows all of it without scrolling, in letters that can be read from afar', async () => {
    for (const [picture, viewport, least] of [
      [open(), WALL, 30],
      [fault(), WALL, 26],
      [stopped(), WALL, 26],
      [many(), WALL, 24],
      [open(), LAPTOP, 20],
      [fault(), LAPTOP, 17],
      [stopped(), LAPTOP, 17],
    ] as const) {
      const { page } = await at.show({ picture, hash: '#/wall', options: { viewport } });
      await page.locator('wall-screen .zone').first().waitFor();
      const seen = await page.evaluate(async () => {
        await new Promise(requestAnimationFrame);
        const main = document.querySelector('yard-page')!.shadowRoot!.querySelector('main')!;
        const wall = main.querySelector('wall-screen')!;
        const sides = [...wall.shadowRoot!.querySelectorAll('.sides > div')];
        const sizes = sides.map((side) => Number.parseFloat(getComputedStyle(side).fontSize));
        return { fits: main.scrollHeight <= main.clientHeight, px: Math.min(...sizes) };
      });
      expect(seen.fits, JSON.stringify(viewport)).toBe(true);
      expect(seen.px).toBeGreaterThanOrEqual(least);
    }
  });

  it('says what is wrong first, that it stopped, and that the link is lost', async () => {
    const { page, fixture } = await at.show({
      picture: fault(),
      hash: '#/wall',
      options: { viewport: WALL },
    });
    await page.locator('wall-screen .trouble').getByText('Ferry locked out').waitFor();
    fixture.show(stopped());
    await page.locator('wall-screen .stopped').getByText('10 of 11 obeyed.').waitFor();
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    for (const state of await page.locator('wall-screen .prop small').allTextContents())
      expect(state).toMatch(/^was /);
    expect(await page.locator('top-strip .age').textContent()).toMatch(/^No word for \d+ s$/);
  });

  it('is reached from the yard on a laptop and left by Esc', async () => {
    const { page } = await at.show({ picture: open(), options: { viewport: LAPTOP } });
    await page.getByRole('link', { name: 'Show it large, for the wall' }).click();
    await page.locator('wall-screen').waitFor();
    expect(await page.locator('tab-bar').count()).toBe(0);
    await page.keyboard.press('Escape');
    await page.locator('yard-screen').waitFor();
    expect(await page.locator('tab-bar').count()).toBe(1);
  });
});

describe.skipIf(!haveBrowser)('the yard on a laptop', () => {
  const at = stage();

  it('has tonight beside it, which a phone neither shows nor reads', async () => {
    const { page } = await at.show({ picture: open(), options: { viewport: LAPTOP } });
    const ruler = page.locator('yard-screen night-ruler');
    await ruler.locator('.planned').first().waitFor();
    const [props, night] = [page.locator('yard-screen .props'), page.locator('yard-screen .tonight')];
    const [a, b] = [(await props.boundingBox())!, (await night.boundingBox())!];
    expect(b.x).toBeGreaterThan(a.x + a.width);
    const fixture = await at.desk(open());
    const phone = await at.page(fixture);
    const asked: string[] = [];
    phone.on('request', (request) => asked.push(request.url()));
    await phone.waitForTimeout(600);
    expect(await phone.locator('night-ruler').count()).toBe(0);
    expect(asked.filter((url) => url.includes('/api/plan'))).toEqual([]);
  });
});

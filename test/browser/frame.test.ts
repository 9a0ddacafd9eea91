import { describe, expect, it } from 'vitest';
import { haveBrowser, LAPTOP, PHONE } from './chromium.ts';
import { fault, many, open, stopped } from './hand-pictures.ts';
import { KEEPER, stage } from './stage.ts';
import { good, walk } from './walk.ts';

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
  '#/setup/red-button',
  '#/sign-in',
  '#/prop/ferry',
  '#/prop/nobody',
];
const SIZES = {
  phone: PHONE,
  'small phone': { width: 320, height: 568 },
  'phone lying': { width: 844, height: 390 },
  // 1280 × 1024 at 400 %, as WCAG 2.2 SC 1.4.10 measures reflow.
  'zoomed four times': { width: 320, height: 256 },
  laptop: LAPTOP,
};

describe.skipIf(!haveBrowser)('the stop bar', () => {
  const at = stage();

  it.each(Object.entries(SIZES))(
    'is in view and to be hit wherever one has scrolled: %s',
    async (_name, viewport) => {
      const fixture = await at.desk(fault(), KEEPER);
      const page = await at.page(fixture, { options: { viewport } });
      for (const hash of SCREENS) {
        await page.goto(`${fixture.url}/${hash}`);
        await page.waitForFunction((h) => location.hash === h, hash);
        good(await walk(page));
      }
    },
    60_000,
  );

  it('is so in every state: stopped, many props, signed out, in every light', async () => {
    for (const picture of [stopped(), many()]) {
      for (const light of ['day', 'dusk', 'red']) {
        const { page } = await at.show({ picture, light });
        good(await walk(page));
      }
    }
  });

  it('is so on every screen without a link', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER });
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    for (const hash of SCREENS) {
      await page.evaluate((h) => {
        location.hash = h;
      }, hash);
      good(await walk(page));
    }
  });

  it('has a dead gap below it before the tabs begin', async () => {
    const { page } = await at.show({ picture: open() });
    const bar = (await page.locator('stop-bar button').boundingBox())!;
    const tabs = (await page.locator('tab-bar').boundingBox())!;
    expect(tabs.y - (bar.y + bar.height)).toBeGreaterThanOrEqual(12);
    expect(Math.round(tabs.y + tabs.height)).toBe(PHONE.height);
  });

  it('stays in reach when a refusal is told, and no dialogue ever lies over it', async () => {
    const { page, fixture } = await at.show({ picture: open(), me: KEEPER });
    fixture.refuse = {
      status: 409,
      detail: 'Two.',
      sentences: ['The ferry is locked out.', 'The pond is busy.'],
    };
    await page.getByRole('button', { name: 'Hold' }).click();
    await page.getByRole('alert').getByText('The pond is busy.').waitFor();
    good(await walk(page));
    expect(await page.locator('dialog, [popover]').count()).toBe(0);
  });
});

describe.skipIf(!haveBrowser)('the frame', () => {
  const at = stage();

  it('shows the yard’s clock, the mode, how many are well and the age, on every screen', async () => {
    const { page } = await at.show({ picture: fault() });
    for (const hash of SCREENS) {
      await page.evaluate((h) => {
        location.hash = h;
      }, hash);
      const strip = page.locator('top-strip header');
      await expect
        .poll(() => strip.textContent())
        .toMatch(/^\s*21:1\d:\d\d\s+open\s+7 of 11 well\s+\d s old/);
    }
  });

  it('says once that its clock is the yard’s where the phone shows another time', async () => {
    const strip = (timezoneId: string) => at.show({ picture: open(), options: { timezoneId } });
    const away = (await strip('Europe/Lisbon')).page;
    await away.locator('top-strip').getByText('yard time').waitFor();
    expect(await away.getByText('yard time').count()).toBe(1);
    expect(await away.locator('top-strip .clock').textContent()).toMatch(/^21:1/);
    // It costs the strip no second line.
    expect((await away.locator('top-strip header').boundingBox())!.height).toBeLessThan(52);
    const home = (await strip('America/Chicago')).page;
    expect(await home.getByText('yard time').count()).toBe(0);
  });

  it('keeps every target at least 48 px high and wide, but for words inside sentences', async () => {
    const { page } = await at.show({ picture: fault(), me: KEEPER });
    for (const hash of SCREENS) {
      await page.evaluate((h) => {
        location.hash = h;
      }, hash);
      await page.waitForTimeout(60);
      const small = await page.evaluate(() => {
        const found: string[] = [];
        const look = (root: Document | ShadowRoot) => {
          for (const element of root.querySelectorAll('*')) {
            if (element.shadowRoot) look(element.shadowRoot);
            if (!element.matches('a, button, summary, select, label, input:not(label input)')) continue;
            if (element.matches('li > a')) continue;
            const { width, height } = element.getBoundingClientRect();
            if (width === 0 || element.matches('label[for]')) continue;
            if (width < 47.5 || height < 47.5)
              found.push(`${element.outerHTML.slice(0, 90)} ${width}×${height}`);
          }
        };
        look(document);
        return found;
      });
      expect(small, hash).toEqual([]);
    }
  });

  it('stands still where the person wants no motion', async () => {
    const { page } = await at.show({ picture: open(), options: { reducedMotion: 'reduce' } });
    const running = await page.evaluate(() => document.getAnimations().length);
    expect(running).toBe(0);
  });

  it('moves what runs, never faster than once a second', async () => {
    const { page } = await at.show({ picture: open() });
    const lengths = await page.evaluate(() => {
      const found: number[] = [];
      const look = (root: Document | ShadowRoot) => {
        for (const element of root.querySelectorAll('*')) {
          if (element.shadowRoot) look(element.shadowRoot);
          for (const animation of element.getAnimations())
            found.push(Number(animation.effect?.getTiming().duration));
        }
      };
      look(document);
      return found;
    });
    expect(lengths.length).toBeGreaterThan(0);
    for (const ms of lengths) expect(ms).toBeGreaterThanOrEqual(1000);
  });

  it('draws without anything that its policy forbids, and asks nobody but the desk', async () => {
    const fixture = await at.desk(fault(), KEEPER);
    const page = await at.page(fixture);
    const complaints: string[] = [];
    const asked = new Set<string>();
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(String(error)));
    page.on('request', (request) => asked.add(new URL(request.url()).origin.replace(/^ws/, 'http')));
    for (const hash of SCREENS) {
      await page.goto('about:blank');
      await page.goto(`${fixture.url}/${hash}`);
      await page.waitForSelector('html[data-link=live]');
    }
    expect(complaints).toEqual([]);
    expect([...asked].filter((origin) => origin !== 'null')).toEqual([fixture.url]);
  });
});

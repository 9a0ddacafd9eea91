import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { haveBrowser, LAPTOP } from './chromium.ts';
import { course, thenOf } from './hand-past.ts';
import { at as clock, demonstration, held, open } from './hand-pictures.ts';
import { KEEPER, stage, until } from './stage.ts';

const HASH = '#/nights/2026-10-31/past';
const heading = (page: Page) => page.locator('past-screen .head h2').textContent();
const shows = (page: Page, time: string) =>
  until(async () => (await heading(page)) === `As it was at ${time}`);
const slider = (page: Page) => page.getByRole('slider', { name: 'Moment of the night' });

describe.skipIf(!haveBrowser)('going back through a night', () => {
  const at = stage();

  it('is reached from the night’s report, and begins at its first fault', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/nights' });
    await page.getByRole('link', { name: 'See the yard as it was' }).click();
    await shows(page, '20:52:31');
    await until(() => new URL(page.url()).hash === `${HASH}/${clock('20:52:31')}`);
    expect(await page.getByRole('link', { name: 'Nights' }).getAttribute('aria-current')).toBe('page');
  });

  it('shows the yard of that moment by the elements of the yard’s own screen, each word was', async () => {
    const { page } = await at.show({ picture: held(), hash: `${HASH}/${clock('21:14:05')}`, me: KEEPER });
    await shows(page, '21:14:05');
    const frame = page.locator('past-screen .frame');
    await frame.getByText('was Ferry locked out').first().waitFor();
    await frame.getByText('Left near at 21:13:48, far not made after 12.0 s').first().waitFor();
    for (const state of await frame.locator('prop-row .state').allTextContents())
      expect(state).toMatch(/^was /);
    // What happened around then, in the words of the record.
    await frame.locator('past-lines').getByText('The crossing: started as planned.').waitFor();
    // Outside the frame it is now: held, while the frame shows an open yard.
    expect(await page.locator('top-strip .mode').textContent()).toBe('held');
    await frame.locator('mode-card').getByText('was open').waitFor();
  });

  it('has nothing in the frame to press but ways through the night, whoever is signed in; STOP ALL stops now', async () => {
    const picture = demonstration();
    const { page, fixture } = await at.show({ picture, hash: `${HASH}/${clock('21:41:00')}`, me: KEEPER });
    await shows(page, '21:41:00');
    const frame = page.locator('past-screen');
    await frame.getByText('was stopped', { exact: true }).first().waitFor();
    for (const what of [
      'hold-button',
      'mode-card button',
      'stopped-card button',
      'trouble-card button',
      'prop-row a[href]',
    ]) {
      expect(await frame.locator(what).count(), what).toBe(0);
    }
    expect(await frame.getByRole('link', { name: 'Sign in to act' }).count()).toBe(0);
    // The demonstration says what it is, and offers nothing here.
    await page.getByText('A demonstration: nothing here is real.').waitFor();
    expect(await page.locator('demo-banner button, demo-banner a').count()).toBe(0);
    await slider(page).focus();
    for (const key of ['ArrowLeft', 'PageUp', 'End', 'Home']) await page.keyboard.press(key);
    expect(fixture.heard).toEqual([]);
    await page.locator('stop-bar button').click();
    await until(() => fixture.stops().length > 0);
  });

  it('bears no colour and no motion in the frame, though the yard of then was in trouble', async () => {
    const { page } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:14:05')}` });
    await shows(page, '21:14:05');
    await page.locator('past-screen trouble-card').first().waitFor();
    const seen = await page.locator('past-screen .frame').evaluate((frame) => {
      const colours = new Set<string>();
      let moving = 0;
      const look = (root: Element | ShadowRoot) => {
        for (const element of root.querySelectorAll('*')) {
          if (element.shadowRoot) look(element.shadowRoot);
          const style = getComputedStyle(element);
          for (const name of ['color', 'backgroundColor', 'borderTopColor', 'fill', 'stroke'] as const)
            colours.add(style[name]);
          moving += element.getAnimations().filter(({ playState }) => playState === 'running').length;
        }
      };
      look(frame);
      return { colours: [...colours], moving };
    });
    expect(seen.moving).toBe(0);
    expect(seen.colours.length).toBeGreaterThan(3);
    for (const colour of seen.colours) {
      const [r, g, b] = (colour.match(/[\d.]+/g) ?? []).map(Number);
      if (r === undefined || g === undefined || b === undefined) continue;
      expect(Math.max(r, g, b) - Math.min(r, g, b), colour).toBeLessThan(16);
    }
  });

  it('says that it is past wherever one has scrolled', async () => {
    const { page } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:14:05')}` });
    await shows(page, '21:14:05');
    await page.locator('past-screen zone-group').first().waitFor();
    const seen = await page.evaluate(async () => {
      const main = document.querySelector('yard-page')!.shadowRoot!.querySelector('main')!;
      const head = main.querySelector('past-screen')!.shadowRoot!.querySelector('.head')!;
      const places = [];
      for (let top = 0; ; top += 200) {
        main.scrollTo(0, top);
        await new Promise(requestAnimationFrame);
        const [box, view] = [head.getBoundingClientRect(), main.getBoundingClientRect()];
        places.push(box.top >= view.top - 1 && box.bottom <= view.bottom);
        if (main.scrollTop + main.clientHeight >= main.scrollHeight - 1) return places;
      }
    });
    expect(seen.length).toBeGreaterThan(2);
    expect(seen.every(Boolean)).toBe(true);
  });

  it('goes by the keyboard: seconds, minutes, to either end, and from event to event', async () => {
    const { page } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:00:00')}` });
    await shows(page, '21:00:00');
    await slider(page).focus();
    const pressed = async (key: string, time: string) => {
      await page.keyboard.press(key);
      await shows(page, time);
      expect(await slider(page).getAttribute('aria-valuetext')).toBe(time);
    };
    await pressed('ArrowRight', '21:00:01');
    await pressed('ArrowLeft', '21:00:00');
    await pressed('PageUp', '21:01:00');
    await pressed('PageDown', '21:00:00');
    await pressed('End', '22:45:00');
    await pressed('Home', '17:56:00');
    const button = async (name: string, time: string) => {
      await page.getByRole('button', { name }).focus();
      await page.keyboard.press('Enter');
      await shows(page, time);
    };
    await button('Next event', '20:52:31');
    await button('Next event', '21:14:00');
    await button('Next event', '21:40:00');
    expect(await page.getByRole('button', { name: 'Next event' }).isDisabled()).toBe(true);
    await button('Previous event', '21:14:00');
    await button('On by 10 s', '21:14:10');
    await button('Back by 10 s', '21:14:00');
    await page.locator('past-slider summary').click();
    await page.getByLabel('Events').selectOption('Also what was missed');
    await button('Next event', '21:16:00');
    await page.getByLabel('Events').selectOption('Everything');
    await button('Previous event', '21:14:00');
    await button('Previous event', '21:12:05');
    await page.getByRole('button', { name: 'Go to 21:14:00' }).first().click();
    await shows(page, '21:14:00');
    // The address has followed; the way back leads out, and not through every moment.
    await until(() => new URL(page.url()).hash === `${HASH}/${clock('21:14:00')}`);
  });

  it('spans the night or a stretch around the moment, and marks runs, faults and stops in it', async () => {
    const { page } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:14:05')}` });
    await shows(page, '21:14:05');
    const marks = page.locator('past-track svg');
    expect(await marks.getAttribute('aria-label')).toBe('43 runs, 2 faults, 1 stop, 2 skipped');
    expect([await marks.locator('.fault').count(), await marks.locator('.stop').count()]).toEqual([2, 1]);
    await page.locator('past-slider summary').click();
    await page.getByRole('button', { name: '10 min' }).click();
    expect([await marks.locator('.fault').count(), await marks.locator('.stop').count()]).toEqual([1, 0]);
    const span = await slider(page).evaluate(
      (input: HTMLInputElement) => Number(input.max) - Number(input.min),
    );
    expect(span).toBe(600_000);
  });

  it('asks for one moment at a time, and of those slid over meanwhile only the last', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:00:00')}` });
    await shows(page, '21:00:00');
    fixture.asked.length = 0;
    fixture.pastTakesMs = 400;
    await slider(page).focus();
    for (let n = 0; n < 12; n += 1) await page.keyboard.press('ArrowRight');
    const frame = page.locator('past-screen .inside');
    expect(await frame.getAttribute('aria-busy')).toBe('true');
    await page.locator('past-screen .head').getByText('Reading 21:00:12…').waitFor();
    // What is shown is still named by its own moment.
    expect(await heading(page)).toBe('As it was at 21:00:00');
    await shows(page, '21:00:12');
    expect(await frame.getAttribute('aria-busy')).toBe('false');
    expect(fixture.asked.length).toBeLessThan(5);
    expect(fixture.asked.at(-1)).toBe(clock('21:00:12'));
  });

  it('says where nothing is kept, where the computer was off, where the record has a gap', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:00:00')}` });
    await shows(page, '21:00:00');
    fixture.past = () => null;
    await slider(page).focus();
    await page.keyboard.press('ArrowRight');
    await page.getByRole('alert').getByText('Nothing is kept of that moment.').waitFor();
    expect(await page.locator('past-screen yard-screen').count()).toBe(0);
    fixture.past = (when) => ({ ...thenOf(when)!, off: true });
    await page.keyboard.press('ArrowRight');
    await page.getByText('The yard computer was not running then.').waitFor();
    fixture.past = (when) => ({ ...thenOf(when)!, gap: true });
    await page.keyboard.press('ArrowRight');
    await page.getByText('Part of the record before this is missing').waitFor();
    const none = await at.page(fixture, { hash: '#/nights/2026-10-29/past' });
    await none.getByText('Nothing is recorded for that night.').waitFor();
  });

  it('keeps what was shown where the link is lost, and comes back', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: `${HASH}/${clock('21:00:00')}` });
    await shows(page, '21:00:00');
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    await slider(page).focus();
    await page.keyboard.press('ArrowRight');
    await page.locator('past-screen').getByText('The yard computer did not answer.').waitFor();
    expect(await page.locator('past-screen yard-screen').count()).toBe(1);
    fixture.reachable = true;
    await page.waitForSelector('html[data-link=live]', { timeout: 10_000 });
    await page.keyboard.press('ArrowRight');
    await shows(page, '21:00:02');
  });

  it('comes in a chunk of its own, and says so where that does not come', async () => {
    const fixture = await at.desk(open());
    const page = await at.page(fixture);
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    await page.route(/\/(past|wall)-screen-/, (route) => route.abort());
    await page.evaluate((hash) => {
      location.hash = hash;
    }, HASH);
    await page.getByText('This screen could not be loaded. Reload the page.').waitFor();
    expect(asked.some((url) => url.includes('/past-screen-'))).toBe(true);
  });

  it('lies beside what happened on a laptop, and never scrolls sideways', async () => {
    for (const viewport of [LAPTOP, { width: 320, height: 568 }]) {
      const { page } = await at.show({
        picture: open(),
        hash: `${HASH}/${clock('21:14:05')}`,
        options: { viewport },
      });
      await shows(page, '21:14:05');
      const [lines, yard] = [page.locator('past-lines'), page.locator('past-screen yard-screen')];
      const [a, b] = [(await lines.boundingBox())!, (await yard.boundingBox())!];
      if (viewport === LAPTOP) expect(a.x).toBeGreaterThan(b.x + b.width);
      else expect(b.y).toBeGreaterThan(a.y);
      const main = page.locator('main.wide');
      expect(await main.evaluate((m) => m.scrollWidth > m.clientWidth)).toBe(false);
    }
    expect(course().faults).toHaveLength(2);
  });
});

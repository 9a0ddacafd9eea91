import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { demonstration, fault, open } from './hand-pictures.ts';
import { KEEPER, stage, stopMiddle, until } from './stage.ts';

const TOUCH = { options: { hasTouch: true, isMobile: true } };

/** Two fingers spread on the page, from its middle. */
async function spreadFingers(page: Page): Promise<void> {
  const touch = await page.context().newCDPSession(page);
  const put = (type: 'touchStart' | 'touchMove', apart: number) =>
    touch.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: [
        { x: 190 - apart, y: 300, id: 0 },
        { x: 200 + apart, y: 300, id: 1 },
      ],
    });
  await put('touchStart', 10);
  for (let apart = 20; apart <= 120; apart += 10) await put('touchMove', apart);
  await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
}

describe.skipIf(!haveBrowser)('what a thumb must reach', () => {
  const at = stage();

  it('is led to the release on a phone, from the yard and from the sheet itself', async () => {
    const picture = { ...fault(), yard: demonstration().yard };
    const { page } = await at.show({ picture, me: KEEPER });
    const release = page.getByRole('button', { name: 'Hold to release' });
    const seen = async () => {
      const box = await release.boundingBox();
      const bar = await page.locator('stop-bar').boundingBox();
      return box !== null && bar !== null && box.y > 0 && box.y + box.height < bar.y;
    };
    await page.getByRole('button', { name: 'Go and release it' }).click();
    await page.waitForURL('**/#/prop/ferry');
    await until(seen);
    await page.evaluate(() =>
      document.querySelector('yard-page')?.shadowRoot?.querySelector('main')?.scrollTo(0, 0),
    );
    expect(await seen()).toBe(false);
    await page.getByRole('button', { name: 'Go and release it' }).click();
    await until(seen);
  });

  it('offers no way to the sheet on the sheet itself', async () => {
    const picture = { ...fault(), yard: demonstration().yard };
    const { page, fixture } = await at.show({ picture });
    fixture.demo = { ...fixture.demo, faults: [{ prop: 'ferry', fault: 'jam' }] };
    await page.reload();
    await page.getByRole('link', { name: 'Read why' }).click();
    await page.locator('prop-screen').waitFor();
    await page.getByRole('button', { name: 'Free the ferry' }).waitFor();
    expect(await page.getByRole('link', { name: 'Read why' }).count()).toBe(0);
  });

  it('says first that the demonstration hears no board of one’s own, before anybody fills in the rest', async () => {
    const { page, fixture } = await at.show({ picture: demonstration(), me: KEEPER });
    fixture.strangers = [];
    await page.evaluate(() => {
      location.hash = '#/setup/first-file';
    });
    const said = page.getByText('a demonstration listens to this computer alone');
    await said.waitFor();
    const first = await page.locator('first-file-screen input').first().boundingBox();
    expect((await said.boundingBox())!.y).toBeLessThan(first!.y);
  });

  it('keeps a refusal in sight however far the page is scrolled', async () => {
    const { page, fixture } = await at.show({ picture: open(), me: KEEPER, hash: '#/tonight' });
    fixture.refuse = { status: 409, detail: 'The crossing is running already.', sentences: [] };
    const last = page.getByRole('button', { name: /^Run now/, disabled: false }).last();
    await last.scrollIntoViewIfNeeded();
    await last.click();
    const said = page.getByRole('alert').getByText('The crossing is running already.');
    await said.waitFor();
    const { y } = (await said.boundingBox())!;
    expect(y).toBeGreaterThan(0);
    expect(y).toBeLessThan((await stopMiddle(page)).y);
  });

  it('keeps the stop bar in sight, and stopping, where two fingers draw the page large', async () => {
    const { page, fixture } = await at.show({ picture: open(), ...TOUCH });
    await spreadFingers(page);
    await until(() => page.evaluate(() => (window.visualViewport?.scale ?? 1) > 2));
    await page.locator('stop-bar[data-follows]').waitFor();
    const look = () =>
      page.evaluate(() => {
        const { left, right, top, bottom } = document.querySelector('stop-bar')!.getBoundingClientRect();
        const { offsetLeft, offsetTop, width, height, scale } = window.visualViewport!;
        return { bar: { left, right, top, bottom }, seen: { offsetLeft, offsetTop, width, height, scale } };
      });
    // fingers may still be drawing: what is tapped is where the bar has come to rest
    let before = '';
    await until(async () => {
      const now = JSON.stringify(await look());
      const still = now === before;
      before = now;
      return still;
    });
    const { bar, seen } = await look();
    expect(bar.left).toBeCloseTo(seen.offsetLeft, 0);
    expect(bar.right).toBeCloseTo(seen.offsetLeft + seen.width, 0);
    expect(bar.bottom).toBeLessThan(seen.offsetTop + seen.height);
    expect((bar.bottom - bar.top) * seen.scale).toBeGreaterThanOrEqual(48);
    // taps are told in pixels of the page, from the corner of what is seen
    await page.touchscreen.tap(
      (bar.left + bar.right) / 2 - seen.offsetLeft,
      (bar.top + bar.bottom) / 2 - seen.offsetTop,
    );
    await until(() => fixture.heard.some(({ path }) => path === '/api/stop'));
  });
});

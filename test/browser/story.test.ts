import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { at as clock, EVENING, open, recorded } from './hand-pictures.ts';
import { stage, until } from './stage.ts';

const HOUR_MS = 3_600_000;

describe.skipIf(!haveBrowser)('a prop’s story', () => {
  const at = stage();

  it('goes back page by page, under the day it was, and takes in what comes meanwhile', async () => {
    const fixture = await at.desk(open());
    const line = (n: number, when: number) => ({
      n,
      at: when,
      code: 'homed',
      text: `${recorded({ reason: { code: 'homed', prop: 'ferry' }, prop: 'ferry' })} No. ${n}.`,
      prop: 'ferry',
      scene: null,
      run: null,
    });
    fixture.record = Array.from({ length: 100 }, (_, n) => line(n + 1, EVENING - (100 - n) * HOUR_MS));
    const page = await at.page(fixture, { hash: '#/prop/ferry' });
    const story = page.locator('story-list');
    const count = () => story.locator('li').count();
    await until(async () => (await count()) === 40);
    expect((await story.locator('h3').allTextContents()).slice(0, 2)).toEqual([
      'Sat 31 October 2026',
      'Fri 30 October 2026',
    ]);
    const back = page.getByRole('button', { name: 'Further back' });
    await back.click();
    await until(async () => (await count()) === 80);
    await back.click();
    await until(async () => (await count()) === 100);
    expect(await back.count()).toBe(0);
    // The newest page is read again by itself; what was read further back stays.
    fixture.record.push(line(101, EVENING));
    await until(async () => (await count()) === 101, 6000);
    expect(await story.locator('li').first().textContent()).toContain('No. 101.');
    const numbers = await story.locator('li').allTextContents();
    expect(new Set(numbers).size).toBe(101);
  });

  it('leads from each line, and from a fault that was closed, to the yard as it was then', async () => {
    const fixture = await at.desk(open());
    const when = clock('21:14:00');
    const reason = { code: 'lockout-released', by: 'Wren', fault: 'chatter' } as const;
    const line = { n: 1, at: when, code: reason.code, prop: 'ferry', scene: null, run: null };
    fixture.record = [{ ...line, text: recorded({ reason, prop: 'ferry' }) }];
    fixture.nights = [
      { night: '2026-11-01', plannedAt: when + HOUR_MS, runs: 9, openedAt: null },
      { night: '2026-10-31', plannedAt: when - 6 * HOUR_MS, runs: 9, openedAt: when - 3 * HOUR_MS },
      { night: '2026-10-30', plannedAt: when - 30 * HOUR_MS, runs: 9, openedAt: when - 27 * HOUR_MS },
    ];
    for (const [hash, name] of [
      ['#/prop/ferry', 'Go to 21:14:00'],
      ['#/faults', 'Go to 21:14'],
    ] as const) {
      const page = await at.page(fixture, { hash });
      await page.getByRole('link', { name, exact: true }).click();
      await page.getByText('As it was at 21:14:00').waitFor();
      expect(new URL(page.url()).hash).toBe(`#/nights/2026-10-31/past/${when}`);
      await page.goBack();
      await until(() => new URL(page.url()).hash === hash);
    }
    const early = await at.page(fixture, { hash: '#/past/1000' });
    await until(() => new URL(early.url()).hash === '#/nights');
  });
});

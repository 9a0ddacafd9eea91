import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { held, open, stopped } from './hand-pictures.ts';
import { stage } from './stage.ts';

const NOT_OPEN = 'Nothing starts until the yard is opened.';

describe.skipIf(!haveBrowser)('a yard in which nothing starts', () => {
  const at = stage();

  it.each([
    ['stopped', stopped],
    ['held', held],
  ])('counts down to nothing while it is %s, and shows what is planned', async (_mode, picture) => {
    const { page, fixture } = await at.show({ picture: picture() });
    const list = page.locator('now-next');
    await list.getByText(NOT_OPEN).waitFor();
    expect(await list.locator('li.sleeps').allTextContents()).toEqual([
      expect.stringMatching(/^\s*21:15\s+On the porch\s+planned\s*$/),
      expect.stringMatching(/^\s*21:17\s+The gull wakes\s+planned\s*$/),
      expect.stringMatching(/^\s*21:20\s+The crossing\s+planned\s*$/),
    ]);
    expect(await list.getByText(/^in \d/).count()).toBe(0);
    fixture.show(open());
    await list
      .getByText(/^in \d+ s$/)
      .first()
      .waitFor();
    expect(await list.getByText(NOT_OPEN).count()).toBe(0);
  });

  it('calls no prop ready while a stop is latched', async () => {
    const { page, fixture } = await at.show({ picture: stopped() });
    const gull = page.locator('zone-group prop-row', { hasText: 'Gull' });
    await gull.getByText('stop holds, at perch').waitFor();
    expect(
      await page
        .locator('zone-group')
        .getByText(/\bready\b/)
        .count(),
    ).toBe(0);
    fixture.show(open());
    await gull.getByText('ready, at perch').waitFor();
  });
});

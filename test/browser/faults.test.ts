import { describe, expect, it } from 'vitest';
import { faultPagePath } from '../../server/words/pages.ts';
import { haveBrowser } from './chromium.ts';
import { EVENING, fault, locked, open } from './hand-pictures.ts';
import { KEEPER, stage } from './stage.ts';

const LOOK_FIRST = "The yard computer can't see whether the cause is gone. Look first.";
const HEARD_AGAIN = 'Its board is heard again. It waits for a release.';

/** The bell post lost its link three times; its board is there again, or not. */
function lost(live: boolean) {
  const picture = open();
  const post = picture.props['bell-post']!;
  picture.props['bell-post'] = {
    ...locked(post, { code: 'link-lost', prop: 'bell-post', at: EVENING - 60_000, times: 3 }),
    live,
    heard: live ? null : EVENING - 60_000,
  };
  return picture;
}

describe.skipIf(!haveBrowser)('the faults', () => {
  const at = stage();

  it('stand in one list, and none claims that its cause is gone where nobody can see it', async () => {
    const { page } = await at.show({ picture: fault(), hash: '#/faults', me: KEEPER });
    const card = (name: string) => page.locator('trouble-card', { hasText: name });
    await card('Ferry locked out').getByText(LOOK_FIRST).waitFor();
    await card("Diver's helmet locked out")
      .getByText(`Not yet: ${fault().props.helmet!.lockout!.barred}`)
      .waitFor();
    expect(await page.locator('faults-screen h2').allTextContents()).toEqual([
      'Locked out',
      'Closed tonight',
    ]);
    expect(await page.getByText(/cause gone/i).count()).toBe(0);
  });

  it('say that a lost link is back only once its board is heard', async () => {
    const { page, fixture } = await at.show({ picture: lost(false), hash: '#/prop/bell-post', me: KEEPER });
    await page.getByText(LOOK_FIRST).waitFor();
    await page
      .locator('dl')
      .getByText(/^last heard \d+ s ago$/)
      .waitFor();
    const post = lost(true).props['bell-post']!;
    fixture.change({}, { props: { 'bell-post': post } });
    await page.getByText(HEARD_AGAIN).waitFor();
    expect(await page.getByText(LOOK_FIRST).count()).toBe(0);
  });

  it('lead from each card, and from the sheet, to the page of their kind', async () => {
    const { page } = await at.show({ picture: fault(), hash: '#/faults' });
    const more = page.getByRole('link', { name: /^More about this fault/ });
    await more.first().waitFor();
    expect(await more.evaluateAll((links) => links.map((link) => link.getAttribute('href')))).toEqual([
      faultPagePath('travel-slow'),
      faultPagePath('both-ends'),
    ]);
    await page.evaluate(() => {
      location.hash = '#/prop/helmet';
    });
    await page
      .locator('prop-screen')
      .getByRole('link', { name: /^More about this fault/ })
      .click();
    await page.getByRole('heading', { level: 1, name: 'Both ends seen at once' }).waitFor();
    await page.getByRole('button', { name: 'STOP ALL' }).waitFor();
    await page.goBack();
    await page.locator('trouble-card').waitFor();
  });
});

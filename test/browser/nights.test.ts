import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { open } from './hand-pictures.ts';
import { stage, until } from './stage.ts';

describe.skipIf(!haveBrowser)('past nights', () => {
  const at = stage();

  it('shows the newest in full, and another when it is picked', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/nights' });
    const screen = page.locator('nights-screen');
    await screen.getByText('Saltmarsh Landing, night of Sat 31 October 2026').waitFor();
    expect(await screen.locator('nav [aria-current]').textContent()).toContain('Sat 31 October 2026');
    await screen.getByText('Skipped 21:16 The crossing: ferry is locked out.').waitFor();
    // What a title bears is shown as it is, and never taken for markup.
    await screen.getByText('=On the <porch>').first().waitFor();
    await screen.getByRole('link', { name: 'Fri 30 October 2026' }).click();
    await screen.getByText('Saltmarsh Landing, night of Fri 30 October 2026').waitFor();
    await screen.getByRole('link', { name: 'Thu 29 October 2026' }).click();
    await screen.getByText('Nothing is recorded for that night.').waitFor();
  });

  it('scrolls a wide table in its own box, never the page', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/nights' });
    await page.locator('nights-screen .table').first().waitFor();
    const wide = await page.evaluate(() => {
      const main = document.querySelector('yard-page')!.shadowRoot!.querySelector('main')!;
      const tables = main.querySelector('nights-screen')!.shadowRoot!.querySelectorAll('.table');
      const inner = [...tables].some((table) => table.scrollWidth > table.clientWidth);
      return { page: main.scrollWidth > main.clientWidth, inner };
    });
    expect(wide).toEqual({ page: false, inner: true });
  });

  it('says so where the record knows none', async () => {
    const fixture = await at.desk(open());
    fixture.nights = [];
    const page = await at.page(fixture, { hash: '#/nights' });
    await until(async () => (await page.getByText('The record knows no night yet.').count()) === 1);
  });

  it('lists a night that was opened by hand with nothing planned', async () => {
    const fixture = await at.desk(open());
    fixture.nights = [{ night: '2026-11-01-hand', plannedAt: null, runs: 0, openedAt: fixture.clock() }];
    const page = await at.page(fixture, { hash: '#/nights' });
    await page
      .getByRole('link', { name: 'Sun 1 November 2026' })
      .getByText('by hand, nothing planned')
      .waitFor();
  });
});

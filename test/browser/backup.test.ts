import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { until } from './stage.ts';

const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');
const SAID = { where: 'At the gate', cuts: 'Motor power', testedBy: 'Wren', testedOn: '2026-10-30' };

/** On the real daemon, with stand-ins for its boards. */
describe.skipIf(!haveBrowser || !isBuilt)('backup and restore on the page', () => {
  let yard: OwnYard;
  let page: Page;
  let zip: string;
  beforeAll(async () => {
    yard = await OwnYard.start(FERRY);
    page = await yard.keeper('#/setup/backup');
  });
  afterAll(() => yard?.end());

  const bring = (name: string, buffer: Buffer) =>
    page.getByLabel('Choose a backup').setInputFiles({ name, mimeType: 'application/zip', buffer });
  const alert = (on: Page) => on.locator('backup-screen [role=alert]');

  it('takes one as a file', async () => {
    const coming = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Take a backup now' }).click();
    const file = await coming;
    expect(file.suggestedFilename()).toMatch(/^dusklatch-\d{4}-\d\d-\d\dT\d{6}Z\.zip$/);
    zip = await file.path();
    expect(readFileSync(zip).subarray(0, 2).toString()).toBe('PK');
  });

  it('refuses in words what is no whole backup, and restores nothing of it', async () => {
    await bring('yard.zip', Buffer.from('yard: me'));
    await alert(page).getByText('This is no whole zip file').waitFor();
    await bring('short.zip', readFileSync(zip).subarray(0, 3000));
    await alert(page).getByText('Nothing was changed.').waitFor();
    const spoilt = readFileSync(zip);
    spoilt[spoilt.length >> 1] = spoilt[spoilt.length >> 1]! ^ 0x5a;
    await bring('spoilt.zip', spoilt);
    await alert(page).getByText('Nothing was changed.').waitFor();
    expect(await page.getByRole('button', { name: 'Restore this one' }).count()).toBe(0);
  });

  it('is not restored while the yard is open, and says to close it', async () => {
    await page.request.put(`${yard.url}/api/red-button`, { data: SAID });
    writeFileSync(yard.path, `${FERRY}# changed later\n`);
    const unplanned = { for: '1 h', plan: false };
    await until(async () => (await yard.ask(page, '/api/open', unplanned)).ok(), 15_000);
    await bring('good.zip', readFileSync(zip));
    const restore = page.getByRole('button', { name: 'Restore this one' });
    await page.getByText('Only while the yard is closed.').waitFor();
    expect(await restore.isDisabled()).toBe(true);
    // Who asks past the page is told the same.
    const told = await page.request.post(`${yard.url}/api/restore`, { data: { sum: 'any' } });
    expect([told.status(), (await told.json()).detail]).toEqual([
      409,
      expect.stringContaining('Close the yard first.'),
    ]);
    await yard.ask(page, '/api/close');
    await until(async () => (await yard.picture()).mode === 'closed', 60_000);
  }, 90_000);

  it('is restored once it is closed: all is as it was, and what was there is kept', async () => {
    await page.getByText('The small landing').first().waitFor();
    await page.getByRole('button', { name: 'Restore this one' }).click();
    await page.getByRole('button', { name: 'Press again: replace what is here' }).click();
    await page.getByText(/^Restored\. The yard computer starts anew/).waitFor();
    await until(() => readFileSync(yard.path, 'utf8') === FERRY, 10_000);
    await yard.up();
    expect(await (await fetch(`${yard.url}/api/red-button`)).json()).toEqual({ said: null });
    const kept = readdirSync(join(yard.data, 'backups'));
    expect(kept).toHaveLength(1);
    expect(kept[0]).toMatch(/^before-restore-.*\.zip$/);
    await page.waitForSelector('html[data-link=live]', { timeout: 10_000 });
    // The boards find the new start, and the yard opens again.
    await until(async () => (await yard.picture()).props.ferry.live, 15_000);
  }, 60_000);
});

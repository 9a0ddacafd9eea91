import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { certificateIn, haveOpenssl } from '../api/certificate.ts';
import { haveBrowser, launch, PHONE } from './chromium.ts';
import { open } from './hand-pictures.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { stage, until } from './stage.ts';

const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');

/** On the real daemon, with a certificate made for this test; the browser is told not to mind it. */
describe.skipIf(!haveBrowser || !isBuilt || !haveOpenssl)('the page by https', () => {
  let folder: string;
  let yard: OwnYard;
  let browser: Browser;
  let page: Page;
  let secure: string;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'dusklatch-tls-'));
    const { cert, key } = certificateIn(folder);
    yard = await OwnYard.start(FERRY, false, { DUSKLATCH_TLS_CERT: cert, DUSKLATCH_TLS_KEY: key });
    secure = yard.url.replace('http:', 'https:');
    browser = await launch('--ignore-certificate-errors');
    page = await (await browser.newContext({ viewport: PHONE, ignoreHTTPSErrors: true })).newPage();
  });
  afterAll(async () => {
    await browser?.close();
    await yard?.end();
    rmSync(folder, { recursive: true, force: true });
  });

  const kept = () =>
    page.evaluate(async () => {
      const names = await caches.keys();
      const all = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
      return all.flat().map(({ url }) => new URL(url).pathname);
    });

  it('is where the plain address leads, and is live there', async () => {
    await page.goto(yard.url);
    expect(page.url()).toBe(`${secure}/`);
    await page.waitForSelector('html[data-link=live]');
    await page.goto(`${secure}/#/setup`);
    await page.getByText('This address is secure (https)').waitFor();
  });

  it('can be installed, and keeps nothing but the page itself', async () => {
    const manifest = await (await page.request.get(`${secure}/manifest.webmanifest`)).json();
    expect(manifest).toMatchObject({ name: 'Dusklatch', display: 'standalone', start_url: '/' });
    await page.evaluate(async () => void (await navigator.serviceWorker.ready));
    await page.reload();
    await page.waitForSelector('html[data-link=live]');
    await page.evaluate(() => fetch('/api/yard').then((answer) => answer.text()));
    await until(async () => (await kept()).includes('/'));
    for (const path of await kept()) expect(path === '/' || path.startsWith('/assets/'), path).toBe(true);
  });

  it('opens without the yard, says that it is out of reach, and promises no stop', async () => {
    await until(async () => (await kept()).filter((path) => path.endsWith('.js')).length > 0);
    await yard.cut();
    await page.reload();
    await page.waitForSelector('html[data-link=lost]', { timeout: 10_000 });
    await page.getByText("Can't reach the yard. Use the red button.").waitFor();
    // A press still tries, and is not taken by anything in between.
    const answer = await page.evaluate(() =>
      fetch('/api/stop', { method: 'POST' }).then(String, () => 'no answer'),
    );
    expect(answer).toBe('no answer');
  });
});

describe.skipIf(!haveBrowser)('the page by plain http', () => {
  const at = stage();

  it('keeps nothing, and says why', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/setup' });
    await page.getByText('a phone wants a secure address (https). This yard has none').waitFor();
    const kept = await page.evaluate(
      async () => (await navigator.serviceWorker?.getRegistrations())?.length ?? 0,
    );
    expect(kept).toBe(0);
  });
});

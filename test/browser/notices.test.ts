import { readFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { until } from './stage.ts';

const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8');

/** On the real daemon, with stand-ins for its boards and a real receiver. */
describe.skipIf(!haveBrowser || !isBuilt)('notices on the page', () => {
  let yard: OwnYard;
  let page: Page;
  let server: Server;
  let address: string;
  let status = 204;
  const got: { what: string; text: string; prop: string | null; yard: string }[] = [];

  beforeAll(async () => {
    server = createServer((req, res) => {
      let body = '';
      req.on('data', (part) => {
        body += part;
      });
      req.on('end', () => {
        got.push(JSON.parse(body));
        res.writeHead(status).end();
      });
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    address = `http://127.0.0.1:${(server.address() as AddressInfo).port}/hook/s3cret`;
    yard = await OwnYard.start(FERRY);
    page = await yard.keeper('#/setup/notices');
  });
  afterAll(async () => {
    await yard?.end();
    server.closeAllConnections();
    await new Promise((done) => server.close(done));
  });

  const trial = () => page.getByRole('button', { name: 'Send a trial' });

  it('are set, and a trial gets through', async () => {
    await page.getByText('None yet.').waitFor();
    expect(await trial().isDisabled()).toBe(true);
    await page.getByLabel('Address').fill(address);
    await page.getByLabel('From').fill('00:00');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Quiet hours need both times, or none.').waitFor();
    await page.getByLabel(/^To/).fill('23:59');
    await page.getByRole('button', { name: 'Save' }).click();
    await until(async () => !(await trial().isDisabled()));
    await trial().click();
    await page.locator('notices-screen li').getByText('a trial').waitFor();
    expect(got).toMatchObject([{ what: 'trial', prop: null }]);
  });

  it('tell of a stop, in the quiet hours too, and hold up nothing', async () => {
    const began = performance.now();
    await fetch(`${yard.url}/api/stop`, { method: 'POST' });
    expect(performance.now() - began).toBeLessThan(1000);
    await until(() => got.length === 2);
    expect(got[1]).toMatchObject({ what: 'stop', text: expect.stringMatching(/^Stop no\. \d+ pressed/) });
  });

  it('say what did not get through, to the keeper with the address, to others and in the log without', async () => {
    status = 503;
    await trial().click();
    await page.getByRole('alert').getByText('The trial did not get through: 127.0.0.1').waitFor();
    await page.locator('notices-screen li').getByText('answered 503').first().waitFor();
    const { notes } = await yard.picture();
    expect(notes.join()).toContain('The last notice did not get through: 127.0.0.1');
    expect(JSON.stringify(await yard.picture())).not.toContain('s3cret');
    expect(yard.told).not.toContain('s3cret');
  });
});

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { TONGUES } from '../../server/words/tongues.ts';
import { spoken as german } from '../../web/words/de.ts';
import { judge } from './axe.ts';
import { haveBrowser, PHONE } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { stopMiddle, until } from './stage.ts';
import { good, walk } from './walk.ts';

/** Pictures of what was walked, for whoever wants to look: a folder, or unset for none. */
const PICTURES = process.env.GERMAN_PICTURES;
/** What the page's first screen may load of script, gzipped. */
const FIRST_SCRIPT_BYTES = 80_000;

/** The demonstration yard, told in German by the real daemon. */
describe.skipIf(!haveBrowser || !isBuilt)('the page in German', () => {
  let yard: OwnYard;
  let context: BrowserContext;
  let page: Page;
  let url: string;

  beforeAll(async () => {
    yard = await OwnYard.demonstration(['--language', 'de']);
    url = yard.url;
    if (PICTURES) mkdirSync(PICTURES, { recursive: true });
  });
  beforeEach(async () => {
    context = await yard.browser.newContext({ viewport: PHONE, timezoneId: 'America/Chicago' });
    page = await context.newPage();
  });
  afterEach(() => context.close());
  afterAll(() => yard?.end());

  const label = () => page.locator('stop-bar button').textContent();
  const said = () => page.locator('stop-bar [role=status]').textContent();
  const live = () => page.waitForSelector('html[data-link=live]');
  const lang = () => page.evaluate(() => document.documentElement.lang);
  const picture = async (name: string) => {
    if (!PICTURES) return;
    await page.evaluate(() =>
      document.querySelector('yard-page')?.shadowRoot?.querySelector('main')?.scrollTo(0, 0),
    );
    await page.screenshot({ path: join(PICTURES, `${name}.png`) });
  };
  /** All words of the page, through every shadow. */
  const seen = () =>
    page.evaluate(() => {
      const texts: string[] = [];
      const look = (root: Node) => {
        for (const child of root.childNodes) {
          if (child instanceof Text) texts.push(child.data.trim());
          else if (child instanceof Element && !['STYLE', 'SCRIPT', 'TEXTAREA'].includes(child.tagName)) {
            const aria = child.getAttribute('aria-label');
            if (aria) texts.push(aria);
            look(child.shadowRoot ?? child);
          }
        }
      };
      look(document.body);
      return texts.filter((text) => text !== '');
    });
  /** Words of the page's frame that would betray English; titles of the demonstration's own are English by right. */
  const ENGLISH =
    /\b(Set up|Faults|Tonight|Nights|Yard|Sign in|STOP ALL|well|locked out|Trouble|planned|skipped|Look at|Release|usual|made|yard computer|press|nothing)\b/;

  const expectGerman = async (where: string) => {
    expect(await lang(), where).toBe('de');
    expect(await label(), where).toBe('ALLES STOPP');
    for (const text of await seen()) expect(text, where).not.toMatch(ENGLISH);
  };

  it('has the stop in German before any script, and then everything', async () => {
    const scripts: Promise<Buffer>[] = [];
    const names: string[] = [];
    page.on('response', (answer) => {
      if (!answer.url().endsWith('.js')) return;
      names.push(answer.url());
      scripts.push(answer.body());
    });
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (['error', 'warning'].includes(message.type())) complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(String(error)));
    await page.goto(url);
    await live();
    await page.getByText(german.demo.text).waitFor();
    expect(await said()).toBe(german.stop.hint);
    const first = [...names];
    expect(first.filter((name) => /\/de-[^/]+\.js$/.test(name))).toHaveLength(1);
    const bytes = (await Promise.all(scripts)).map((body) => gzipSync(body).length);
    expect(bytes.reduce((all, one) => all + one, 0)).toBeLessThanOrEqual(FIRST_SCRIPT_BYTES);
    await expectGerman('yard');
    expect(complaints).toEqual([]);
  }, 60_000);

  it('is German on every screen, keeps the stop in reach, and axe finds nothing', async () => {
    await page.goto(url);
    await live();
    await page.getByRole('button', { name: german.demo.keeper }).click();
    for (const hash of [
      '#/yard',
      '#/tonight',
      '#/faults',
      '#/nights',
      '#/prop/ferry',
      '#/setup',
      '#/setup/people',
      '#/setup/notices',
      '#/setup/backup',
      '#/sign-in',
      '#/wall',
    ]) {
      await page.goto(`${url}/${hash}`);
      await live();
      await page.getByText(german.demo.text).waitFor();
      // Most screens come in a part of their own.
      await page.waitForFunction(() =>
        [...(document.querySelector('yard-page')?.shadowRoot?.querySelectorAll('*') ?? [])].every(
          (e) => !e.localName.includes('-') || customElements.get(e.localName),
        ),
      );
      await page.evaluate(() => document.fonts.ready);
      await expectGerman(hash);
      expect(await judge(page), hash).toEqual([]);
      if (hash !== '#/wall') good(await walk(page));
      await picture(hash.slice(2).replace('/', '-'));
    }
  }, 240_000);

  it('tells a fault, its page and the line of the record in German', async () => {
    await page.goto(url);
    await live();
    await until(async () => (await page.locator('top-strip .mode').textContent()) === 'offen', 90_000);
    await page.getByRole('button', { name: 'Ferry verklemmen' }).click();
    await page.getByRole('link', { name: german.demo.read }).click({ timeout: 120_000 });
    await page.getByText('Freigeben bewegt nichts.').first().waitFor();
    await page
      .getByText(/nach \d+\.\d s (noch|nicht) belegt \(üblich \d+\.\d s\)/)
      .first()
      .waitFor();
    await expectGerman('a lockout');
    expect(await judge(page)).toEqual([]);
    good(await walk(page));
    await picture('stoerungen');
    await page.goto(`${url}/faults/travel-slow`);
    expect(await lang()).toBe('de');
    expect(await judge(page)).toEqual([]);
    await picture('seite-einer-stoerung');
    const { lines } = (await (await fetch(`${url}/api/journal?after=0&limit=500`)).json()) as {
      lines: { at: number; code: string; text: string }[];
    };
    const raised = lines.find(({ code }) => code === 'lockout-raised');
    expect(raised?.text).toMatch(/^Ferry gesperrt\. /);
    const asked = async (path: string) => (await fetch(`${url}${path}`)).json();
    const { nights } = (await asked('/api/nights')) as { nights: { night: string }[] };
    const report = (await asked(`/api/nights/${nights[0]!.night}/told`)) as {
      title: string;
      sections: object[];
    };
    expect(report.title).toContain('Nacht vom');
    expect(JSON.stringify(report.sections)).toContain('Störungen');
    // the yard as it was is told by a process of its own
    const then = (await asked(`/api/past?at=${raised!.at}`)) as {
      picture: { props: Record<string, { why: string }> };
    };
    expect(then.picture.props.ferry!.why).toMatch(/^Ferry gesperrt\. /);
  }, 240_000);

  it('stops, and tells who obeyed, in German', async () => {
    await page.goto(url);
    await live();
    const { x, y } = await stopMiddle(page);
    await page.mouse.click(x, y);
    await until(async () => /^Gestoppt/.test((await said()) ?? ''), 10_000);
    await page.getByText(german.stopped.safety).waitFor();
    await expectGerman('stopped');
    expect(await judge(page)).toEqual([]);
    good(await walk(page));
    await picture('gestoppt');
  }, 60_000);

  it('says in German that it is lost, however soon the link goes', async () => {
    await page.goto(url);
    await live();
    await context.setOffline(true);
    await page.route('**/*', (route) => route.abort());
    await page.waitForSelector('html[data-link=lost]', { timeout: 20_000 });
    await page.getByText(german.lost.heading).waitFor();
    expect(await said()).toBe(german.stop.lost);
    await expectGerman('lost');
    await picture('verbindung-weg');
    const { x, y } = await stopMiddle(page);
    await page.mouse.click(x, y);
    await until(async () => [german.stop.trying, german.stop.failed].includes((await said()) ?? ''), 10_000);
  }, 60_000);

  it('stands in German, and stops, where its script does not come', async () => {
    await page.route('**/*.js', (route) => route.abort());
    await page.goto(url);
    expect(await lang()).toBe('de');
    expect(await label()).toBe('ALLES STOPP');
    expect(await said()).toBe(TONGUES.de.plain.hint);
    await page.getByText(TONGUES.de.plain.ifItStays).waitFor();
    await picture('ohne-skript');
    await page.locator('stop-bar button').click();
    await page.getByText(TONGUES.de.plain.onItsWay).waitFor();
    expect(await lang()).toBe('de');
    await picture('antwort-auf-stopp');
  });

  it('goes on in English, label and all, where only its words do not come', async () => {
    await page.route('**/de-*.js', (route) => route.abort());
    await page.goto(url);
    await live();
    await page.getByText('A demonstration: nothing here is real.').waitFor();
    expect(await lang()).toBe('en');
    expect(await label()).toBe('STOP ALL');
    expect(await said()).not.toBe('');
  });

  it('never shows an empty or a wrong label while its words are on their way', async () => {
    let go = () => {};
    const held = new Promise<void>((done) => {
      go = done;
    });
    await page.route('**/de-*.js', async (route) => {
      await held;
      await route.continue();
    });
    await page.goto(url, { waitUntil: 'commit' });
    await page.locator('stop-bar button').waitFor();
    await page.waitForFunction(() => customElements.get('stop-bar') !== undefined);
    expect(await label()).toBe('ALLES STOPP');
    expect(await said()).toBe(TONGUES.de.plain.hint);
    go();
    await live();
    await page.getByText(german.demo.text).waitFor();
    await expectGerman('after its words came');
  });

  it('says its own refusals in German', async () => {
    await page.goto(`${url}/nowhere`);
    await page.getByText('Eine solche Seite oder einen solchen Aufruf gibt es hier nicht.').waitFor();
    expect(await lang()).toBe('de');
    expect(await judge(page)).toEqual([]);
  });
});

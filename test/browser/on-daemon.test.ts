import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { judge, judgeInEveryLight } from './axe.ts';
import { haveBrowser, LAPTOP, PHONE } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { stopMiddle, until } from './stage.ts';
import { good, walk } from './walk.ts';

/** The small landing with a carriage that is long on its way, a ferryman who soon tires, and a short notice. */
const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8')
  .replace('lasts: 45 s', 'lasts: 2 s')
  .replaceAll('usual: 7 s', 'usual: 5 s')
  .replace('notice: 30 s', 'notice: 3 s');

const SCREENS = [
  '#/yard',
  '#/wall',
  '#/tonight',
  '#/faults',
  '#/nights',
  '#/setup',
  '#/setup/file',
  '#/setup/people',
  '#/setup/red-button',
  '#/setup/backup',
  '#/setup/first-file',
  '#/sign-in',
  '#/prop/ferry',
  '#/prop/nobody',
];

const strip = (page: Page) => page.locator('top-strip .mode').textContent();
const bar = (page: Page) => page.locator('stop-bar [role=status]').textContent();

async function press(page: Page): Promise<void> {
  const { x, y } = await stopMiddle(page);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.up();
}

/** On the real daemon, with stand-ins for its boards: what happens between people, and between a press and the yard. */
describe.skipIf(!haveBrowser || !isBuilt)('several phones on one yard', () => {
  let yard: OwnYard;
  let page: Page;
  beforeAll(async () => {
    yard = await OwnYard.start(FERRY);
    page = await yard.keeper('#/yard');
    const well = async () =>
      Object.values((await yard.picture()).props).every((p) => (p as { live: boolean }).live);
    await until(well, 20_000);
  });
  afterAll(() => yard?.end());

  const mode = async () => (await yard.picture()).mode;
  const open = async () => {
    const { night } = await yard.picture();
    await until(async () => (await yard.ask(page, '/api/open', night ? {} : { for: '1 h' })).ok(), 20_000);
    await until(async () => (await mode()) === 'open', 40_000);
  };
  const clear = async () => {
    await until(async () => (await yard.ask(page, '/api/stop/clear')).ok(), 20_000);
    await until(async () => (await mode()) === 'held');
  };

  it('shows on five phones at once what one of them does, and stops from any', async () => {
    const phones = await Promise.all([1, 2, 3, 4, 5].map(() => yard.keeper('#/yard')));
    await phones[0]!.getByRole('button', { name: 'Open', exact: true }).click();
    for (const phone of phones) await until(async () => (await strip(phone)) === 'opening', 20_000);
    for (const phone of phones) await until(async () => (await strip(phone)) === 'open', 40_000);
    await press(phones[4]!);
    for (const phone of phones)
      await until(async () => /^Stopped\. All \d+ answered\.$/.test((await bar(phone)) ?? ''), 20_000);
    for (const phone of phones) expect(await strip(phone)).toBe('stopped');
    // All five at once press again: it is one stop and stays one.
    const { stop } = await yard.picture();
    await Promise.all(phones.map(press));
    expect((await yard.picture()).stop.n).toBe(stop.n);
    for (const phone of phones) await phone.context().close();
  }, 90_000);

  it('refuses a clear where a fault came in while it was being pressed, and says so', async () => {
    const clearing = page.getByRole('button', { name: 'Hold to clear the stop' });
    await until(() => clearing.isEnabled(), 10_000);
    await clearing.hover();
    await page.mouse.down();
    // A sensor sticks: the ferry is seen at both ends. Then the finger lifts.
    yard.say('stuck-made ferry.far');
    await until(async () => (await yard.picture()).props.ferry.lockout?.code === 'both-ends', 10_000);
    await page.getByRole('button', { name: 'Let go now' }).waitFor();
    await page.mouse.up();
    await page.getByRole('alert').getByText('Refused').waitFor({ timeout: 5000 });
    expect(await mode()).toBe('stopped');
    yard.say('mend ferry');
    // Seen now, it may be cleared; what is locked out stays so until it is released.
    await clear();
    expect((await yard.picture()).props.ferry.lockout).not.toBe(null);
    await until(async () => (await yard.ask(page, '/api/props/ferry/release')).ok(), 20_000);
  }, 60_000);

  it.each([
    ['the link is cut', async (phone: Page) => phone.context().setOffline(true)],
    [
      'the page is hidden',
      async (phone: Page) =>
        phone.evaluate(() => {
          Object.defineProperty(document, 'hidden', { value: true, configurable: true });
          document.dispatchEvent(new Event('visibilitychange'));
        }),
    ],
  ])(
    'halts a bench move at once when %s, wherever the prop is by then',
    async (_what, happen) => {
      const phone = await yard.keeper('#/prop/ferry');
      const flight = async () => (await yard.picture()).props.ferry.move;
      const [name, end] = (await yard.picture()).props.ferry.at === 'far' ? ['back', 'near'] : ['out', 'far'];
      const move = phone.getByRole('button', { name: `Hold: ${name}` });
      await until(() => move.isEnabled(), 15_000);
      await move.hover();
      await phone.mouse.down();
      await until(async () => (await flight())?.move === name, 5000);
      const cutAt = performance.now();
      await happen(phone);
      await until(async () => (await flight()) === null, 3000);
      // 250 ms without a press, the halt, and the board's word that it stands; five seconds it would have gone on.
      expect(performance.now() - cutAt).toBeLessThan(2000);
      expect((await yard.picture()).props.ferry.at).not.toBe(end);
      // Nothing was kept that would move it once the link is back.
      await phone.context().setOffline(false);
      await phone.waitForTimeout(1500);
      expect(await flight()).toBe(null);
      await phone.mouse.up();
      await phone.context().close();
      // Home again, pressed to the end.
      const home = await yard.keeper('#/prop/ferry');
      const back = home.getByRole('button', { name: 'Hold: back' });
      await until(() => back.isEnabled(), 15_000);
      await back.hover();
      await home.mouse.down();
      await until(async () => (await yard.picture()).props.ferry.at === 'near', 15_000);
      await home.mouse.up();
      await home.context().close();
    },
    60_000,
  );

  it('goes back to before the stop, while STOP ALL stops the yard of now', async () => {
    await open();
    const openAt: number = (await yard.picture()).at;
    await page.waitForTimeout(2500);
    await press(page);
    await until(async () => (await mode()) === 'stopped');
    const stoppedAt: number = (await yard.picture()).stop.at;
    await page.waitForTimeout(3000);
    await clear();
    await page.goto(`${yard.url}/#/nights`);
    await page.getByRole('link', { name: 'See the yard as it was' }).click();
    const frame = page.locator('past-screen .frame');
    const night = decodeURIComponent(new URL(page.url()).hash.split('/')[2]!);
    expect(night).toMatch(/^\d{4}-\d\d-\d\d-hand$/);
    const go = async (at: number, says: string) => {
      await page.goto(`${yard.url}/#/nights/${night}/past/${at}`);
      await frame
        .locator('yard-screen')
        .getByText(says, { exact: true })
        .first()
        .waitFor({ timeout: 10_000 });
    };
    await go(stoppedAt + 1000, 'was stopped');
    await go(openAt + 1000, 'was open');
    await frame.locator('past-lines').getByText('The yard is open').first().waitFor();
    // The strip is of now, and so is the stop.
    expect(await strip(page)).toBe('held');
    await page.getByRole('button', { name: 'Next event' }).click();
    await frame
      .locator('yard-screen')
      .getByText('was stopped', { exact: true })
      .first()
      .waitFor({ timeout: 10_000 });
    const { n } = (await yard.picture()).stop;
    await press(page);
    await until(async () => (await yard.picture()).stop.n === n + 1, 3000);
    await clear();
  }, 90_000);

  it('takes a stop at once while eight phones go through the night as fast as they can', async () => {
    const { nights } = await (await fetch(`${yard.url}/api/nights`)).json();
    const { to } = await (await fetch(`${yard.url}/api/nights/${nights[0].night}/course`)).json();
    let going = true;
    let read = 0;
    const goThrough = async (phone: number): Promise<void> => {
      for (let n = phone; going; n += 1) {
        // faster than a finger slides, and within what one address may ask
        read += (await fetch(`${yard.url}/api/past?at=${to - ((n * 1379) % 40_000)}`)).ok ? 1 : 0;
        await page.waitForTimeout(50);
      }
    };
    const phones = [1, 2, 3, 4, 5, 6, 7, 8].map(goThrough);
    const took: number[] = [];
    for (let n = 0; n < 8; n += 1) {
      await page.waitForTimeout(300);
      const began = performance.now();
      const answer = await fetch(`${yard.url}/api/stop`, { method: 'POST' });
      took.push(performance.now() - began);
      expect(answer.status).toBe(200);
    }
    going = false;
    await Promise.all(phones);
    expect(read).toBeGreaterThan(50);
    // A person takes a fifth of a second to lift a finger; this machine also runs eight phones and the stand-ins.
    expect(took.sort((a, b) => a - b)[4]).toBeLessThan(150);
    expect(Math.max(...took)).toBeLessThan(1000);
    await clear();
  }, 40_000);

  it('tells a prop’s story from the record', async () => {
    await page.goto(`${yard.url}/#/prop/ferry`);
    const story = page.locator('story-list');
    for (const said of [/Ferry locked out/, /released/, /on the bench/])
      await story.getByText(said).first().waitFor({ timeout: 10_000 });
    expect(await story.locator('li').count()).toBeGreaterThan(5);
  });

  it('keeps tonight’s plan and what was so far over a power cut', async () => {
    await open();
    const curves = async () => (await fetch(`${yard.url}/api/plan/curves`)).json();
    await until(async () => (await curves()).circuits.dock.planned.at.length > 2, 20_000);
    await until(async () => (await yard.ask(page, '/api/scenes/crossing/run')).ok(), 30_000);
    await until(async () => Math.max(...(await curves()).circuits.dock.soFar.amps) > 3, 20_000);
    const before = await curves();
    const plan = await (await fetch(`${yard.url}/api/plan`)).json();
    expect(plan.unplanned.at(-1)).toMatchObject({ scene: 'crossing', origin: 'hand', state: 'running' });
    await page.waitForTimeout(1500);
    await yard.cut();
    await yard.begin();
    await until(
      async () => (await curves()).circuits.dock.soFar.at[0] <= before.circuits.dock.soFar.at[0] + 1000,
      15_000,
    );
    const after = await curves();
    expect(Math.max(...after.circuits.dock.soFar.amps)).toBe(Math.max(...before.circuits.dock.soFar.amps));
    expect([...after.circuits.dock.soFar.at].sort((a: number, b: number) => a - b)).toEqual(
      after.circuits.dock.soFar.at,
    );
    expect(after.night).toBe(before.night);
    expect(after.circuits.dock.planned.at[0]).toBe(before.circuits.dock.planned.at[0]);
    const again = await (await fetch(`${yard.url}/api/plan`)).json();
    expect(again.open).toBe(plan.open);
    // what ran by hand came back out of the record, with what the cut made of it
    const { id, actualStart } = plan.unplanned.at(-1);
    await until(async () => {
      const { unplanned } = await (await fetch(`${yard.url}/api/plan`)).json();
      return unplanned.some((r: { id: string; state: string }) => r.id === id && r.state === 'abandoned');
    }, 10_000);
    const { unplanned } = await (await fetch(`${yard.url}/api/plan`)).json();
    expect(unplanned).toHaveLength(plan.unplanned.length);
    expect(unplanned.at(-1)).toMatchObject({
      id,
      origin: 'hand',
      actualStart,
      actualEnd: expect.any(Number),
    });
    await page.goto('about:blank');
    page = await yard.keeper('#/tonight');
    await page.locator('load-list').getByText('So far most').first().waitFor({ timeout: 15_000 });
    await page
      .locator('night-ruler li')
      .getByText(/by hand, broken off/)
      .first()
      .waitFor();
  }, 120_000);
});

/** Every screen of the real page, with what the real daemon says. */
describe.skipIf(!haveBrowser || !isBuilt)('every screen on the daemon', () => {
  let yard: OwnYard;
  beforeAll(async () => {
    yard = await OwnYard.start(FERRY);
    const page = await yard.keeper('#/yard');
    const unplanned = { for: '1 h', plan: false };
    await until(async () => (await yard.ask(page, '/api/open', unplanned)).ok(), 20_000);
    await until(async () => (await yard.picture()).mode === 'open', 40_000);
    await yard.ask(page, '/api/props/ferry/lockout', { why: 'Being repaired' });
    await page.waitForTimeout(2500);
    const { nights } = await (await fetch(`${yard.url}/api/nights`)).json();
    past = `#/nights/${nights[0].night}/past`;
    await page.context().close();
  }, 90_000);
  afterAll(() => yard?.end());
  let past = '';

  const shown = async (page: Page, hash: string) => {
    await page.goto(`${yard.url}/${hash}`);
    await page.waitForSelector('html[data-link=live]');
    if (hash === past) await page.locator('past-screen yard-screen').waitFor();
    if (hash === '#/wall') await page.locator('wall-screen .prop').first().waitFor();
    if (hash.startsWith('#/setup/')) await page.locator('set-up-part h1').first().waitFor();
    await page.waitForTimeout(300);
  };

  it('lists a night that was opened by hand with nothing planned', async () => {
    const { nights } = await (await fetch(`${yard.url}/api/nights`)).json();
    expect(nights[0]).toMatchObject({ plannedAt: null, runs: 0, openedAt: expect.any(Number) });
    const page = await yard.keeper('#/nights');
    await page.getByText('by hand, nothing planned').waitFor();
    await page.context().close();
  });

  it.each([
    ['phone', PHONE],
    ['laptop', LAPTOP],
  ])(
    'has STOP ALL in view and to be hit at every place one can scroll to: %s',
    async (_name, viewport) => {
      const page = await yard.keeper('#/yard', viewport);
      for (const hash of [...SCREENS, past]) {
        await shown(page, hash);
        good(await walk(page, 90));
      }
      // Signed out, too.
      const context = await yard.browser.newContext({ viewport });
      const out = await context.newPage();
      for (const hash of ['#/yard', '#/sign-in', '#/setup/people']) {
        await shown(out, hash);
        good(await walk(out, 90));
      }
      await context.close();
      await page.context().close();
    },
    120_000,
  );

  it.each([
    ['phone', PHONE],
    ['phone lying', { width: PHONE.height, height: PHONE.width }],
    ['laptop', LAPTOP],
  ])(
    'has it on the pages without a script as well: %s',
    async (_name, viewport) => {
      const context = await yard.browser.newContext({ viewport });
      const page = await context.newPage();
      for (const path of ['/nowhere', '/faults/travel-slow', '/faults/link-lost']) {
        await page.goto(yard.url + path);
        const seen = await page.evaluate(async () => {
          const button = [...document.querySelectorAll('form[action="/api/stop"] button')].at(-1)!;
          const places = [];
          for (let top = 0; ; top += 90) {
            window.scrollTo(0, top);
            await new Promise(requestAnimationFrame);
            const box = button.getBoundingClientRect();
            const hit = [0.02, 0.5, 0.98].every(
              (across) =>
                document.elementFromPoint(box.left + across * box.width, box.top + box.height / 2) === button,
            );
            places.push(hit && box.top >= 0 && box.bottom <= innerHeight && box.height >= 48);
            if (scrollY + innerHeight >= document.documentElement.scrollHeight - 1) return places;
          }
        });
        expect(seen.every(Boolean), path).toBe(true);
      }
      await context.close();
    },
    60_000,
  );

  it('has no fault that axe finds on the pages without a script', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const context = await yard.browser.newContext({ viewport: PHONE, colorScheme });
      const page = await context.newPage();
      for (const path of ['/nowhere', '/faults/travel-slow']) {
        await page.goto(yard.url + path);
        expect(await judge(page), `${path} ${colorScheme}`).toEqual([]);
      }
      await context.close();
    }
  }, 60_000);

  it('has no fault that axe finds, on any screen, by day, at dusk and in deep red', async () => {
    const page = await yard.keeper('#/yard');
    for (const hash of [...SCREENS, past]) {
      await shown(page, hash);
      await judgeInEveryLight(page);
    }
    await page.context().close();
  }, 180_000);

  it.each([
    ['phone', PHONE],
    ['laptop', LAPTOP],
  ])(
    'has STOP ALL in view on every screen while nothing gets through: %s',
    async (_name, viewport) => {
      const page = await yard.keeper('#/yard', viewport);
      await page.context().setOffline(true);
      await page.waitForSelector('html[data-link=lost]', { timeout: 10_000 });
      for (const hash of SCREENS) {
        await page.evaluate((h) => {
          location.hash = h;
        }, hash);
        await page.waitForTimeout(100);
        good(await walk(page, 90));
      }
      await page.context().close();
    },
    60_000,
  );
});

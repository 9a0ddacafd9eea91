import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { promisify } from 'node:util';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { COMMAND, isBuilt, OwnYard } from './own-yard.ts';
import { until } from './stage.ts';

/** The small landing with a ferryman who soon tires, a short notice, and a motor that is soon cool again. */
const FERRY = readFileSync(new URL('../../config/ferry.yaml', import.meta.url), 'utf8')
  .replace('lasts: 45 s', 'lasts: 2 s')
  .replaceAll('usual: 7 s', 'usual: 2 s')
  .replace('notice: 30 s', 'notice: 3 s')
  .replace('rest: 20 s', 'rest: 3 s');

/** Ends the daemon, which keeps the state it came to, and has the record go through the program again. */
async function sameAgain(yard: OwnYard): Promise<void> {
  await yard.down();
  const replay = await promisify(execFile)(process.execPath, [COMMAND, 'replay', '--data', yard.data]);
  expect(replay.stdout).toContain('No difference: the program comes to the same state again.');
}

/** On the real daemon, with stand-ins for its boards. */
describe.skipIf(!haveBrowser || !isBuilt)('the yard file on the page, while the yard runs', () => {
  let yard: OwnYard;
  let page: Page;
  beforeAll(async () => {
    yard = await OwnYard.start(FERRY);
    page = await yard.keeper('#/setup/file');
  });
  afterAll(() => yard?.end());

  const box = () => page.getByLabel('my-yard.yaml');
  const check = () => page.getByRole('button', { name: 'Check', exact: true }).click();
  const save = () => page.getByRole('button', { name: 'Save it' }).click();
  const ask = (path: string, more: object = {}) => yard.ask(page, path, more);

  it('shows a mistake in its place, and saves nothing', async () => {
    await box().waitFor();
    const text = await box().inputValue();
    await box().fill(text.replace('every: 5 min', 'every: 5'));
    await check();
    await page.locator('.place').getByText('every: 5').waitFor();
    expect(await page.getByRole('button', { name: 'Save it' }).count()).toBe(0);
    expect(readFileSync(yard.path, 'utf8')).toBe(FERRY);
  });

  it('in a closed yard runs at once', async () => {
    await box().fill(FERRY.replace('title: Ferry\n', 'title: The long ferry\n'));
    await check();
    await page.getByText('props › ferry › title').waitFor();
    await save();
    await page.getByText(/^Saved\. This is the file that runs now\./).waitFor();
    await until(async () => (await yard.picture()).props.ferry.title === 'The long ferry');
  });

  it('of another bus waits for a start, which the page offers while the yard is closed', async () => {
    const text = (await box().inputValue()).replace(/silence: 1 s/, 'silence: 1200 ms');
    await box().fill(text);
    await check();
    await page.locator('change-list').getByText('At the next start of the yard computer.').waitFor();
    await save();
    await page.getByText(/^Saved\. It does not run yet: the bus changes only at the next start\./).waitFor();
    await page.getByRole('button', { name: 'Start the yard computer anew' }).click();
    await page.getByText('This is the file that runs now').first().waitFor({ timeout: 20_000 });
    await page.waitForSelector('html[data-link=live]');
    await until(async () => (await yard.picture()).props.ferry.live, 15_000);
  }, 60_000);

  it('in an open yard waits for what it touches, says so, and then runs', async () => {
    await until(async () => (await ask('/api/open', { for: '1 h', plan: false })).ok(), 15_000);
    await until(async () => (await yard.picture()).mode === 'open', 60_000);
    await until(async () => (await ask('/api/scenes/crossing/run')).ok(), 30_000);
    const text = (await box().inputValue()).replaceAll('limit: 12 s', 'limit: 13 s');
    await box().fill(text);
    await check();
    await page.getByText('2 changes to the file that runs').waitFor();
    await page.locator('change-list').getByText('Once The long ferry is at rest.').first().waitFor();
    await save();
    await page.getByText(/^Saved\. It does not run yet/).waitFor();
    expect((await yard.picture()).notes.join()).toContain('as soon as these are at rest: The long ferry');
    // Once the run is over.
    await page
      .getByText(/This is the file that runs now/)
      .first()
      .waitFor({ timeout: 30_000 });
    expect((await yard.picture()).notes).toEqual([]);
    expect((await yard.picture()).mode).toBe('open');
    await until(async () => (await ask('/api/scenes/crossing/run')).ok(), 30_000);
  }, 150_000);

  it('leaves a record that gives the same again', async () => {
    const lines = (await (await fetch(`${yard.url}/api/journal?limit=1000`)).json()).lines;
    await sameAgain(yard);
    const told = lines.filter(({ code }: { code: string }) => code === 'yard-changed');
    expect(told.map(({ text }: { text: string }) => text)).toEqual([
      expect.stringContaining('holds from now on, saved by keeper: 1 change'),
      expect.stringContaining('2 changes'),
    ]);
  });
});

/** A night that is on all day, so that its plan is drawn up in mid-night. Not within a minute of midnight UTC. */
const ALL_DAY = `yard: {id: quay, title: The quay, timezone: UTC, latitude: 41.9, longitude: -87.6}
nights:
  - {prepare: "0 0 * * *", open: "00:01", close: "23:59", opens: by itself, notice: 1 s}
props:
  lantern: {title: Lantern, moves: {flicker: {lasts: 2 s}}}
  bell: {title: Bell, moves: {toll: {lasts: 2 s}}}
scenes:
  light: {title: Light, every: 1 min, steps: [lantern.flicker]}
  ring: {title: Ring, every: 20 min, steps: [bell.toll]}
`;

describe.skipIf(!haveBrowser || !isBuilt)('a saved file in the midst of a planned night', () => {
  let yard: OwnYard;
  let page: Page;
  beforeAll(async () => {
    yard = await OwnYard.start(ALL_DAY);
    page = await yard.keeper('#/setup/file');
  });
  afterAll(() => yard?.end());

  /** None while it is drawn up anew. */
  const plan = async () => (await (await fetch(`${yard.url}/api/plan`)).json()) ?? { runs: [], open: '' };
  const save = async (text: string) => {
    const { hash } = await (await page.request.get(`${yard.url}/api/file`)).json();
    return (await page.request.put(`${yard.url}/api/file`, { data: { text, base: hash } })).json();
  };
  const running = async () => (await (await page.request.get(`${yard.url}/api/file`)).json()).runs;

  it('has the rest of the night drawn up anew, and marks nothing skipped that is over', async () => {
    await until(async () => (await yard.picture()).mode === 'open', 30_000).catch(async () => {
      // Started in mid-night it waits for a person.
      expect((await yard.ask(page, '/api/open')).ok()).toBe(true);
      await until(async () => (await yard.picture()).mode === 'open', 30_000);
    });
    await until(async () => ((await plan()).runs?.length ?? 0) > 0, 30_000);
    const skippedBefore = (await yard.picture()).scenes.light.skipped;
    const saved = await save(
      ALL_DAY.replace('every: 1 min', 'every: 2 min').replace('title: Ring,', 'title: Ring it,'),
    );
    expect(saved.waits?.when ?? 'rest').toBe('rest');
    await until(running, 20_000);
    await until(async () => (await yard.picture()).scenes.ring.title === 'Ring it');
    // The new plan: half as many lights to come, none of them in the past.
    const coming = async () => {
      const { runs, open } = await plan();
      const lights = (runs ?? []).filter(
        (r: { scene: string; state: string }) => r.scene === 'light' && r.state === 'planned',
      );
      return lights.map((r: { start: number }) => Date.parse(open) + r.start * 1000);
    };
    await until(async () => (await coming()).length > 1, 30_000);
    const starts = await coming();
    expect(starts[0]).toBeGreaterThan(Date.now() - 5000);
    expect((starts[1] - starts[0]) / 1000).toBeGreaterThan(100);
    expect((await yard.picture()).scenes.light.skipped).toBe(skippedBefore);
    expect((await yard.picture()).mode).toBe('open');
  }, 150_000);

  it('drops what the file has no more, and takes other hours for tonight', async () => {
    const shorter = ALL_DAY.replace('close: "23:59"', 'close: "23:58"').replace(
      '  ring: {title: Ring, every: 20 min, steps: [bell.toll]}\n',
      '',
    );
    await save(shorter);
    await until(running, 20_000);
    await until(async () => (await yard.picture()).scenes.ring === undefined);
    const { night, mode } = await yard.picture();
    expect(mode).toBe('open');
    expect(new Date(night.close).toISOString().slice(11, 16)).toBe('23:58');
    await until(async () => {
      const { runs } = await plan();
      return runs?.length > 0 && runs.every((r: { scene: string }) => r.scene === 'light');
    }, 30_000);
    await sameAgain(yard);
  }, 90_000);
});

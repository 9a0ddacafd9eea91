import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { until } from './stage.ts';

/** What runs before: a yard with a lantern alone. */
const BEFORE = `yard: {id: bare, title: A bare yard, timezone: America/Chicago, latitude: 41.9, longitude: -87.6}
nights:
  - {prepare: "0 8 * 10 fri,sat", open: "18:30", close: "21:30", opens: by hand}
props:
  post: {title: Post, moves: {glow: {lasts: 5 s}}}
scenes:
  glow: {title: Glow, steps: [post.glow]}
`;

/** The two boards that stand there: a carriage and a bell, as their builder programmed them. */
const BOARDS = `yard: {id: boards, title: Boards, timezone: America/Chicago, latitude: 41.9, longitude: -87.6}
nights:
  - {prepare: "0 8 * 10 fri,sat", open: "18:30", close: "21:30", opens: by hand}
props:
  ferry:
    title: Ferry
    controller: ferry-board
    sensors: {near: end, far: end}
    home: near
    moves:
      out: {until: far, usual: 2 s, limit: 9 s}
      back: {until: near, usual: 2 s, limit: 9 s}
  bell: {title: Bell, moves: {toll: {lasts: 2 s}}}
scenes:
  any: {title: Any, steps: [ferry.out, ferry.back, bell.toll]}
`;

/** On the real daemon: from two boards that are in no file to a yard that runs them. */
describe.skipIf(!haveBrowser || !isBuilt)('a first file, step by step', () => {
  let yard: OwnYard;
  let page: Page;
  beforeAll(async () => {
    yard = await OwnYard.start(BEFORE, BOARDS);
    page = await yard.keeper('#/setup/first-file');
  });
  afterAll(() => yard?.end());

  const card = (prop: string) => page.getByRole('region', { name: prop, exact: true });
  const ask = (path: string, more: object = {}) => yard.ask(page, path, more);

  it('finds the boards that are in no file, with their sensors live', async () => {
    await page.getByText('2 boards are heard.').waitFor({ timeout: 15_000 });
    await card('ferry').getByText('Heard, on board ferry-board').waitFor();
    await card('ferry').locator('.mark.made').getByText('near').waitFor();
    expect(await card('bell').locator('.marks').count()).toBe(0);
  });

  it('learns the ends as the carriage is moved by hand, and proposes its moves', async () => {
    await card('ferry').getByText('Push it by hand from one end to the other').waitFor();
    yard.say('put ferry 50 %');
    await until(async () => (await card('ferry').locator('.mark.made').count()) === 0);
    yard.say('put ferry far');
    await card('ferry').getByText('Its ends are near and far.').waitFor();
    yard.say('put ferry near');
    await card('ferry').locator('.mark.made').getByText('near').waitFor();
    const names = await card('ferry').getByLabel('Move, as its board calls it').all();
    expect(await Promise.all(names.map((name) => name.inputValue()))).toEqual(['out', 'back']);
    expect(await card('ferry').getByLabel('Home: where it begins and closes').inputValue()).toBe('near');
  });

  it('says what is missing, and makes no file of it', async () => {
    await page.getByRole('button', { name: 'Make the file' }).click();
    await page.getByText('Something above is missing').waitFor();
    await page.getByLabel('What is it called?').fill('Saltmarsh Landing');
    await page.getByLabel('Time zone').fill('Saltmarsh/Landing');
    await page.getByLabel('Latitude').fill('141');
    await page.getByLabel('Longitude').fill('-87.6');
    await page.getByRole('textbox', { name: 'Outlet 1' }).fill('Dock outlets');
    await page.getByRole('button', { name: 'Make the file' }).click();
    expect(page.url()).toContain('#/setup/first-file');
    await page.getByLabel('Time zone').fill('America/Chicago');
    await page.getByRole('button', { name: 'Make the file' }).click();
    expect(page.url()).toContain('#/setup/first-file');
    await page.getByLabel('Latitude').fill('41.9');
  });

  it('ends in the editor, which finds no mistake; nothing is saved before a person says so', async () => {
    // Its limit follows what is usual, until somebody sets it.
    const usual = card('ferry').getByLabel('Usually takes, s').first();
    await usual.fill('2');
    const limits = await card('ferry').getByLabel('A fault after, s').all();
    // The way back takes as long, until somebody says otherwise.
    expect(await Promise.all(limits.map((limit) => limit.inputValue()))).toEqual(['5', '5']);
    await card('bell').getByLabel('Move, as its board calls it').fill('toll');
    await card('bell').getByLabel('Lasts, s').fill('2');
    await page.getByRole('button', { name: 'Make the file' }).click();
    const box = page.getByLabel('my-yard.yaml');
    await box.waitFor();
    expect(await box.inputValue()).toContain('controller: "ferry-board"');
    expect(readFileSync(yard.path, 'utf8')).toBe(BEFORE);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText(/^No mistakes\./).waitFor();
    await page.getByText(/changes to the file that runs/).waitFor();
    expect(readFileSync(yard.path, 'utf8')).toBe(BEFORE);
  });

  it('once saved runs at once in the closed yard, and moves what it found', async () => {
    await page.getByRole('button', { name: 'Save it' }).click();
    await page.getByText(/^Saved\. This is the file that runs now\./).waitFor();
    await until(async () => {
      const { props } = await yard.picture();
      return props.ferry?.state === 'ready' && props.bell?.state === 'ready' && !props.post;
    }, 10_000);
    await until(async () => (await ask('/api/open', { for: '1 h', plan: false })).ok(), 10_000);
    await until(async () => (await yard.picture()).mode === 'open', 60_000);
    expect((await ask('/api/scenes/ferry/run')).ok()).toBe(true);
    await until(async () => (await yard.picture()).scenes.ferry.made === 1, 20_000);
    expect((await yard.picture()).props.ferry).toMatchObject({
      at: 'near',
      lockout: null,
      counts: { cycles: 1 },
    });
    // Nobody is left to be found.
    const { boards } = await (await page.request.get(`${yard.url}/api/strangers`)).json();
    expect(boards).toEqual([]);
  }, 120_000);
});

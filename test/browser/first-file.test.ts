import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { judge } from './axe.ts';
import { haveBrowser, LAPTOP, PHONE } from './chromium.ts';
import { isBuilt, OwnYard } from './own-yard.ts';
import { until } from './stage.ts';

/** Pictures of what was planned by hand, for whoever wants to look: a folder that is there, or unset for none. */
const PICTURES = process.env.FIRST_FILE_PICTURES;

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
    page.setDefaultTimeout(5_000);
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
    // In our own words at the field, where the browser's bubble would have told one thing at a time.
    await page
      .locator('label', { hasText: 'What is it called?' })
      .getByText('Nothing is written here')
      .waitFor();
    await page.getByLabel('What is it called?').fill('Saltmarsh Landing');
    await page.getByLabel('Time zone').fill('Saltmarsh/Landing');
    await page.getByLabel('Latitude').fill('141');
    await page.getByLabel('Longitude').fill('-87.6');
    await page.getByRole('textbox', { name: 'Outlet 1' }).fill('Dock outlets');
    await page.getByRole('button', { name: 'Make the file' }).click();
    expect(page.url()).toContain('#/setup/first-file');
    await page.getByText('There is no time zone Saltmarsh/Landing.').waitFor();
    // with the space that a phone's keyboard puts behind a word it has completed
    await page.getByLabel('Time zone').fill('America/Chicago ');
    await page.getByText('There is no time zone').waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'Make the file' }).click();
    expect(page.url()).toContain('#/setup/first-file');
    await page.getByText('It goes from -90 to 90.').waitFor();
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

/** Before a single board is there: a winter's evening in the garage. */
describe.skipIf(!haveBrowser || !isBuilt)('a first file, planned by hand', () => {
  let yard: OwnYard;
  let page: Page;
  beforeAll(async () => {
    yard = await OwnYard.start(BEFORE, false);
    page = await yard.keeper('#/setup/first-file');
    page.setDefaultTimeout(5_000);
  });
  afterAll(() => yard?.end());

  const card = (prop: string) => page.getByRole('region', { name: prop, exact: true });
  const make = () => page.getByRole('button', { name: 'Make the file' });
  const picture = async (name: string) => {
    if (!PICTURES) return;
    for (const [size, viewport] of [
      ['phone', PHONE],
      ['laptop', LAPTOP],
    ] as const) {
      await page.setViewportSize(viewport);
      await page.screenshot({ path: join(PICTURES, `${name}-${size}.png`) });
    }
    await page.setViewportSize(PHONE);
  };

  it('adds a carriage from the keyboard, and goes on in its first field', async () => {
    await page.getByText('No such board is heard yet.').waitFor();
    await page.getByRole('button', { name: 'Add a carriage with two ends' }).focus();
    await page.keyboard.press('Enter');
    await card('A prop without a name yet').waitFor();
    await page.keyboard.type('Ferry');
    await page.keyboard.press('Tab');
    await card('ferry').getByText('no board speaks for it yet').waitFor();
    expect(await card('ferry').getByLabel('Id of its board').inputValue()).toBe('ferry');
    const sensors = await card('ferry')
      .getByLabel(/^Sensor \d, id/)
      .all();
    expect(await Promise.all(sensors.map((sensor) => sensor.inputValue()))).toEqual(['near', 'far']);
    await card('ferry').getByLabel('Id of its board').fill('ferry-board');
    await card('ferry').getByLabel('Usually takes, s').first().fill('7.5');
    const limits = await card('ferry').getByLabel('A fault after, s').all();
    expect(await Promise.all(limits.map((limit) => limit.inputValue()))).toEqual(['13.5', '13.5']);
    await picture('carriage');
  });

  it('says at each field what can’t be, and loses nothing of it', async () => {
    await page.getByRole('button', { name: 'Add a figure without ends' }).click();
    await card('A prop without a name yet').getByLabel('What people call it').fill('Ferry');
    await page.keyboard.press('Tab');
    await card('ferry-2').getByLabel('Id of the prop').fill('Ferry Man!');
    await card('ferry').getByLabel('Sensor 2, id').fill('near');
    await page.keyboard.press('Tab');
    await card('ferry').getByText('Another of its sensors is called near already.').waitFor();
    await make().click();
    const figure = card('Ferry Man!');
    await figure.getByText('It takes small letters a to z, digits and hyphens.').first().waitFor();
    expect(await figure.getByLabel('Id of the prop').inputValue()).toBe('Ferry Man!');
    expect(await card('ferry').getByLabel('Sensor 2, id').inputValue()).toBe('near');
    await picture('wrong');
    // Once its twin is called otherwise the name is free, whichever of the two is mended.
    const sensor = (n: number) => card('ferry').getByLabel(`Sensor ${n}, id`);
    await sensor(1).fill('west');
    await page.keyboard.press('Tab');
    await card('ferry').getByText('Another of its sensors').waitFor({ state: 'detached' });
    await sensor(2).fill('far');
    await sensor(1).fill('near');
    await page.keyboard.press('Tab');
    // A name that another prop has: said where it stands, and gone with it.
    await figure.getByLabel('Id of the prop').fill('ferry');
    await card('ferry').getByLabel('Sensor 2, id').first().fill('far');
    await make().click();
    await page.getByText('Another prop has the id ferry already.').first().waitFor();
    expect(await page.evaluate('document.querySelector("yard-page") !== null')).toBe(true);
    await card('ferry').last().getByLabel('Id of the prop').fill('ferryman');
    await page.keyboard.press('Tab');
    await page.getByText('Another prop has the id').first().waitFor({ state: 'detached' });
    // A minus before its first digit is no number yet, and stays.
    await page.getByLabel('Longitude').fill('87.6');
    await page.getByLabel('Longitude').press('ControlOrMeta+a');
    await page.keyboard.type('-87.6');
    expect(await page.getByLabel('Longitude').inputValue()).toBe('-87.6');
  });

  it('is all within reach of a finger, and axe finds nothing', async () => {
    const small = await page.locator('first-file-screen').evaluate((screen) => {
      const deep = (root: ParentNode): Element[] =>
        [...root.querySelectorAll('*')].flatMap((one) => [
          one,
          ...(one.shadowRoot ? deep(one.shadowRoot) : []),
        ]);
      return deep(screen.shadowRoot!)
        .filter((one) => one.matches('button, .button, select, input:not([type=checkbox], [type=radio])'))
        .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height] as const)
        .filter(([, height]) => height < 48);
    });
    expect(small).toEqual([]);
    expect(await judge(page)).toEqual([]);
  }, 30_000);

  it('takes a prop out again', async () => {
    await page.getByRole('button', { name: 'Add a red button' }).click();
    await card('A prop without a name yet')
      .getByRole('button', { name: /^Remove/ })
      .click();
    await card('A prop without a name yet').waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'Add a red button' }).click();
    await card('A prop without a name yet').getByLabel('What people call it').fill('Gate button');
    await page.keyboard.press('Tab');
    await card('gate-button').waitFor();
  });

  it('ends in a file with no mistake', async () => {
    await page.getByLabel('What is it called?').fill('Saltmarsh Landing');
    await page.getByLabel('Latitude').fill('41.9');
    await page.getByRole('textbox', { name: 'Outlet 1' }).fill('Dock outlets');
    await make().click();
    const box = page.getByLabel('my-yard.yaml');
    await box.waitFor();
    const text = await box.inputValue();
    for (const part of ['controller: "ferry-board"', '"ferryman":', 'kind: stop-station', 'usual: 7.5 s'])
      expect(text).toContain(part);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText(/^No mistakes\./).waitFor();
    expect(readFileSync(yard.path, 'utf8')).toBe(BEFORE);
  });

  it('is met by the boards that are heard later, beside those that nobody planned', async () => {
    yard.playBoards(BOARDS);
    await page.goto(`${yard.url}/#/setup/first-file`);
    await card('ferry').getByText('Heard, on board ferry-board').waitFor({ timeout: 15_000 });
    await card('ferry').locator('.mark.made').getByText('near').waitFor();
    await card('bell').getByText('Heard, on board bell').waitFor();
    await card('ferryman').getByText('no board speaks for it yet').waitFor();
    expect(await card('ferry').getByLabel('Usually takes, s').first().inputValue()).toBe('7.5');
    await picture('met');
  });

  it('has its errors at the field in the other forms of set up too, and keeps what was typed', async () => {
    await page.goto(`${yard.url}/#/setup/people`);
    const add = page.locator('people-screen form').first();
    await add.getByLabel('Name').fill('Heron');
    await add.getByLabel('PIN').fill('12');
    await add.getByRole('button', { name: 'Add someone' }).click();
    await add.getByText('It takes 4 to 12 digits.').waitFor();
    expect(await add.getByLabel('Name').inputValue()).toBe('Heron');
    expect(await add.getByLabel('PIN').getAttribute('aria-invalid')).toBe('true');
    await add.getByLabel('PIN').fill('1234');
    await add.getByText('It takes').waitFor({ state: 'detached' });
    await add.getByRole('button', { name: 'Add someone' }).click();
    await page.locator('people-screen li').getByText('Heron').waitFor();
    await page.goto(`${yard.url}/#/setup/red-button`);
    await page.getByRole('button', { name: 'Write it down' }).click();
    expect(await page.getByText('Nothing is written here yet.').count()).toBe(3);
    await page.goto(`${yard.url}/#/setup/notices`);
    await page.getByLabel('Address').fill('yard computer');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('It takes a web address that begins with http://').waitFor();
  });
});

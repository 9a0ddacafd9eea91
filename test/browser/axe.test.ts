import { describe, expect, it } from 'vitest';
import type { Picture } from '../../server/picture.ts';
import { judge, judgeInEveryLight } from './axe.ts';
import { haveBrowser, LAPTOP } from './chromium.ts';
import { demonstration, fault, held, open, stopped, stoppedClear } from './hand-pictures.ts';
import { KEEPER, stage } from './stage.ts';

const SCENES: [string, () => Picture, string][] = [
  ['yard open', open, '#/yard'],
  ['yard with faults', fault, '#/yard'],
  ['yard stopped', stopped, '#/yard'],
  ['yard to be cleared', stoppedClear, '#/yard'],
  ['yard held', held, '#/yard'],
  ['demonstration', demonstration, '#/yard'],
  ['faults', fault, '#/faults'],
  ['prop locked out', fault, '#/prop/ferry'],
  ['prop on the bench', held, '#/prop/ferry'],
  ['tonight', open, '#/tonight'],
  ['nights', open, '#/nights'],
  ['a night gone through', open, '#/nights/2026-10-31/past'],
  ['the wall', fault, '#/wall'],
  ['the wall, stopped', stopped, '#/wall'],
  ['set up', open, '#/setup'],
  ['the file', open, '#/setup/file'],
  ['people', open, '#/setup/people'],
  ['the red button', open, '#/setup/red-button'],
  ['backup and restore', open, '#/setup/backup'],
  ['a first file', open, '#/setup/first-file'],
  ['notices', open, '#/setup/notices'],
  ['sign in', open, '#/sign-in'],
];

describe.skipIf(!haveBrowser)('axe finds nothing, by day, at dusk and in deep red', () => {
  const at = stage();

  it.each(SCENES)('%s', async (_name, picture, hash) => {
    const { page } = await at.show({ picture: picture(), hash, me: KEEPER });
    await judgeInEveryLight(page);
  });

  it('a file with mistakes, and one with changes', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    const text = await box.inputValue();
    await box.fill(text.replace('limit: 12 s', 'limit: 12'));
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.locator('.place').waitFor();
    await judgeInEveryLight(page);
    await box.fill(text.replace('limit: 12 s', 'limit: 14 s'));
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.locator('change-list').waitFor();
    await judgeInEveryLight(page);
  });

  it('a backup that was read', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/setup/backup', me: KEEPER });
    const file = { name: 'a.zip', mimeType: 'application/zip', buffer: Buffer.from('PK') };
    await page.getByLabel('Choose a backup').setInputFiles(file);
    await page.getByRole('button', { name: 'Restore this one' }).waitFor();
    await judgeInEveryLight(page);
  });

  it.each([
    ['the yard with tonight beside it', fault, '#/yard', 'yard-screen night-ruler'],
    ['a night gone through', open, '#/nights/2026-10-31/past', 'past-screen yard-screen'],
    ['the wall', fault, '#/wall', 'wall-screen .prop'],
    ['tonight', open, '#/tonight', 'night-ruler .planned'],
  ])('on a laptop: %s', async (_name, picture, hash, there) => {
    const { page } = await at.show({ picture: picture(), hash, me: KEEPER, options: { viewport: LAPTOP } });
    await page.locator(there).first().waitFor();
    await judgeInEveryLight(page);
  });

  it('without a link, on a laptop', async () => {
    const { page, fixture } = await at.show({
      picture: fault(),
      me: KEEPER,
      options: { viewport: LAPTOP },
    });
    fixture.cut();
    await page.waitForSelector('html[data-link=lost]');
    await judgeInEveryLight(page);
  });

  it('signed out', async () => {
    const { page } = await at.show({ picture: fault() });
    await judgeInEveryLight(page);
  });
});

describe.skipIf(!haveBrowser)('axe', () => {
  const at = stage();

  it('finds nothing before any script', async () => {
    const fixture = await at.desk(open());
    fixture.script = false;
    const page = await at.page(fixture, { live: false });
    expect(await judge(page)).toEqual([]);
  });

  it('would see a mistake: a grey too faint is found', async () => {
    const { page } = await at.show({ picture: open(), light: 'day' });
    await page.evaluate(() => document.documentElement.style.setProperty('--soft', '#b0b4b6'));
    expect((await judge(page)).some((found) => found.startsWith('color-contrast'))).toBe(true);
  });
});

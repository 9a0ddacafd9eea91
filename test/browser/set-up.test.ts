import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import { demonstration, open, stopped } from './hand-pictures.ts';
import { HELPER, KEEPER, stage, until } from './stage.ts';

const SAID = {
  where: 'On the post at the gate',
  cuts: 'Motor power and air',
  testedBy: 'Wren',
  testedOn: '2026-10-30',
};

describe.skipIf(!haveBrowser)('the yard file', () => {
  const at = stage();

  it('shows its mistakes in their places, and goes there', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    await box.waitFor();
    const text = (await box.inputValue()).replace('limit: 12 s', 'limit: 12');
    await box.fill(text);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText('1 mistake. Not saved.').waitFor();
    const place = page.locator('.place');
    const [shown, mark] = (await place.textContent())!.split('\n');
    expect(shown!.slice(mark!.indexOf('^'))).toMatch(/^12\b/);
    // The rest is reviewed all the same, without the ferry.
    await page.getByText('Review of circuits, air and duty, as far as it can be read').waitFor();
    await page.getByText(/^Not in these sums, for its mistakes: Ferry, /).waitFor();
    await page.getByRole('button', { name: /^Go to line \d+$/ }).click();
    const where = await box.evaluate((area: HTMLTextAreaElement) => area.value.slice(area.selectionStart));
    expect(where).toMatch(/^12\b/);
    expect(fixture.heard.filter(({ method }) => method === 'PUT')).toEqual([]);
    // What was found is of that text: it goes once the text is another.
    await box.fill(`${text} `);
    await until(async () => (await place.count()) === 0);
  });

  it('brings the first mistake into sight above the stop bar, and says at the button where it is', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    const lines = (await box.inputValue()).split('\n');
    const wrong = lines.map((line) => line.replace(/limit: (\d+) s/, 'limit: $1'));
    const places = wrong.flatMap((line, n) => (line === lines[n] ? [] : [n + 1]));
    expect(places.length).toBeGreaterThan(1);
    const status = page.locator('file-screen [role=status]');
    await box.fill(wrong.join('\n'));
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await status.getByText(`${places.length} mistakes, first in line ${places[0]}.`).waitFor();
    const inSight = async () => {
      const bar = (await page.locator('stop-bar').boundingBox())!;
      const first = (await page.locator('.found > li').first().boundingBox())!;
      const strip = (await page.locator('top-strip').boundingBox())!;
      return first.y >= strip.y + strip.height - 1 && first.y + first.height <= bar.y + 1;
    };
    await until(inSight);
    // Again, from the top: the same text is looked at anew.
    await page.getByRole('main').evaluate((main) => main.scrollTo(0, 0));
    expect(await inSight()).toBe(false);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await until(inSight);
    await box.fill(lines.join('\n'));
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await status.getByText(/^No mistakes\./).waitFor();
  });

  it('shows what changes and from when before it can be saved, and says whether it runs', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    const save = page.getByRole('button', { name: 'Save it' });
    await page.getByText('This is the file that runs now.').waitFor();
    const text = (await box.inputValue()).replace('limit: 12 s', 'limit: 14 s');
    await box.fill(text);
    expect(await save.count()).toBe(0);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText('1 change to the file that runs').waitFor();
    const change = page.locator('change-list li');
    await change.getByText('props › ferry › moves › out › limit').waitFor();
    expect(await change.locator('.text').textContent()).toMatch(/12 s.*14 s/s);
    await change.getByText('Once Ferry is at rest.').waitFor();
    fixture.waits = { when: 'rest', props: ['ferry'], scenes: [] };
    await save.click();
    await page.getByText(/^Saved\. It does not run yet: it waits until these are at rest: Ferry\./).waitFor();
    expect(fixture.heard.at(-1)).toMatchObject({ method: 'PUT', body: { base: 'hash-0', text } });
    // Of another text nothing is known until it is checked.
    await box.fill(`${text}# more\n`);
    await until(async () => (await save.count()) === 0);
  });

  it('tells a refusal, and keeps what was typed', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    await box.fill(`${await box.inputValue()}# mine\n`);
    await page.getByRole('button', { name: 'Check', exact: true }).click();
    await page.getByText('Nothing that the yard goes by changes').waitFor();
    fixture.refuse = { status: 409, detail: 'The file on the disk was changed meanwhile.', sentences: [] };
    await page.getByRole('button', { name: 'Save it' }).click();
    await page.getByRole('alert').getByText('changed meanwhile').waitFor();
    expect(await box.inputValue()).toContain('# mine');
  });

  it('keeps what was typed while one looks at the yard, until it is thrown away', async () => {
    const { page } = await at.show({ picture: open(), hash: '#/setup/file', me: KEEPER });
    const box = page.getByLabel('saltmarsh.yaml');
    await box.fill(`${await box.inputValue()}# mine\n`);
    await page.getByRole('link', { name: 'Yard', exact: true }).click();
    await page.locator('mode-card').waitFor();
    await page.goBack();
    await box.waitFor();
    expect(await box.inputValue()).toContain('# mine');
    await page.getByRole('button', { name: 'Throw my changes away' }).click();
    await until(async () => !(await box.inputValue()).includes('# mine'));
  });

  it('is for keepers, and can be taken along as a copy in the demonstration', async () => {
    const helper = await at.show({ picture: open(), hash: '#/setup/file', me: HELPER });
    await helper.page.getByText('Only a keeper sees the file').waitFor();
    expect(await helper.page.locator('textarea').count()).toBe(0);
    const fixture = await at.desk(demonstration(), KEEPER);
    fixture.editable = false;
    const page = await at.page(fixture, { hash: '#/setup/file' });
    const coming = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Take a copy' }).click();
    // by the name that the words beside it start, not by the demonstration's own
    expect((await coming).suggestedFilename()).toBe('my-yard.yaml');
    await page.getByText('npx dusklatch serve my-yard.yaml').waitFor();
    expect(await page.getByRole('button', { name: /Save/ }).count()).toBe(0);
  });
});

describe.skipIf(!haveBrowser)('people and PINs', () => {
  const at = stage();

  it('adds, and removes only when asked twice', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/people', me: KEEPER });
    await page.getByLabel('Name').fill('Heron');
    await page.locator('input[name=pin]').first().fill('135791');
    await page.getByRole('button', { name: 'Add someone' }).click();
    await page.locator('people-screen li').getByText('Heron').waitFor();
    expect(fixture.heard.at(-1)!.body).toEqual({ name: 'Heron', role: 'helper', pin: '135791' });
    expect(await page.locator('input[name=pin]').first().inputValue()).toBe('');
    await page.getByRole('button', { name: 'Remove Heron' }).click();
    expect(fixture.heard.filter(({ method }) => method === 'DELETE')).toEqual([]);
    await page.getByRole('button', { name: 'Press again to remove Heron' }).click();
    await until(async () => (await page.locator('people-screen li').count()) === 1);
  });

  it('lets a helper change their own PIN and see no list', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/people', me: HELPER });
    await page.locator('input[name=pin]').fill('24681012');
    await page.getByRole('button', { name: 'Change it' }).click();
    await page.getByText('Changed.').waitFor();
    expect(fixture.heard.at(-1)).toMatchObject({ method: 'PUT', path: '/api/people/Heron/pin' });
    expect(await page.locator('people-screen li').count()).toBe(0);
  });
});

describe.skipIf(!haveBrowser)('the red button’s record', () => {
  const at = stage();

  it('is asked of a keeper until it is written down, and then shown', async () => {
    const { page, fixture } = await at.show({ picture: open(), me: KEEPER });
    await page.getByRole('link', { name: 'Say where it is' }).click();
    await page.getByLabel('Where is it?').fill(SAID.where);
    await page.getByLabel('What does it cut?').fill(SAID.cuts);
    await page.getByLabel('Who tested it last?').fill(SAID.testedBy);
    expect(await page.getByLabel('When?').inputValue()).toBe('2026-10-31');
    await page.getByLabel('When?').fill(SAID.testedOn);
    await page.getByRole('button', { name: 'Write it down' }).click();
    await until(() => fixture.redButton !== null);
    expect(fixture.redButton).toMatchObject(SAID);
    await page.getByRole('link', { name: 'Back to set up' }).click();
    await page.getByText('Tested by Wren on Fri 30 October 2026').waitFor();
    await page.getByRole('link', { name: 'Yard', exact: true }).click();
    await until(async () => (await page.getByRole('link', { name: 'Say where it is' }).count()) === 0);
  });

  it('stands on the stop screen, for everyone', async () => {
    const fixture = await at.desk(stopped());
    fixture.redButton = { ...SAID, saidBy: 'Wren', saidAt: 0 };
    const page = await at.page(fixture);
    const card = page.locator('stopped-card');
    await card.getByText('Where: On the post at the gate').waitFor();
    await card.getByText('Cuts: Motor power and air').waitFor();
  });

  it('is not asked in the demonstration, nor of a helper', async () => {
    for (const [picture, me] of [
      [demonstration(), KEEPER],
      [open(), HELPER],
    ] as const) {
      const { page } = await at.show({ picture, me });
      await page.locator('mode-card').waitFor();
      expect(await page.getByRole('link', { name: 'Say where it is' }).count()).toBe(0);
    }
  });
});

describe.skipIf(!haveBrowser)('backup and restore', () => {
  const at = stage();

  it('restores only when asked twice, after telling what is in it', async () => {
    const { page, fixture } = await at.show({
      picture: { ...open(), mode: 'closed' },
      hash: '#/setup',
      me: KEEPER,
    });
    await page.getByRole('link', { name: 'Backup and restore' }).click();
    const file = { name: 'a.zip', mimeType: 'application/zip', buffer: Buffer.from('PK') };
    await page.getByLabel('Choose a backup').setInputFiles(file);
    await page.getByText('As it was on Fri 30 October 2026, ').waitFor();
    await page.getByText('3 nights, 2 people.').waitFor();
    expect(fixture.heard.at(-1)).toMatchObject({ path: '/api/restore/check', type: 'application/zip' });
    await page.getByRole('button', { name: 'Restore this one' }).click();
    expect(fixture.heard.filter(({ path }) => path === '/api/restore')).toEqual([]);
    await page.getByRole('button', { name: 'Press again: replace what is here' }).click();
    await page.getByText('backups/before-restore-2026.zip').waitFor();
  });

  it('says why not in its place, and is for keepers', async () => {
    const { page, fixture } = await at.show({ picture: open(), hash: '#/setup/backup', me: KEEPER });
    fixture.refuse = { status: 422, detail: 'This is no whole zip file.', sentences: [] };
    const file = { name: 'a.zip', mimeType: 'application/zip', buffer: Buffer.from('no') };
    await page.getByLabel('Choose a backup').setInputFiles(file);
    await page.locator('backup-screen [role=alert]').getByText('no whole zip').waitFor();
    const helper = await at.show({ picture: open(), hash: '#/setup/backup', me: HELPER });
    await helper.page.getByText('A keeper takes and restores backups.').waitFor();
    expect(await helper.page.getByRole('button', { name: /backup/ }).count()).toBe(0);
  });
});

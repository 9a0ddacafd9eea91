import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { BackupRefused } from '../../server/backup/refused.ts';
import { LAPTOP, launch, PHONE } from './chromium.ts';
import { Fixture } from './fixture.ts';
import { at, EVENING, fault, recorded, STATES, type StateName } from './hand-pictures.ts';

interface Shot {
  name: string;
  state: StateName;
  hash: string;
  light?: 'day' | 'dusk' | 'red';
  signedIn?: boolean;
  act?: (page: Page, fixture: Fixture) => Promise<void>;
}

const lose = async (page: Page, fixture: Fixture) => {
  fixture.cut();
  await page.waitForSelector('html[data-link=lost]');
  await page.waitForTimeout(1200);
};

const pastAt = (clock: string) => `#/nights/2026-10-31/past/${at(clock)}`;
const pastShown = async (page: Page) => {
  await page.locator('past-screen yard-screen').waitFor();
  await page.waitForTimeout(200);
};

const SHOTS: Shot[] = [
  { name: 'yard-open-day', state: 'open', hash: '#/yard', light: 'day' },
  { name: 'yard-open-dusk', state: 'open', hash: '#/yard' },
  { name: 'yard-open-red', state: 'open', hash: '#/yard', light: 'red' },
  { name: 'yard-fault', state: 'fault', hash: '#/yard' },
  { name: 'yard-fault-day', state: 'fault', hash: '#/yard', light: 'day' },
  { name: 'yard-fault-red', state: 'fault', hash: '#/yard', light: 'red' },
  { name: 'yard-stopped', state: 'stopped', hash: '#/yard' },
  { name: 'yard-stopped-clear', state: 'stoppedClear', hash: '#/yard', light: 'day' },
  { name: 'yard-signed-out', state: 'held', hash: '#/yard', signedIn: false },
  { name: 'yard-held', state: 'held', hash: '#/yard', light: 'day' },
  { name: 'yard-demo', state: 'demonstration', hash: '#/yard', light: 'day' },
  {
    name: 'yard-demo-locked',
    state: 'fault',
    hash: '#/yard',
    act: async (page, fixture) => {
      fixture.demo = { ...fixture.demo, faults: [{ prop: 'ferry', fault: 'jam' }] };
      fixture.change({ yard: { ...fixture.picture.yard, demonstration: true } });
      await page.getByRole('link', { name: 'Read why' }).waitFor();
    },
  },
  { name: 'yard-bus-lost', state: 'busLost', hash: '#/yard' },
  { name: 'yard-300', state: 'many', hash: '#/yard' },
  { name: 'yard-lost', state: 'fault', hash: '#/yard', act: lose },
  { name: 'yard-lost-day', state: 'open', hash: '#/yard', light: 'day', act: lose },
  { name: 'faults', state: 'fault', hash: '#/faults' },
  { name: 'faults-none', state: 'open', hash: '#/faults', light: 'day' },
  { name: 'prop', state: 'fault', hash: '#/prop/ferry' },
  {
    name: 'prop-travels',
    state: 'open',
    hash: '#/prop/ferry',
    act: async (page) => {
      await page.locator('travel-chart').first().scrollIntoViewIfNeeded();
      await page.waitForTimeout(200);
    },
  },
  { name: 'prop-bench', state: 'held', hash: '#/prop/ferry', light: 'day' },
  { name: 'tonight', state: 'open', hash: '#/tonight' },
  {
    name: 'tonight-night',
    state: 'open',
    hash: '#/tonight',
    light: 'day',
    act: async (page) => {
      await page.getByRole('button', { name: 'Night', exact: true }).click();
      await page.waitForTimeout(300);
    },
  },
  {
    name: 'tonight-charts',
    state: 'open',
    hash: '#/tonight',
    act: async (page) => {
      await page.locator('curve-chart canvas').first().scrollIntoViewIfNeeded();
      await page.waitForTimeout(300);
    },
  },
  {
    name: 'tonight-list',
    state: 'open',
    hash: '#/tonight',
    act: (page) => page.getByRole('button', { name: 'List' }).click(),
  },
  {
    name: 'tonight-spread',
    state: 'open',
    hash: '#/tonight',
    act: async (page) => {
      const box = (await page.locator('night-ruler .ruler').boundingBox())!;
      await page.mouse.move(box.x + box.width / 2, box.y + 60);
      await page.keyboard.down('Control');
      await page.mouse.wheel(0, 70);
      await page.keyboard.up('Control');
      await page.waitForTimeout(300);
    },
  },
  { name: 'nights', state: 'open', hash: '#/nights' },
  {
    name: 'nights-by-hand',
    state: 'open',
    hash: '#/nights',
    light: 'day',
    act: async (page, fixture) => {
      const [first] = fixture.nights;
      fixture.nights = [{ night: '2026-11-01-hand', plannedAt: null, runs: 0, openedAt: EVENING }, first!];
      await page.goto('about:blank');
      await page.goto(`${fixture.url}/#/nights`);
      await page.getByText('by hand, nothing planned').waitFor();
    },
  },
  { name: 'past', state: 'held', hash: pastAt('21:12:20'), act: pastShown },
  { name: 'past-fault', state: 'open', hash: pastAt('21:14:05'), act: pastShown },
  { name: 'past-fault-day', state: 'open', hash: pastAt('21:14:05'), light: 'day', act: pastShown },
  { name: 'past-stopped-red', state: 'held', hash: pastAt('21:41:00'), light: 'red', act: pastShown },
  {
    name: 'past-scrolled',
    state: 'open',
    hash: pastAt('21:14:05'),
    act: async (page) => {
      await pastShown(page);
      await page.locator('past-screen zone-group').first().scrollIntoViewIfNeeded();
      await page.waitForTimeout(200);
    },
  },
  {
    name: 'past-settings',
    state: 'open',
    hash: pastAt('21:14:05'),
    light: 'day',
    act: async (page) => {
      await pastShown(page);
      await page.locator('past-slider summary').click();
      await page.getByRole('button', { name: '10 min' }).click();
    },
  },
  {
    name: 'past-none',
    state: 'open',
    hash: pastAt('21:14:05'),
    light: 'day',
    act: async (page, fixture) => {
      await pastShown(page);
      fixture.past = () => null;
      await page.getByRole('button', { name: 'On by 10 s' }).click();
      await page.getByRole('alert').getByText('Nothing is kept').waitFor();
    },
  },
  {
    name: 'past-lost',
    state: 'open',
    hash: pastAt('21:14:05'),
    act: async (page, fixture) => {
      await pastShown(page);
      await lose(page, fixture);
    },
  },
  { name: 'wall', state: 'open', hash: '#/wall' },
  { name: 'wall-fault', state: 'fault', hash: '#/wall', light: 'day' },
  { name: 'wall-stopped', state: 'stopped', hash: '#/wall' },
  { name: 'wall-300', state: 'many', hash: '#/wall' },
  { name: 'wall-lost', state: 'fault', hash: '#/wall', act: lose },
  {
    name: 'prop-story',
    state: 'open',
    hash: '#/prop/ferry',
    light: 'day',
    act: async (page, fixture) => {
      const line = fixture.record.find(({ prop }) => prop === 'ferry')!;
      const back = (n: number) => ({ ...line, n: line.n - n, at: line.at - n * 4_000_000 });
      fixture.record = [...Array.from({ length: 60 }, (_, n) => back(60 - n)), line];
      await page.goto('about:blank');
      await page.goto(`${fixture.url}/#/prop/ferry`);
      await page.getByRole('button', { name: 'Further back' }).scrollIntoViewIfNeeded();
    },
  },
  {
    name: 'set-up-file',
    state: 'open',
    hash: '#/setup/file',
    act: async (page) => {
      const box = page.locator('textarea');
      await box.fill((await box.inputValue()).replace('limit: 12 s', 'limit: 12'));
      await page.getByRole('button', { name: 'Check', exact: true }).click();
      await page.locator('.place').scrollIntoViewIfNeeded();
    },
  },
  {
    name: 'set-up-file-changes',
    state: 'open',
    hash: '#/setup/file',
    light: 'day',
    act: async (page, fixture) => {
      fixture.waits = { when: 'rest', props: ['ferry'], scenes: [] };
      const box = page.locator('textarea');
      await box.fill(
        (await box.inputValue())
          .replace('limit: 12 s', 'limit: 14 s')
          .replace('every: 6 min', 'every: 8 min'),
      );
      await page.getByRole('button', { name: 'Check', exact: true }).click();
      await page.locator('change-list').scrollIntoViewIfNeeded();
    },
  },
  {
    name: 'set-up-file-waits',
    state: 'open',
    hash: '#/setup/file',
    act: async (page, fixture) => {
      fixture.waits = { when: 'rest', props: ['ferry'], scenes: [] };
      const box = page.locator('textarea');
      await box.fill((await box.inputValue()).replace('limit: 12 s', 'limit: 14 s'));
      await page.getByRole('button', { name: 'Check', exact: true }).click();
      await page.getByRole('button', { name: 'Save it' }).click();
      await page.getByText('It does not run yet').first().waitFor();
    },
  },
  {
    name: 'set-up-backup',
    state: 'open',
    hash: '#/setup/backup',
    act: async (page, fixture) => {
      fixture.change({ mode: 'closed' });
      const file = { name: 'a.zip', mimeType: 'application/zip', buffer: Buffer.from('PK') };
      await page.getByLabel('Choose a backup').setInputFiles(file);
      await page.getByRole('button', { name: 'Restore this one' }).click();
    },
  },
  {
    name: 'set-up-backup-refused',
    state: 'open',
    hash: '#/setup/backup',
    light: 'day',
    act: async (page, fixture) => {
      const detail = new BackupRefused('wrong-sum', 'record.db').message;
      fixture.refuse = { status: 422, detail, sentences: [] };
      const file = { name: 'a.zip', mimeType: 'application/zip', buffer: Buffer.from('PK') };
      await page.getByLabel('Choose a backup').setInputFiles(file);
      await page.getByText('Nothing was changed.').waitFor();
    },
  },
  { name: 'set-up-first-file', state: 'held', hash: '#/setup/first-file', light: 'day' },
  {
    name: 'set-up-first-file-props',
    state: 'held',
    hash: '#/setup/first-file',
    act: async (page, fixture) => {
      const [board, gate] = fixture.strangers;
      const sensors = [
        { id: 'near', made: false },
        { id: 'far', made: true },
      ];
      fixture.strangers = [{ ...board!, props: [{ id: 'heron', sensors }] }, gate!];
      await page.getByText('Its ends are near and far.').waitFor();
      await page.getByText('Boards that are heard and are in no yard file').scrollIntoViewIfNeeded();
      await page.evaluate(() => {
        const root = document.querySelector('yard-page')!.shadowRoot!;
        const screen = root.querySelector('set-up-part')!.shadowRoot!.querySelector('first-file-screen')!;
        screen.shadowRoot!.querySelector('first-prop')!.scrollIntoView();
      });
    },
  },
  {
    name: 'set-up-notices',
    state: 'open',
    hash: '#/setup/notices',
    act: async (page, fixture) => {
      await page.getByLabel('Address').fill('http://192.168.8.20:8080/yard');
      await page.getByRole('button', { name: 'Save' }).click();
      await page.getByRole('button', { name: 'Send a trial' }).click();
      await page.locator('notices-screen li').getByText('a trial').waitFor();
      fixture.refuse = {
        status: 409,
        detail: 'The trial did not get through: nothing listens at 192.168.8.20:8080.',
        sentences: [],
      };
      await page.getByRole('button', { name: 'Send a trial' }).click();
      await page.locator('notices-screen li').nth(1).waitFor();
    },
  },
  { name: 'set-up-people', state: 'open', hash: '#/setup/people', light: 'day' },
  { name: 'set-up-red-button', state: 'open', hash: '#/setup/red-button' },
  { name: 'sign-in', state: 'held', hash: '#/sign-in', signedIn: false },
  { name: 'set-up', state: 'demonstration', hash: '#/setup', light: 'day' },
];

/** Writes a picture of every state, phone and laptop, into `folder`; those whose name contains `only`. */
export async function takePictures(folder: string, only = ''): Promise<void> {
  mkdirSync(folder, { recursive: true });
  const browser = await launch();
  try {
    for (const shot of SHOTS.filter(({ name }) => name.includes(only))) {
      for (const [size, viewport] of Object.entries({ phone: PHONE, laptop: LAPTOP })) {
        await take(browser, shot, viewport, join(folder, `${shot.name}-${size}.png`));
      }
    }
  } finally {
    await browser.close();
  }
}

async function take(browser: Browser, shot: Shot, viewport: typeof PHONE, path: string): Promise<void> {
  const fixture = await Fixture.start(STATES[shot.state]());
  fixture.me = shot.signedIn === false ? null : { name: 'Wren', role: 'keeper' };
  fixture.record = [
    {
      n: 4010,
      at: EVENING - 3_900_000,
      code: 'lockout-released',
      text: recorded({ reason: { code: 'lockout-released', by: 'Wren', fault: 'chatter' }, prop: 'gull' }),
      prop: 'gull',
      scene: null,
      run: null,
    },
    {
      n: 4012,
      at: fault().props.ferry!.lockout!.since,
      code: 'lockout-raised',
      text: fault().props.ferry!.lockout!.text,
      prop: 'ferry',
      scene: null,
      run: null,
    },
  ];
  const context = await browser.newContext({ viewport, timezoneId: 'America/Chicago' });
  try {
    const page = await context.newPage();
    await page.addInitScript((light) => localStorage.setItem('light', light), shot.light ?? 'auto');
    await page.goto(`${fixture.url}/${shot.hash}`);
    await page.waitForSelector('html[data-link=live]');
    await page.waitForTimeout(400);
    await shot.act?.(page, fixture);
    await page.screenshot({ path });
  } finally {
    await context.close();
    await fixture.stop();
  }
}

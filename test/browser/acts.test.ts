import { describe, expect, it } from 'vitest';
import { haveBrowser } from './chromium.ts';
import type { Fixture } from './fixture.ts';
import { demonstration, fault, held, open, stopped, stoppedClear } from './hand-pictures.ts';
import { HELPER, KEEPER, stage, until } from './stage.ts';

const calls = (fixture: Fixture, path: string) => fixture.heard.filter((call) => call.path === path);
const pause = (ms: number) => new Promise((later) => setTimeout(later, ms));

describe.skipIf(!haveBrowser)('what people may do', () => {
  const at = stage();

  it('signs in on its own keys, without the phone’s keyboard, and goes back', async () => {
    const { page, fixture } = await at.show({ picture: held(), hash: '#/faults' });
    await page.evaluate(() => {
      location.hash = '#/yard';
    });
    await page.getByRole('link', { name: 'Sign in to act' }).click();
    expect(await page.locator('#pin').getAttribute('inputmode')).toBe('none');
    for (const digit of '4243') await page.getByRole('button', { name: digit, exact: true }).click();
    await page.getByRole('button', { name: 'Erase' }).click();
    await page.getByRole('button', { name: '2', exact: true }).click();
    await page.getByRole('button', { name: 'Sign in', exact: true }).click();
    await page.getByRole('button', { name: 'Open' }).waitFor();
    expect(calls(fixture, '/api/session')[0]!.body).toEqual({ pin: '4242' });
    expect(new URL(page.url()).hash).toBe('#/yard');
  });

  it('says what a wrong PIN gets, and lets a real keyboard type', async () => {
    const { page } = await at.show({ picture: held(), hash: '#/sign-in' });
    await page.locator('#pin').pressSequentially('11x11');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').getByText('That PIN is not right.').waitFor();
  });

  it('clears on letting go of a held press, never on a tap or after sliding off', async () => {
    const { page, fixture } = await at.show({ picture: stoppedClear(), me: KEEPER });
    const clear = page.locator('stopped-card hold-button button');
    expect(await clear.textContent()).toMatch('Hold to clear the stop');
    await clear.click();
    const box = (await clear.boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await pause(950);
    await page.mouse.move(x, box.y - 40);
    await page.mouse.up();
    await pause(300);
    expect(fixture.heard).toEqual([]);
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.getByRole('button', { name: 'Let go now' }).waitFor();
    expect(fixture.heard).toEqual([]);
    await page.mouse.up();
    await until(() => calls(fixture, '/api/stop/clear').length === 1);
  });

  it('says at once after a short tap that it must be held, for eyes and for ears', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER, hash: '#/prop/ferry' });
    const hold = page.locator('hold-button');
    expect(await hold.getByRole('button').textContent()).toMatch('Hold to release');
    await hold.getByRole('button').click();
    // Without waiting: it stands there by the next frame.
    await page.evaluate(() => new Promise(requestAnimationFrame));
    expect(await hold.getByRole('button').textContent()).toMatch('Too short. Keep holding');
    expect(await hold.getByRole('status').textContent()).toBe('Too short. Keep holding');
    await page.getByRole('button', { name: 'Hold to release' }).waitFor();
    expect(await hold.getByRole('status').textContent()).toBe('');
    expect(fixture.heard).toEqual([]);
  });

  it('clears by what was seen when the press began, so that newer trouble refuses it', async () => {
    const { page, fixture } = await at.show({ picture: stoppedClear(), me: KEEPER });
    const seen = fixture.picture.seq;
    await page.getByRole('button', { name: 'Hold to clear the stop' }).hover();
    await page.mouse.down();
    await pause(400);
    fixture.change({ notes: ['Something newer.'] });
    await pause(600);
    await page.mouse.up();
    await until(() => calls(fixture, '/api/stop/clear').length === 1);
    expect(fixture.picture.seq).toBe(seen + 1);
    expect(calls(fixture, '/api/stop/clear')[0]!.body.seq).toBe(seen);
  });

  it('offers no clear while something bars it, and lists what does, in order', async () => {
    const { page } = await at.show({ picture: stopped(), me: KEEPER });
    expect(await page.getByRole('button', { name: 'Hold to clear the stop' }).isDisabled()).toBe(true);
    const bars = await page.locator('stopped-card ol li').allTextContents();
    expect(bars).toEqual(stopped().stop.bars);
    expect(await page.locator('stopped-card .silent').textContent()).toMatch(
      /Fog bank: last heard \d+ s ago/,
    );
  });

  it('lets no helper clear or release', async () => {
    const { page } = await at.show({ picture: stoppedClear(), me: HELPER });
    expect(await page.getByRole('button', { name: 'Hold to clear the stop' }).isDisabled()).toBe(true);
    await page.getByText('Only a keeper clears a stop.').waitFor();
  });

  it('holds by the keyboard as by a finger', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER, hash: '#/prop/ferry' });
    await page.getByRole('button', { name: 'Hold to release' }).focus();
    await page.keyboard.press('Enter');
    await pause(200);
    expect(fixture.heard).toEqual([]);
    await page.keyboard.down(' ');
    await pause(950);
    await page.keyboard.up(' ');
    await until(() => calls(fixture, '/api/props/ferry/release').length === 1);
    await pause(200);
    expect(fixture.heard).toHaveLength(1);
  });

  it('asks a screen reader, which can not hold, to press twice', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER, hash: '#/prop/ferry' });
    const click = () => page.locator('hold-button button').evaluate((button: HTMLElement) => button.click());
    await click();
    await page.getByRole('button', { name: 'Press once more to do it' }).waitFor();
    expect(fixture.heard).toEqual([]);
    await click();
    await until(() => calls(fixture, '/api/props/ferry/release').length === 1);
  });

  it('acknowledges, and offers no release while the cause stands', async () => {
    const { page, fixture } = await at.show({ picture: fault(), me: KEEPER, hash: '#/faults' });
    expect(
      await page
        .locator('trouble-card', { hasText: "Diver's helmet" })
        .getByRole('button', { name: 'Hold to release' })
        .isDisabled(),
    ).toBe(true);
    await page.getByRole('button', { name: 'Acknowledge' }).click();
    await until(() => calls(fixture, '/api/props/ferry/acknowledge').length === 1);
  });

  it('takes a prop out of service with the reason given', async () => {
    const { page, fixture } = await at.show({ picture: held(), me: HELPER, hash: '#/prop/gull' });
    await page.getByRole('textbox', { name: 'Another reason' }).fill('Wing loose');
    await page.getByRole('button', { name: 'Take out of service' }).click();
    await until(() => calls(fixture, '/api/props/gull/lockout').length === 1);
    expect(calls(fixture, '/api/props/gull/lockout')[0]!.body.why).toBe('Wing loose');
  });

  it('benches while pressed and no longer', async () => {
    const { page, fixture } = await at.show({ picture: held(), me: KEEPER, hash: '#/prop/ferry' });
    const path = '/api/props/ferry/bench';
    await page.getByRole('button', { name: 'Hold: out' }).hover();
    await page.mouse.down();
    await pause(1050);
    await page.mouse.up();
    await until(() => calls(fixture, path).some(({ body }) => body.up === true));
    const pressed = calls(fixture, path).filter(({ body }) => body.up !== true);
    expect(pressed.length).toBeGreaterThanOrEqual(8);
    expect(new Set(calls(fixture, path).map(({ body }) => body.press)).size).toBe(1);
    const count = fixture.heard.length;
    await pause(400);
    expect(fixture.heard).toHaveLength(count);
  });

  it.each([
    ['the page is hidden', () => document.dispatchEvent(new Event('visibilitychange'))],
    ['the window loses its focus', () => window.dispatchEvent(new Event('blur'))],
    ['another screen is opened', () => location.assign('#/yard')],
  ])('ends a bench move when %s', async (what, happen) => {
    const { page, fixture } = await at.show({ picture: held(), me: KEEPER, hash: '#/prop/ferry' });
    await page.getByRole('button', { name: 'Hold: out' }).hover();
    await page.mouse.down();
    await until(() => fixture.heard.length >= 2);
    if (what === 'the page is hidden') {
      await page.evaluate(() =>
        Object.defineProperty(document, 'hidden', { value: true, configurable: true }),
      );
    }
    await page.evaluate(`(${happen})()`);
    await until(() => fixture.heard.some(({ body }) => body.up === true));
    const count = fixture.heard.length;
    await pause(400);
    expect(fixture.heard).toHaveLength(count);
  });

  it('ends a bench move when it is refused, and says why', async () => {
    const { page, fixture } = await at.show({ picture: held(), me: KEEPER, hash: '#/prop/ferry' });
    fixture.refuse = { status: 409, detail: 'Ferryman is not at rest.', sentences: [] };
    await page.getByRole('button', { name: 'Hold: out' }).hover();
    await page.mouse.down();
    await page.getByText('Ferryman is not at rest.').waitFor();
    await page.mouse.up();
  });

  it('benches only in a closed or held yard', async () => {
    const { page } = await at.show({ picture: open(), me: KEEPER, hash: '#/prop/gull' });
    for (const button of await page.locator('bench-panel button').all())
      expect(await button.isDisabled()).toBe(true);
  });

  it('tells every reason of a refusal in order', async () => {
    const { page, fixture } = await at.show({ picture: held(), me: KEEPER });
    fixture.refuse = {
      status: 409,
      detail: 'Two.',
      sentences: ['The gate button is in.', 'Fog bank is silent.'],
    };
    await page.getByRole('button', { name: 'Open' }).click();
    const alert = page.getByRole('alert');
    await alert.getByText('Fog bank is silent.').waitFor();
    expect(await alert.locator('li').allTextContents()).toEqual(fixture.refuse.sentences);
  });

  it('opens outside a night’s hours for the time a person says', async () => {
    const picture = held();
    picture.night = null;
    const { page, fixture } = await at.show({ picture, me: HELPER });
    await page.locator('#hours').selectOption('2');
    await page.getByRole('button', { name: 'Open' }).click();
    await until(() => calls(fixture, '/api/open').length === 1);
    expect(calls(fixture, '/api/open')[0]!.body).toMatchObject({ for: '2 h' });
  });

  it('lets a newcomer jam the ferry in the demonstration, and only there', async () => {
    const { page, fixture } = await at.show({ picture: demonstration() });
    await page.getByRole('button', { name: 'Jam the ferry' }).click();
    await page.getByRole('button', { name: 'Free the ferry' }).waitFor();
    // The crossing is under way in this picture, so it is not asked for; once it is over, it is.
    expect(calls(fixture, '/api/demo/run')).toEqual([]);
    const { crossing } = open().scenes;
    fixture.change({ now: [] }, { scenes: { crossing: { ...crossing!, running: false, why: null } } });
    await until(() => calls(fixture, '/api/demo/run').length > 0);
    expect(calls(fixture, '/api/demo/fault')[0]!.body).toMatchObject({
      prop: 'ferry',
      fault: 'jam',
      on: true,
    });
    const real = await at.show({ picture: open() });
    expect(await real.page.locator('demo-banner').count()).toBe(0);
  });

  it('keeps the way to free a jam in reach while it is on, whatever the mode and after a reload', async () => {
    const picture = demonstration();
    const { page, fixture } = await at.show({ picture, me: HELPER });
    fixture.demo = { ...fixture.demo, faults: [{ prop: 'ferry', fault: 'jam' }] };
    for (const mode of ['closed', 'opening', 'open', 'held', 'closing', 'stopped'] as const) {
      fixture.change({ mode });
      await page.reload();
      await page.getByRole('button', { name: 'Free the ferry' }).waitFor();
    }
    await page.getByText('The yard is stopped: no scene starts').getByText('still jammed').waitFor();
    await page.getByRole('button', { name: 'Free the ferry' }).click();
    await page.getByRole('button', { name: 'Free the ferry' }).waitFor({ state: 'detached' });
  });

  it('shows a fault as it comes, leads with its cause, and says it to a screen reader', async () => {
    const { page, fixture } = await at.show({ picture: open() });
    const { ferry, ferryman } = fault().props;
    fixture.change({ now: [] }, { props: { ferry: ferry!, ferryman: ferryman! } });
    await page.getByText('Left near at 21:13:48, far not made after 12.0 s').waitFor();
    expect(await page.locator('trouble-card').count()).toBe(1);
    await until(async () =>
      /Ferry locked out/.test(
        await page
          .locator('yard-page > *, yard-page')
          .first()
          .evaluate((p) => p.shadowRoot?.querySelector('p[role=status]')?.textContent ?? ''),
      ),
    );
    expect(await page.title()).toContain('1 in trouble');
  });
});

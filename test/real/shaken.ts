import { expect, it } from 'vitest';
import { BOARDS } from './landing.ts';
import { seeded } from './seeded.ts';
import { goOn, onShore, type Shore, type ShoreOptions } from './shore.ts';
import { type WatchOptions, wrongOnTheBus } from './watch.ts';
import { openFor, replayOf, sleep, until, type Yard } from './yard-rig.ts';

/*
 * A night that goes on while something is done to it at moments by chance. The seed stands in the name of a failing run;
 * DUSKLATCH_CHAOS_SEED gives another.
 */

export const SEED = Number(process.env.DUSKLATCH_CHAOS_SEED ?? 31);
export const WHY = 'Its rope is frayed';
/** The boards of a shaken yard, which has no red buttons: their silence alone would stop it. */
export const SHAKEN_BOARDS = BOARDS.filter((b) => !b.endsWith('-button'));
export const SCENES = ['gull-calls', 'below-stairs'];

export interface Shaken extends Shore {
  /** Waits up to so many ms, by chance. */
  moment(mostMs: number): Promise<void>;
}

/**
 * A night with the bell out of service by hand, shaken by `act`. After it the bell is still out, in the same words, and
 * nobody else is; the show goes on; nothing on the bus was told to move that should not have been; and the record gives
 * the state that memory had.
 */
export function shaken(name: string, options: ShoreOptions, act: (shore: Shaken) => Promise<WatchOptions>) {
  return onShore({ bus: 'mosquitto', stations: false, ...options, open: false }, async (shore) => {
    const { yard, ear } = shore;
    const chance = seeded(SEED * 1000 + [...name].reduce((sum, c) => sum + c.charCodeAt(0), 0));
    await until('the bell to be heard', async () => (await yard.picture()).props.bell!.state !== 'silent');
    expect((await yard.command('/api/props/bell/lockout', { why: WHY })).status).toBe(200);
    await openFor(yard, '10 min');
    const watch = await act({ ...shore, moment: (mostMs) => sleep(chance() * mostMs) });
    if ((await yard.picture()).mode === 'held') await openAgain(yard);
    await goOn(yard, SCENES);
    const { props } = await yard.picture();
    const out = Object.entries(props).filter(([, p]) => p.lockout !== null);
    expect(out.map(([id, p]) => [id, p.lockout!.code])).toEqual([['bell', 'by-hand']]);
    expect(out[0]![1].lockout!.text).toContain(WHY);
    expect(wrongOnTheBus(ear.heard, { ...watch, out: ['bell'] })).toEqual([]);
    expect((await yard.lines()).filter((l) => l.code === 'breach')).toEqual([]);
    await yard.kill('SIGTERM');
    expect(await replayOf(yard.dataDir)).toMatchObject({ difference: null, gaps: [] });
  });
}

/**
 * A person looks at whoever is out for one of these faults and releases it, and clears the stop that it may have led to.
 * Any other fault is one too many.
 */
export async function lookedAfter(yard: Yard, faults: readonly string[]): Promise<void> {
  const silent = async () => Object.values((await yard.picture()).props).some((p) => p.state === 'silent');
  await until('every board to be heard again', async () => !(await silent()));
  for (const [id, { lockout }] of Object.entries((await yard.picture()).props)) {
    // who only followed is released with the one that came first
    if (id === 'bell' || !lockout || lockout.first !== null) continue;
    expect(faults, lockout.text).toContain(lockout.code);
    const released = await until(`${id} to be released`, async () => {
      const answer = await yard.command(`/api/props/${id}/release`);
      return answer.status === 200 && answer;
    });
    expect(released.status).toBe(200);
  }
  if ((await yard.picture()).mode !== 'stopped') return;
  await until('the clear to be taken', async () => (await yard.command('/api/stop/clear')).status === 200);
  await openAgain(yard);
}

/** A person opens, inside the night that is under way. */
export async function openAgain(yard: Yard): Promise<void> {
  const answer = await until('an open to be taken', async () => {
    const said = await yard.command('/api/open');
    return said.status === 202 && said;
  });
  expect(answer.status).toBe(202);
  await until('the yard to be open', async () => (await yard.picture()).mode === 'open');
}

export const ready = (yard: Yard) =>
  until('the yard to be ready', () =>
    fetch(`${yard.url}/readyz`).then(
      (r) => r.ok,
      () => false,
    ),
  );

/** A night that is shaken; its name stands for its moments. */
export function night(name: string, options: ShoreOptions, act: (shore: Shaken) => Promise<void>): void {
  it(`${name} (seed ${SEED})`, () =>
    shaken(name, options, async (shore) => {
      await act(shore);
      return {};
    }));
}

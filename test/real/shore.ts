import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ear } from './ear.ts';
import { BOARDS, type LandingOptions, landing } from './landing.ts';
import { freePort, type Mosquitto, startMosquitto } from './mosquitto.ts';
import {
  openFor,
  type Standins,
  startStandins,
  startYard,
  until,
  type Yard,
  type YardOptions,
} from './yard-rig.ts';

/** A whole small yard as it runs: daemon, boards, a bystander on the bus, and a mosquitto where it has one. */
export interface Shore {
  readonly yard: Yard;
  readonly boards: Standins;
  readonly ear: Ear;
  readonly busUrl: string;
  /** Null where the daemon's own broker carries the bus. */
  readonly broker: Mosquitto | null;
}

export interface ShoreOptions extends Partial<Omit<YardOptions, 'text'>>, LandingOptions {
  /** `own`: the daemon's broker, by default. */
  readonly bus?: 'own' | 'mosquitto';
  /** Where the boards dial, if not the broker itself. */
  readonly boardsDial?: (busUrl: string) => Promise<string>;
  /** False: the yard stays closed. */
  readonly open?: boolean;
}

/** Runs `act` on a yard of its own, and ends every process of it whatever becomes of that. */
export async function onShore(options: ShoreOptions, act: (shore: Shore) => Promise<void>): Promise<void> {
  const ends: (() => unknown)[] = [];
  try {
    const broker = options.bus === 'mosquitto' ? await startMosquitto() : null;
    if (broker) ends.push(() => broker.stop());
    const port = broker ? null : await freePort();
    const busUrl = broker?.url ?? `mqtt://127.0.0.1:${port}`;
    const text = landing(port === null ? { url: busUrl } : { port }, options);
    const yard = await startYard({ ...options, text });
    ends.push(() => yard.close());
    const ear = await Ear.on(busUrl);
    ends.push(() => ear.close());
    const boards = await startStandins(yard.file, (await options.boardsDial?.(busUrl)) ?? busUrl);
    ends.push(() => boards.close());
    if (options.open !== false) await openFor(yard, '10 min');
    await act({ yard, boards, ear, busUrl, broker });
  } finally {
    for (const end of ends.reverse()) await end();
  }
}

/** A folder of its own for as long as `act` takes. */
export async function inFolder<T>(name: string, act: (dir: string) => Promise<T>): Promise<T> {
  const dir = await mkdtemp(join(tmpdir(), `dusklatch-${name}-`));
  try {
    return await act(dir);
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}

/** Something is under way: a prop of this yard has begun a move and not ended it. */
export function moving({ ear }: Shore): Promise<boolean> {
  const from = ear.mark();
  return until('something to move', () => {
    const dids = ear.heard.slice(from).filter((h) => /\/did$/.test(h.topic));
    return dids.length > 0 && dids.at(-1)!.payload.is === 'started';
  });
}

/** Every stand-in is still, as its own physics has it. */
export function still({ boards }: Shore): Promise<boolean> {
  return until(
    'every stand-in to be still',
    async () => !/ moving| driven/.test(await boards.say('list')),
    3000,
  );
}

/** These boards have said, on the bus, that they obeyed the stop of this number. */
export function heeded({ ear }: Shore, n: number, boards: readonly string[]): Promise<boolean> {
  return until(`${boards.join(', ')} to obey stop ${n}`, () =>
    boards.every((id) =>
      ear.on(`controller/${id}/stopped`).some(({ payload }) => payload.n === n && payload.safe === true),
    ),
  );
}

/** Every board has, and the picture says so too. */
export async function obeyed(shore: Shore, n: number): Promise<void> {
  await heeded(shore, n, BOARDS);
  await until('the picture to say so', async () => {
    const { stop } = await shore.yard.picture();
    return stop.n === n && stop.silent.length === 0;
  });
}

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
  /** Lines of mosquitto's configuration. */
  readonly brokerLines?: readonly string[];
}

/** Runs `act` on a yard of its own, and ends every process of it whatever becomes of that. */
export async function onShore(options: ShoreOptions, act: (shore: Shore) => Promise<void>): Promise<void> {
  const ends: (() => unknown)[] = [];
  try {
    const broker =
      options.bus === 'mosquitto' ? await startMosquitto({ lines: options.brokerLines ?? [] }) : null;
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
    await act({ yard, boards, ear, busUrl, broker }).catch(async (error: unknown) => {
      if (error instanceof Error) error.message += await lastLines(yard);
      throw error;
    });
  } finally {
    for (const end of ends.reverse()) await end();
  }
}

/** What the record says of the last moments, for whoever reads that a test failed. */
async function lastLines(yard: Yard): Promise<string> {
  const lines = await yard.lines().catch(() => []);
  const told = lines.slice(-60).map((l) => `${new Date(l.at).toISOString().slice(14, 23)} ${l.text}`);
  return `\nThe record:\n${told.join('\n')}\nThe daemon: ${yard.said().split('\n').slice(-20).join('\n')}`;
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

/** Each of these scenes is run to its end once more. */
export async function goOn(yard: Yard, scenes: readonly string[], forMs = 30_000): Promise<void> {
  const made = async () =>
    Object.entries((await yard.picture()).scenes).map(([id, s]) => [id, s.made] as const);
  const before = new Map(await made());
  await until(
    `${scenes.join(', ')} once more`,
    async () => {
      const now = new Map(await made());
      return scenes.every((id) => now.get(id)! > before.get(id)!);
    },
    forMs,
  ).catch(async (error: Error) => {
    const { mode, modeWhy, scenes: why, props } = await yard.picture();
    const out = Object.values(props).flatMap((p) => (p.lockout ? [p.lockout.text] : []));
    throw new Error(
      `${error.message}; ${mode} ${modeWhy}; ${scenes.map((s) => why[s]!.why).join(' ')}; ${out.join(' ')}`,
    );
  });
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
export function still({ boards }: Pick<Shore, 'boards'>): Promise<boolean> {
  return until(
    'every stand-in to be still',
    async () => !/ moving| driven/.test(await boards.say('list')),
    3000,
  );
}

/** These boards have said, on the bus, that they obeyed the stop of this number. */
export function heeded({ ear }: Pick<Shore, 'ear'>, n: number, boards: readonly string[]): Promise<boolean> {
  return until(`${boards.join(', ')} to obey stop ${n}`, () =>
    boards.every((id) =>
      ear.on(`controller/${id}/stopped`).some(({ payload }) => payload.n === n && payload.safe === true),
    ),
  );
}

/** Every board has, and the picture says so too. */
export async function obeyed(
  shore: Pick<Shore, 'yard' | 'ear'>,
  n: number,
  boards: readonly string[] = BOARDS,
): Promise<void> {
  await heeded(shore, n, boards);
  await until('the picture to say so', async () => {
    const { stop } = await shore.yard.picture();
    return stop.n === n && stop.silent.length === 0;
  });
}

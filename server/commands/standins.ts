import { createInterface } from 'node:readline';
import { busOf, startFleet } from '../standin/fleet.ts';
import { err, No, out, yardOf } from './say.ts';

const BESIDE_BOARDS =
  'Stand-ins say what no real sensor sees. Never run one in place of a prop while real props that need it can move: a real figure would trust it.';

export interface StandinFlags {
  /** By default the yard file's. */
  readonly bus?: string;
  /** Controllers, with commas between; by default all. */
  readonly only?: string;
  readonly seed?: string;
}

/** `dusklatch standins FILE`: props that are not there, on the bus where `serve` drives the yard. */
export function standinsCommand(file: string, flags: StandinFlags): void {
  standIn(file, flags);
  err(BESIDE_BOARDS);
  if (process.stdin.isTTY) err('Type help to hear what can be broken, and quit or Ctrl-C to end.');
}

/**
 * Stands in for the boards of a yard file until standard input says `quit`, a signal comes or the parent goes; the
 * process ends then. Lines on standard input and from a parent process are answered one by one. Throws `No`.
 */
export function standIn(file: string, flags: StandinFlags): void {
  const { yard } = yardOf(file);
  const only = flags.only?.split(',').map((c) => c.trim());
  const unknown = only?.find((c) => !yard.controllers.has(c));
  if (unknown !== undefined) {
    const known = [...yard.controllers.keys()].join(', ');
    throw new No(`The yard has no controller '${unknown}'. It has: ${known}.`, 2);
  }
  const url = flags.bus ?? busOf(yard);
  if (!/^(mqtt|mqtts|tcp):\/\/./.test(url) || !URL.canParse(url))
    throw new No(`'${url}' is no address of a bus. Write one such as mqtt://127.0.0.1:1883.`, 2);
  if (flags.seed !== undefined && !/^\d{1,9}$/.test(flags.seed))
    throw new No(`--seed wants a whole number, not '${flags.seed}'.`, 2);

  const fleet = startFleet({
    yard,
    url,
    ...(flags.seed === undefined ? {} : { seed: Number(flags.seed) }),
    ...(only ? { only } : {}),
    log: err,
  });

  let quitting = false;
  async function quit(): Promise<void> {
    if (quitting) return;
    quitting = true;
    await fleet.close();
    process.exit(0);
  }

  function answer(line: string): string {
    const said = fleet.say(line);
    if (/^\s*quit\b/.test(line)) void quit();
    return said;
  }

  createInterface({ input: process.stdin }).on('line', (line) => out(answer(line)));
  process.on('message', (line) => {
    if (typeof line === 'string') process.send?.(answer(line));
  });
  // A parent that has gone takes its stand-ins with it; the end of standard input alone does not.
  process.on('disconnect', quit);
  process.on('SIGINT', quit);
  process.on('SIGTERM', quit);
}

import { setTimeout as sleep } from 'node:timers/promises';
import closeWithGrace from 'close-with-grace';
import { ApiStartError } from '../api/http.ts';
import { PinError } from '../api/people.ts';
import { terminalQr } from '../api/qr.ts';
import { BrokerError } from '../bus/broker.ts';
import { JournalError } from '../journal/trouble.ts';
import { type Served, serve } from '../serve.ts';
import { ServeError } from '../serve-parts.ts';
import { readSettings, type ServeFlags, type ServeSettings, SettingsError } from '../settings.ts';
import { busOf } from '../standin/fleet.ts';
import { RED_BUTTON } from '../words/en/notice.ts';
import { span } from '../words/figures.ts';
import { logOf } from './log.ts';
import { err, out } from './say.ts';

/** Boards that are there have long linked by then. */
const UNHEARD_MS = 15_000;
/** Until an answer has left. */
const ANSWERED_MS = 300;

/** `dusklatch serve`: runs until it is told to end. Returns the exit code where it can't begin. */
export async function serveCommand(file: string | null, flags: ServeFlags): Promise<number> {
  const log = logOf(process.env.DUSKLATCH_LOG);
  let settings: ServeSettings;
  let served: Served;
  const made: { pin: string | null } = { pin: null };
  const begin = (by: ServeSettings, onMadePin: (pin: string) => void): Promise<Served> =>
    serve(by, log, broken, () => void anew(), onMadePin);
  const anew = async (): Promise<void> => {
    const next = await beginAnew(served, (port) => begin({ ...settings, port }, (pin) => err(pinWords(pin))));
    if (next) served = next;
  };
  try {
    settings = readSettings(file, flags);
    served = await begin(settings, (pin) => {
      made.pin = pin;
    });
  } catch (error) {
    const code = refused(error);
    if (made.pin !== null) err(pinWords(made.pin));
    return code;
  }
  closeWithGrace({ delay: 5000, logger: false }, async ({ err: error }) => {
    if (error) err(`Ended by a mistake: ${error.stack ?? error.message}`);
    await served.close();
    err(file === null ? 'Ended, the stand-ins too.' : endedWords(served.yard.bus.silenceMs));
  });
  await greet(served, file === null, made.pin);
  if (file !== null)
    setTimeout(() => {
      if (!served.boardHeard())
        err(unheardWords(file, settings.busPort === null ? null : busOf(served.yard)));
    }, UNHEARD_MS).unref();
  return 0;
}

/** After a restore: everything is closed and begins again, on the same port, so that the page finds it. */
async function beginAnew(served: Served, begin: (port: number) => Promise<Served>): Promise<Served | null> {
  // what was answered leaves first
  await sleep(ANSWERED_MS);
  err('The yard computer begins anew.');
  await served.close();
  try {
    return await begin(Number(new URL(served.url).port));
  } catch (error) {
    process.exitCode = refused(error);
    // so that whoever watches over the service starts it again
    setTimeout(() => process.exit(), 100);
    return null;
  }
}

function broken(breach: string): void {
  err(`Everything was stopped: ${breach}.`);
  err(
    'This is a mistake in Dusklatch, not in your yard. Keep the data folder and report it with these words.',
  );
  process.exitCode = 1;
  // the last words go out before the process does
  setTimeout(() => process.exit(1), 500);
}

/** In the place of the code for phones. */
export function aloneWords(demo: boolean): string {
  const start = demo ? 'npm start -- --host 0.0.0.0' : 'start it with --host 0.0.0.0';
  return `This address works on this computer alone. To see the page on a phone in the same network too: ${start}\n`;
}

/** What a builder without boards needs to know; `bus` where it is not the file's own. */
export function unheardWords(file: string, bus: string | null): string {
  const where = bus === null ? '' : ` --bus ${bus}`;
  return `No board is heard yet. To try this yard without boards: npx dusklatch standins ${file}${where}`;
}

function endedWords(silenceMs: number): string {
  return `Ended. Nothing drives the yard now: a board that keeps the contract switches its outputs off once it has heard nothing for ${span(silenceMs)}.`;
}

function refused(error: unknown): number {
  const misuse =
    error instanceof SettingsError ||
    error instanceof PinError ||
    (error instanceof ServeError && error.exitCode === 2);
  const known = [ServeError, ApiStartError, BrokerError, JournalError].some((kind) => error instanceof kind);
  err(error instanceof Error ? error.message : String(error));
  if (!misuse && !known && error instanceof Error && error.stack) err(error.stack);
  return misuse ? 2 : 1;
}

function pinWords(pin: string): string {
  return `  Keeper PIN  ${pin}   (shown this once; it signs you in to clear, release and set up)`;
}

async function greet(served: Served, demo: boolean, pin: string | null): Promise<void> {
  out(
    `${served.yard.title} is up${demo ? ' as a demonstration: its props are stand-ins, nothing real moves' : ''}.`,
  );
  out();
  out(`  Page        ${served.url}`);
  for (const address of served.addresses) if (address !== served.url) out(`              ${address}`);
  out(`  Bus         ${served.busUrl}`);
  if (pin !== null) out(pinWords(pin));
  out();
  // a code is for phones: of an address that no phone reaches it would lead nowhere
  out(served.addresses.length > 0 ? await terminalQr(served.url) : aloneWords(demo));
  out(RED_BUTTON);
}

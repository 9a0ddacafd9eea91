import closeWithGrace from 'close-with-grace';
import { pino } from 'pino';
import { ApiStartError } from '../api/http.ts';
import { PinError } from '../api/people.ts';
import { terminalQr } from '../api/qr.ts';
import { BrokerError } from '../bus/broker.ts';
import { JournalError } from '../journal/trouble.ts';
import { type Served, serve } from '../serve.ts';
import { ServeError } from '../serve-parts.ts';
import { readSettings, type ServeFlags, SettingsError } from '../settings.ts';
import { RED_BUTTON } from '../words/notice.ts';

const out = (line = ''): void => void process.stdout.write(`${line}\n`);
const err = (line: string): void => void process.stderr.write(`${line}\n`);

/** `dusklatch serve`: runs until it is told to end. Returns the exit code where it can't begin. */
export async function serveCommand(file: string | null, flags: ServeFlags): Promise<number> {
  const log = pino({ level: process.env.DUSKLATCH_LOG ?? 'warn' }, pino.destination(2));
  let served: Served;
  try {
    served = await serve(readSettings(file, flags), log, (breach) => {
      err(`Everything was stopped: ${breach}.`);
      err(
        'This is a mistake in Dusklatch, not in your yard. Keep the data folder and report it with these words.',
      );
      process.exitCode = 1;
      // the last words go out before the process does
      setTimeout(() => process.exit(1), 500);
    });
  } catch (error) {
    return refused(error);
  }
  closeWithGrace({ delay: 5000, logger: false }, async ({ err: error }) => {
    if (error) err(`Ended by a mistake: ${error.stack ?? error.message}`);
    await served.close();
  });
  await greet(served, file === null);
  return 0;
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

async function greet(served: Served, demo: boolean): Promise<void> {
  out(
    `${served.yard.title} is up${demo ? ' as a demonstration: its props are stand-ins, nothing real moves' : ''}.`,
  );
  out();
  out(`  Page        ${served.url}`);
  for (const address of served.addresses) if (address !== served.url) out(`              ${address}`);
  out(`  Bus         ${served.busUrl}`);
  if (served.madePin !== null)
    out(`  Keeper PIN  ${served.madePin}   (shown this once; it signs you in to clear, release and set up)`);
  out();
  out(await terminalQr(served.url));
  out(RED_BUTTON);
}

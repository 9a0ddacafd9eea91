#!/usr/bin/env node
import { Command, CommanderError } from 'commander';
import { serveCommand } from './commands/serve.ts';
import { VERSION } from './serve.ts';
import { CAUTIONS } from './words/notice.ts';

/*
 * The commands, thin. Standard output is for results, standard error for what is said on the way.
 * Exit: 0 well, 1 the answer is no, 2 misuse.
 */

const program = new Command('dusklatch')
  .description('Plans and runs a yard of animated props on a local MQTT bus, for one night at a time.')
  .version(VERSION)
  .exitOverride()
  .addHelpText('after', `\n${CAUTIONS[0]}`);

program
  .command('serve')
  .argument('[FILE]', 'the yard file; without one, the demonstration yard')
  .description('Runs the yard: the daemon, its page and, unless the file names another, its own bus.')
  .option('--host <address>', 'address to listen on (DUSKLATCH_HOST)')
  .option('--port <number>', 'port of the page (DUSKLATCH_PORT)')
  .option('--bus-port <number>', "port of the bus instead of the file's (DUSKLATCH_BUS_PORT)")
  .option('--data <folder>', 'where the record, the numbers and the PINs are kept (DUSKLATCH_DATA)')
  .option('--keeper-pin <digits>', "sets the keeper's PIN (DUSKLATCH_KEEPER_PIN)")
  .option('--names <list>', 'further host names it answers to, with commas between (DUSKLATCH_NAMES)')
  .action(async (file: string | undefined, flags) => {
    process.exitCode = await serveCommand(file ?? null, flags);
  });

try {
  await program.parseAsync();
} catch (error) {
  if (!(error instanceof CommanderError)) throw error;
  process.exitCode = error.exitCode === 0 ? 0 : 2;
}

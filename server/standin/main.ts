#!/usr/bin/env node
import { Command } from 'commander';
import { err, No } from '../commands/say.ts';
import { type StandinFlags, standIn } from '../commands/standins.ts';

/* The stand-ins as a program of their own, as the demonstration starts them. `dusklatch standins` is the same for people. */

new Command('standin')
  .argument('<file>', 'the yard file')
  .option('--bus <url>', "the bus, such as mqtt://127.0.0.1:1883; by default the yard file's")
  .option('--only <controllers>', 'only these, with commas between')
  .option('--seed <n>', "of the props' quirks, to see the same again")
  .exitOverride((error) => process.exit(error.exitCode === 0 ? 0 : 2))
  .action((file: string, flags: StandinFlags) => {
    try {
      standIn(file, flags);
    } catch (error) {
      if (!(error instanceof No)) throw error;
      err(error.message);
      process.exit(error.exitCode);
    }
  })
  .parse();

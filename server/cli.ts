#!/usr/bin/env node
import { join } from 'node:path';
import { Command, CommanderError } from 'commander';
import { type BackupFlags, backupCommand, restoreCommand } from './commands/backup.ts';
import { checkCommand } from './commands/check.ts';
import { type ExamFlags, examCommand } from './commands/exam.ts';
import { type PlanFlags, planCommand } from './commands/plan.ts';
import { type RehearseFlags, rehearseCommand } from './commands/rehearse.ts';
import { type ReplayFlags, replayCommand } from './commands/replay.ts';
import { type ReportFlags, reportCommand } from './commands/report.ts';
import { err, No } from './commands/say.ts';
import { serveCommand } from './commands/serve.ts';
import { type StandinFlags, standinsCommand } from './commands/standins.ts';
import { JournalError } from './journal/trouble.ts';
import { VERSION } from './serve.ts';
import { stateFolder } from './settings.ts';
import { CAUTIONS } from './words/en/notice.ts';
import { LANGUAGES } from './words/tongue.ts';

/*
 * The commands, thin. Standard output is for results, standard error for what is said on the way.
 * Exit: 0 well, 1 the answer is no, 2 misuse.
 */

const data = () => process.env.DUSKLATCH_DATA || join(stateFolder(), 'yard');

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
  .option('--tls-cert <file>', 'a certificate for https, PEM (DUSKLATCH_TLS_CERT)')
  .option('--tls-key <file>', 'and its key, PEM (DUSKLATCH_TLS_KEY)')
  .option('--language <code>', `of the page and the record: ${LANGUAGES.join(', ')} (DUSKLATCH_LANGUAGE)`)
  .option('--names <list>', 'further host names it answers to, with commas between (DUSKLATCH_NAMES)')
  .action(async (file: string | undefined, flags) => {
    process.exitCode = await serveCommand(file ?? null, flags);
  });

program
  .command('check')
  .argument('<FILE>')
  .description(
    'Reads a yard file: every error with its line; then what its circuits, air, duty and zones bear, and whether the next night fits.',
  )
  .option('--json', 'for a program')
  .action((file: string, flags: { json?: boolean }) => {
    process.exitCode = checkCommand(file, flags);
  });

program
  .command('plan')
  .argument('<FILE>')
  .description("Tonight's plan: by the hour, loads against limits, what is short and why.")
  .option('--night <DATE>', 'the night; left out, tonight or the next')
  .option('--measured', 'with the travel times that the record has measured')
  .option('--data <folder>', 'where the record is (DUSKLATCH_DATA)', data())
  .option('--svg <OUT>', 'writes a picture of the runs over loads and pressures')
  .option('--csv', 'a line for each move')
  .option('--json', 'for a program')
  .action((file: string, flags: PlanFlags) => {
    process.exitCode = planCommand(file, flags);
  });

program
  .command('rehearse')
  .argument('<FILE>')
  .description('Runs a whole night in seconds, with stand-ins, through the same core as the daemon.')
  .option('--night <DATE>', 'the night; left out, tonight or the next')
  .option('--storm <SEED>', 'puts faults on at random')
  .option('--json', 'for a program')
  .action((file: string, flags: RehearseFlags) => {
    process.exitCode = rehearseCommand(file, flags);
  });

program
  .command('standins')
  .argument('<FILE>')
  .description(
    'Stands in for the boards of a yard: props that are not there, on the bus that `serve` drives.',
  )
  .option('--bus <URL>', "the bus, such as mqtt://127.0.0.1:1883; left out, the yard file's")
  .option('--only <CONTROLLERS>', 'only these, with commas between')
  .option('--seed <N>', "of the props' quirks, to see the same again")
  .action((file: string, flags: StandinFlags) => standinsCommand(file, flags));

program
  .command('report')
  .argument('[DATE]')
  .description(
    'What happened in a night: runs made and missed, faults, stops, travel times, service due. Without a date, the last.',
  )
  .option('--data <folder>', 'where the record is (DUSKLATCH_DATA)', data())
  .option('--json', 'for a program')
  .option('--csv', 'for a spreadsheet')
  .option('--html', 'as a page to keep or print')
  .action((date: string | undefined, flags: ReportFlags) => {
    process.exitCode = reportCommand(date, flags);
  });

program
  .command('replay')
  .argument('[DATE]')
  .description('Runs the record through the program again and says the first difference.')
  .option('--data <folder>', 'where the record is (DUSKLATCH_DATA)', data())
  .option('--json', 'for a program')
  .action((date: string | undefined, flags: ReplayFlags) => {
    process.exitCode = replayCommand(date, flags);
  });

program
  .command('backup')
  .argument('<OUT>', 'the zip to write')
  .description(
    'One zip of all that is kept: yard file, record, people, settings. The daemon may run meanwhile.',
  )
  .option('--data <folder>', 'where it is kept (DUSKLATCH_DATA)', data())
  .option('--force', 'write over a file that has this name already')
  .action((to: string, flags: BackupFlags) => {
    process.exitCode = backupCommand(to, flags, VERSION);
  });

program
  .command('restore')
  .argument('<ZIP>', 'the backup')
  .argument('<FILE>', 'where the yard file goes')
  .description('Puts a backup in the place of what is kept, which is kept aside. End the daemon first.')
  .option('--data <folder>', 'where it is kept (DUSKLATCH_DATA)', data())
  .action((from: string, file: string, flags: BackupFlags) => {
    process.exitCode = restoreCommand(from, file, flags, VERSION);
  });

program
  .command('exam')
  .argument('<CONTROLLER>')
  .description('Examines a board against the contract, duty by duty. Its props move.')
  .option('--bus <URL>', 'an existing broker; left out, one is opened where the yard file says')
  .option('--file <FILE>', 'the yard file that knows its moves; without it nothing is moved')
  .option('--still', 'only what asks for no move')
  .option(
    '--assume-needs',
    "try moves whose needs of other boards' props can't be seen: you make sure of them",
  )
  .option('--yes', 'the yard is clear: do not ask')
  .option('--json', 'for a program')
  .action(async (controller: string, flags: ExamFlags) => {
    process.exitCode = await examCommand(controller, flags);
  });

// a reader that has seen enough, as `head` has, is no fault
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof No) {
    err(error.message);
    process.exitCode = error.exitCode;
  } else if (error instanceof JournalError) {
    err(error.message);
    process.exitCode = 1;
  } else if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else throw error;
}

#!/usr/bin/env node
import { readFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { Command, InvalidArgumentError } from 'commander';
import { readYard } from '../file/read.ts';
import { busOf, startFleet } from './fleet.ts';

const say = (line: string) => process.stderr.write(`${line}\n`);

function give(code: 1 | 2, line: string): never {
  say(line);
  process.exit(code);
}

function wholeNumber(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError('A whole number, please.');
  return Number(text);
}

const command = new Command('standin')
  .description(
    'Stands in for the boards of a yard: props that are not there, on the real bus. Lines on standard input switch ' +
      'faults on and off and press mats; the line "help" tells them.',
  )
  .argument('<file>', 'the yard file')
  .option('--bus <url>', "the bus, such as mqtt://127.0.0.1:1883; by default the yard file's")
  .option('--only <controllers>', 'only these, with commas between')
  .option('--seed <n>', "of the props' quirks, to see the same again", wholeNumber)
  .configureOutput({ writeErr: (text) => process.stderr.write(text) })
  .exitOverride((error) => process.exit(error.exitCode === 0 ? 0 : 2))
  .parse();

const [file = ''] = command.args;
const options = command.opts<{ bus?: string; only?: string; seed?: number }>();

const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) =>
  give(1, error.code === 'ENOENT' ? `There is no file ${file}.` : `${file} can't be read: ${error.message}`),
);
const read = readYard(text, file);
if (!read.ok) give(1, `${file} has errors; 'dusklatch check ${file}' tells them all.`);
const { yard } = read;

const only = options.only?.split(',').map((c) => c.trim());
const unknown = only?.find((c) => !yard.controllers.has(c));
if (unknown !== undefined) {
  give(2, `The yard has no controller '${unknown}'. It has: ${[...yard.controllers.keys()].join(', ')}.`);
}

const url = options.bus ?? busOf(yard);
if (!/^(mqtt|mqtts|tcp):\/\/./.test(url) || !URL.canParse(url)) {
  give(2, `'${url}' is no address of a bus. Write one such as mqtt://127.0.0.1:1883.`);
}

const fleet = startFleet({
  yard,
  url,
  ...(options.seed === undefined ? {} : { seed: options.seed }),
  ...(only ? { only } : {}),
  log: say,
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

createInterface({ input: process.stdin }).on('line', (line) => process.stdout.write(`${answer(line)}\n`));
process.on('message', (line) => {
  if (typeof line === 'string') process.send?.(answer(line));
});
// A parent that has gone takes its stand-ins with it; the end of standard input alone does not.
process.on('disconnect', quit);
process.on('SIGINT', quit);
process.on('SIGTERM', quit);

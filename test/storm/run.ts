import { parseArgs } from 'node:util';
import { keepPiece, nextSeed, tellKept } from './figures.ts';
import { runFleet } from './fleet.ts';
import { markAll } from './marks.ts';
import { judgeAll } from './mutate.ts';
import { runStorm, type StormOptions } from './storm.ts';
import { Tally, tellFailure } from './tally.ts';
import { largeYard } from './yards.ts';

/*
 * The storm from the command line:
 *   --seeds N --from S   so many seeds, one after another, and a table of what they met; from where the kept figures end
 *                        where no `--from` is given
 *   --keep               adds the figures to those kept, if nothing failed
 *   --seed S --trace     one seed, every line of its story
 *   --yard NAME          always this yard       --deliver   every heartbeat delivered, none passed over
 *   --large N            a yard of N props, in calm weather, for the figures of speed
 *   --mutants            plants each mistake of the table and looks which invariant sees it; --only WORD
 *   --marks              each kind of weather alone, and which code of the daemon it reached; --only WORD
 *   --jobs N             so many threads
 */

const { values } = parseArgs({
  options: {
    seeds: { type: 'string' },
    from: { type: 'string' },
    keep: { type: 'boolean', default: false },
    seed: { type: 'string' },
    trace: { type: 'boolean', default: false },
    yard: { type: 'string' },
    large: { type: 'string' },
    deliver: { type: 'boolean', default: false },
    calm: { type: 'boolean', default: false },
    mutants: { type: 'boolean', default: false },
    marks: { type: 'boolean', default: false },
    only: { type: 'string' },
    jobs: { type: 'string', default: '1' },
  },
});

const jobs = Number(values.jobs);
const only = values.only === undefined ? null : new RegExp(values.only);
const say = (text: string): void => console.log(text);

function options(): Omit<StormOptions, 'seed' | 'onLine'> {
  const yard = values.large ? largeYard(Number(values.large)) : values.yard;
  return {
    calm: values.calm || values.large !== undefined,
    everyHeartbeat: values.deliver,
    ...(yard === undefined ? {} : { yard }),
  };
}

async function one(seed: number): Promise<boolean> {
  const tally = new Tally();
  const result = await runStorm({ ...options(), seed, ...(values.trace ? { onLine: say } : {}) });
  tally.add(result);
  if (result.breach) say(tellFailure(result));
  say(`seed ${seed}, ${result.yard}, trace ${result.hash}`);
  say(tally.table());
  return result.breach === null;
}

const wanted = (from: number, count: number): number[] => Array.from({ length: count }, (_, i) => from + i);

async function seeds(): Promise<boolean> {
  const from = values.from === undefined ? nextSeed() : Number(values.from);
  const count = Number(values.seeds ?? 50);
  const tally = new Tally();
  await runFleet({
    seeds: wanted(from, count),
    jobs,
    worker: new URL('./seeds-worker.js', import.meta.url),
    options: options(),
    onRun: (result) => {
      tally.add(result);
      if (result.breach) say(tellFailure(result));
      return false;
    },
  });
  say(tally.table());
  if (values.keep && tally.failed === 0) {
    keepPiece(from, tally);
    say(tellKept());
  }
  return tally.failed === 0;
}

async function mutants(): Promise<boolean> {
  const from = Number(values.from ?? 1);
  const verdicts = await judgeAll(wanted(from, Number(values.seeds ?? 200)), only, jobs, say);
  const killed = verdicts.filter((v) => v.killed).length;
  say(`${killed} of ${verdicts.length} planted mistakes killed by an invariant they were planted for`);
  return killed === verdicts.length;
}

async function marked(): Promise<boolean> {
  const seedsOfAll = only ? [] : wanted(Number(values.from ?? 1), Number(values.seeds ?? 60));
  const { marks, unreached } = await markAll(only, seedsOfAll, say);
  const none = marks.filter((m) => m.places.length === 0).length;
  say(`${marks.length} kinds of weather, ${none} of them reached nothing of their own`);
  if (only) return none === 0;
  say(
    unreached.length === 0
      ? 'every function of the core and the desk was reached'
      : `never reached: ${unreached.join(', ')}`,
  );
  return none === 0 && unreached.length === 0;
}

function run(): Promise<boolean> {
  if (values.marks) return marked();
  if (values.mutants) return mutants();
  return values.seed === undefined ? seeds() : one(Number(values.seed));
}

process.exitCode = (await run()) ? 0 : 1;

import { parseArgs } from 'node:util';
import { judgeAll } from './mutate.ts';
import { runStorm, type StormOptions, type StormResult } from './storm.ts';
import { Tally, tellFailure } from './tally.ts';
import { largeYard } from './yards.ts';

/*
 * The storm from the command line:
 *   --seeds N --from S   so many seeds, one after another, and a table of what they met
 *   --seed S --trace     one seed, every line of its story
 *   --yard NAME          always this yard       --deliver   every heartbeat delivered, none passed over
 *   --large N            a yard of N props, in calm weather, for the figures of speed
 *   --mutants            plants each mistake of the table and looks which invariant sees it; --only WORD, --jobs N
 */

const { values } = parseArgs({
  options: {
    seeds: { type: 'string', default: '50' },
    from: { type: 'string', default: '1' },
    seed: { type: 'string' },
    trace: { type: 'boolean', default: false },
    yard: { type: 'string' },
    large: { type: 'string' },
    deliver: { type: 'boolean', default: false },
    calm: { type: 'boolean', default: false },
    mutants: { type: 'boolean', default: false },
    only: { type: 'string' },
    jobs: { type: 'string', default: '1' },
  },
});

function optionsOf(seed: number): StormOptions {
  const yard = values.large ? largeYard(Number(values.large)) : values.yard;
  return {
    seed,
    calm: values.calm || values.large !== undefined,
    everyHeartbeat: values.deliver,
    ...(yard === undefined ? {} : { yard }),
    ...(values.trace ? { onLine: (text: string) => console.log(text) } : {}),
  };
}

async function one(seed: number, tally: Tally): Promise<StormResult> {
  const from = process.cpuUsage();
  const result = await runStorm(optionsOf(seed));
  const { user, system } = process.cpuUsage(from);
  tally.add(result, (user + system) / 1000);
  if (result.breach) console.log(tellFailure(result));
  return result;
}

async function seeds(): Promise<boolean> {
  const tally = new Tally();
  if (values.seed !== undefined) {
    const result = await one(Number(values.seed), tally);
    console.log(`seed ${result.seed}, ${result.yard}, trace ${result.hash}`);
  } else for (const seed of wanted()) await one(seed, tally);
  console.log(tally.table());
  return tally.failed === 0;
}

function wanted(): number[] {
  const from = Number(values.from);
  return Array.from({ length: Number(values.seeds) }, (_, i) => from + i);
}

async function mutants(): Promise<boolean> {
  const only = values.only === undefined ? null : new RegExp(values.only);
  const verdicts = await judgeAll(wanted(), only, Number(values.jobs), (text) => console.log(text));
  const killed = verdicts.filter((v) => v.killed).length;
  console.log(
    `${killed} of ${verdicts.length} planted mistakes killed by an invariant they were planted for`,
  );
  return killed === verdicts.length;
}

process.exitCode = (await (values.mutants ? mutants() : seeds())) ? 0 : 1;

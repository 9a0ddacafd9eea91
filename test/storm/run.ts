import { parseArgs } from 'node:util';
import { runStorm, type StormOptions, type StormResult } from './storm.ts';
import { Tally, tellFailure } from './tally.ts';
import { largeYard } from './yards.ts';

/*
 * The storm from the command line:
 *   --seeds N --from S   so many seeds, one after another, and a table of what they met
 *   --seed S --trace     one seed, every line of its story
 *   --yard NAME          always this yard       --deliver   every heartbeat delivered, none passed over
 *   --large N            a yard of N props, in calm weather, for the figures of speed
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

const tally = new Tally();
if (values.seed !== undefined) {
  const result = await one(Number(values.seed), tally);
  console.log(`seed ${result.seed}, ${result.yard}, trace ${result.hash}`);
} else {
  const from = Number(values.from);
  for (let seed = from; seed < from + Number(values.seeds); seed++) await one(seed, tally);
}
console.log(tally.table());
process.exitCode = tally.failed > 0 ? 1 : 0;

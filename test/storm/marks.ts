import { Session } from 'node:inspector/promises';
import { basename } from 'node:path';
import { runStorm, type StormOptions } from './storm.ts';
import type { Weather } from './weather/kinds.ts';
import { WEATHER } from './weather/table.ts';
import { YARDS } from './yards.ts';

/*
 * Which code of the daemon each kind of weather reaches: the runtime itself counts, block by block, so nothing has to
 * be put into the code that is watched. A night of one kind alone is held against calm nights; what it reached
 * beyond them is its mark. A kind that leaves none is no weather, and core code that no storm reaches is not tested by it.
 */

/** Rooms that are watched. In those of `CORE` every function must be reached by some seed. */
const ROOMS = /\/(server\/(show\/|bus\/|journal\/|api\/|calendar\/|desk|restore|plan-mend)|web\/)[^/]*\.js$/;
const CORE = /\/server\/(show\/|desk)/;
/** Seeds of one kind alone, over all yards, until it has struck often enough to show what it does. */
const ALONE_SEEDS = 12;
const STRIKES = 6;
const ALONE_STRENGTH = 4;
/** What any evening has; kinds are held against evenings of these alone, and these against calm ones. */
const ORDINARY = ['guest on a mat', 'scene by hand', 'held, then opened', 'stop pressed', 'setting up'];
/** So many evenings to hold them against: what chance reaches anyway is no mark. */
const ORDINARY_SEEDS = 36;
/** What no storm can reach, and why: only once an invariant is broken, which planted mistakes show; not played here. */
const ELSEWHERE = [
  'desk #broken',
  'desk #lastWords',
  'show/check breach',
  // asked by the metrics alone
  'desk get overflowed',
  // how far a real connection reads on, which the storm's own line has no need of
  'desk get crowded',
  'desk-queue get full',
  // a turn cut short by the processor's own time, of which virtual time has none
  'desk-steps enough',
  // a file that comes to hold without a new start: `test/desk/exchange.test.ts`
  'desk exchange',
  'desk-record exchange',
  'show/yard-changed yardChanged',
];

/** What ran: places in the code, `show/link wentSilent`, each with how many of its blocks. */
type Reached = Map<string, Set<number>>;

export interface Mark {
  readonly weather: string;
  readonly strikes: number;
  /** Functions, or branches of one, that calm nights do not reach. */
  readonly places: readonly string[];
}

export interface Marks {
  readonly marks: readonly Mark[];
  /** Functions of the core that no storm reached. */
  readonly unreached: readonly string[];
}

export class Watch {
  readonly #session = new Session();
  /** Every function that the runtime has told of, and whether it ever ran. */
  readonly ever = new Map<string, boolean>();

  async begin(): Promise<void> {
    this.#session.connect();
    await this.#session.post('Profiler.enable');
    await this.#session.post('Profiler.startPreciseCoverage', { callCount: true, detailed: true });
  }

  /** What ran since it was last asked. */
  async reached(): Promise<Reached> {
    const { result } = await this.#session.post('Profiler.takePreciseCoverage');
    const out: Reached = new Map();
    for (const script of result) {
      if (!ROOMS.test(script.url)) continue;
      const file = fileOf(script.url);
      for (const fn of script.functions) {
        // what has no name is a module at its loading, or a part of what has one
        if (fn.functionName === '' || fn.functionName.startsWith('<')) continue;
        const name = `${file} ${fn.functionName}`;
        const ran = fn.ranges[0]!.count > 0;
        if (CORE.test(script.url)) this.ever.set(name, ran || this.ever.get(name) === true);
        if (!ran) continue;
        const blocks = out.get(name) ?? new Set<number>();
        // a block that did not run is told as a range of its own with count 0
        for (const r of fn.ranges) blocks.add(r.count > 0 ? r.startOffset : -r.startOffset - 1);
        out.set(name, blocks);
      }
    }
    return out;
  }
}

function fileOf(url: string): string {
  const parts = url.split('/');
  const at = Math.max(parts.lastIndexOf('server'), parts.lastIndexOf('web') - 1);
  return parts
    .slice(at + 1, -1)
    .concat(basename(url, '.js'))
    .join('/');
}

/** Places that `now` reached and `calm` did not: functions that never ran, or blocks of one that then did. */
function beyond(now: Reached, calm: Reached): string[] {
  const out: string[] = [];
  for (const [name, blocks] of now) {
    const before = calm.get(name);
    if (!before) out.push(name);
    else {
      const skipped = [...before].filter((b) => b < 0);
      if (skipped.some((b) => !blocks.has(b))) out.push(`${name} …`);
    }
  }
  return out.sort();
}

const YARD_NAMES = Object.keys(YARDS);

function evening(i: number, only: readonly string[]): StormOptions {
  return { seed: 1 + i, yard: YARD_NAMES[i % YARD_NAMES.length]!, only, strength: ALONE_STRENGTH };
}

async function evenings(only: readonly string[], watch: Watch): Promise<Reached> {
  for (let i = 0; i < ORDINARY_SEEDS; i++) await runStorm(evening(i, only));
  return watch.reached();
}

async function alone(weather: Weather, watch: Watch, before: Reached): Promise<Mark> {
  const { name, besides = [] } = weather;
  let strikes = 0;
  for (let i = 0; i < ALONE_SEEDS && strikes < STRIKES; i++) {
    const others = ORDINARY.includes(name) ? [] : [...ORDINARY, ...besides];
    const result = await runStorm(evening(i, [name, ...others]));
    strikes += result.weather.get(name) ?? 0;
  }
  return { weather: name, strikes, places: beyond(await watch.reached(), before) };
}

/** Asks each kind alone, and then seeds of all together for what else of the core they reach. */
export async function markAll(
  only: RegExp | null,
  seeds: readonly number[],
  say: (text: string) => void,
): Promise<Marks> {
  const watch = new Watch();
  await watch.begin();
  const calm = await evenings([], watch);
  const ordinary = await evenings(ORDINARY, watch);
  const marks: Mark[] = [];
  for (const weather of WEATHER) {
    if (only && !only.test(weather.name)) continue;
    const before = ORDINARY.includes(weather.name)
      ? calm
      : weather.besides
        ? await evenings([...ORDINARY, ...weather.besides], watch)
        : ordinary;
    const mark = await alone(weather, watch, before);
    marks.push(mark);
    say(tellMark(mark));
  }
  for (const seed of seeds) await runStorm({ seed });
  await watch.reached();
  const unreached = [...watch.ever]
    .filter(([name, ran]) => !ran && !ELSEWHERE.includes(name))
    .map(([name]) => name);
  return { marks, unreached };
}

const SHOWN = 6;

export function tellMark({ weather, strikes, places }: Mark): string {
  const whole = places.filter((p) => !p.endsWith(' …'));
  const shown = [...whole, ...places.filter((p) => p.endsWith(' …'))].slice(0, SHOWN);
  const more = places.length > shown.length ? ` and ${places.length - shown.length} more` : '';
  const what = places.length === 0 ? 'REACHED NOTHING' : `${shown.join(', ')}${more}`;
  return `${weather.padEnd(46)} struck ${String(strikes).padStart(4)}: ${what}`;
}

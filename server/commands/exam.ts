import { createInterface } from 'node:readline/promises';
import {
  assumptionWarning,
  type CheckResult,
  type ExamResult,
  examine,
  examWarning,
} from '../standin/exam.ts';
import { examBroker } from '../standin/exam-bus.ts';
import { err, No, out, yardOf } from './say.ts';

/** A board that looks for the bus now and then finds one opened for the examination within this time. */
const FINDS_BUS_MS = 60_000;

export interface ExamFlags {
  /** An existing broker; left out, one is opened where the yard file's own would listen. */
  readonly bus?: string;
  /** Goes on without asking whether the yard is clear. */
  readonly yes?: boolean;
  /** The yard file that knows its props and moves; left out, only what moves nothing is tried. */
  readonly file?: string;
  readonly still?: boolean;
  /** A person makes sure of what its moves need of other boards' props, so they are tried. */
  readonly assumeNeeds?: boolean;
  readonly json?: boolean;
}

/** `dusklatch exam CONTROLLER --file FILE`: 0 where every duty that was tried is kept, and a move was if any was to be. */
export async function examCommand(controller: string, flags: ExamFlags): Promise<number> {
  const yard = flags.file === undefined ? null : yardOf(flags.file).yard;
  const ids = yard ? yard.controllers.get(controller) : [];
  if (!ids) {
    const known = [...yard!.controllers.keys()].join(', ');
    throw new No(`${flags.file} has no controller '${controller}'. It has: ${known}.`, 2);
  }
  const props = ids.map((id) => yard!.props.get(id)!);
  const still = flags.still === true || yard === null;
  if (yard === null) err('Without --file its moves are not known, so only what moves nothing is tried.');
  if (still && flags.assumeNeeds)
    throw new No('--assume-needs is for moves, and none is tried. Give --file, and leave out --still.', 2);
  err(examWarning(controller, props, !still));
  const assumed = flags.assumeNeeds ? assumptionWarning(props) : null;
  if (assumed) err(assumed);
  const asks = process.stdin.isTTY === true;
  if (!flags.yes && !still && !(await agreed(asks))) throw new No('Nothing was done.');
  const { url, close } = await busFor(flags, yard?.bus.listen ?? null);
  const result = await examine(controller, props, url, {
    ...(yard ? { root: yard.bus.root, silenceMs: yard.bus.silenceMs } : {}),
    mayMove: !still,
    assumesNeeds: flags.assumeNeeds === true,
    ...(flags.bus === undefined ? { appearMs: FINDS_BUS_MS } : {}),
    onCheck: (c) => err(`${c.verdict.padEnd(9)} duty ${c.duty}: ${c.title}`),
    ...(asks
      ? {
          powerCycle: () =>
            ask('Cut the power of the board, wait 3 s, restore it, then press Enter: ').then(() => {}),
        }
      : {}),
  })
    .catch((error: unknown) => {
      throw new No(error instanceof Error ? error.message : String(error));
    })
    .finally(close);
  if (flags.json) out(JSON.stringify(result, null, 2));
  else for (const line of examTold(result)) out(line);
  return result.ok ? 0 : 1;
}

/** The outcome for a person: what is broken, what was not tried and why, and the sum of it in the last line. */
export function examTold(result: ExamResult): string[] {
  if (result.refused) return [result.refused];
  const { checks, controller, moves } = result;
  const of = (verdict: CheckResult['verdict']) => checks.filter((c) => c.verdict === verdict);
  const sum = `${controller}: ${of('kept').length} of ${checks.length} checks kept, ${of('not tried').length} not tried.`;
  const none = moves.untested.length > 0 && moves.tested.length === 0;
  const unseen = moves.untested.some(({ needs }) => needs.length > 0);
  return [
    ...of('broken').map((c) => `Duty ${c.duty} broken: ${c.title}. Seen: ${c.found}. ${c.means}`),
    ...of('not tried').map((c) => `Not tried, duty ${c.duty}: ${c.title}; ${c.found}.`),
    ...moves.untested.map((m) => `Not tested, move ${m.move}: ${m.why}.`),
    ...(unseen
      ? ['Moves that need another board are tried with --assume-needs, once you have made sure.']
      : []),
    none ? `${sum} No move was tested.` : sum,
  ];
}

async function ask(question: string): Promise<string> {
  const terminal = createInterface({ input: process.stdin, output: process.stderr });
  try {
    return await terminal.question(question);
  } finally {
    terminal.close();
  }
}

/** Whether a person says that the yard is clear. Without a terminal nobody can, and then `--yes` must. */
async function agreed(asks: boolean): Promise<boolean> {
  if (!asks)
    throw new No('Its props would move. Say --yes once the yard is clear, or --still to move nothing.', 2);
  return /^\s*y(es)?\s*$/i.test(await ask('Is the yard clear, and a hand on the red button? Type yes: '));
}

/** The daemon's own broker takes orders from the daemon alone, so an examination opens one in its place. */
async function busFor(
  flags: ExamFlags,
  listen: { host: string; port: number } | null,
): Promise<{ url: string; close: () => Promise<void> }> {
  if (flags.bus !== undefined) return { url: flags.bus, close: async () => {} };
  if (!listen)
    throw new No(
      'The yard file names no bus of its own to open. Give --bus, such as mqtt://127.0.0.1:1883.',
      2,
    );
  const broker = await examBroker(listen.host, listen.port).catch((error: unknown) => {
    // a whole sentence already, with the address
    throw new No(error instanceof Error ? error.message : String(error));
  });
  err(`Waiting for the board on ${broker.url}.`);
  return { url: broker.url, close: () => broker.close() };
}

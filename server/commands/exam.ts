import { createInterface } from 'node:readline/promises';
import { examine, examWarning } from '../standin/exam.ts';
import { examBroker } from '../standin/exam-bus.ts';
import { err, No, out, yardOf } from './say.ts';

export interface ExamFlags {
  /** An existing broker; left out, one is opened where the yard file's own would listen. */
  readonly bus?: string;
  /** Goes on without asking whether the yard is clear. */
  readonly yes?: boolean;
  /** The yard file that knows its props and moves; left out, only what moves nothing is tried. */
  readonly file?: string;
  readonly still?: boolean;
  readonly json?: boolean;
}

/** `dusklatch exam CONTROLLER --bus URL --file FILE`: 0 where every duty that was tried is kept. */
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
  err(examWarning(controller, props));
  const asks = process.stdin.isTTY === true;
  if (!flags.yes && !still && !(await agreed(asks))) throw new No('Nothing was done.');
  const { url, close } = await busFor(flags, yard?.bus.listen ?? null);
  const result = await examine(controller, props, url, {
    ...(yard ? { root: yard.bus.root, silenceMs: yard.bus.silenceMs } : {}),
    mayMove: !still,
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
  else if (result.refused) out(result.refused);
  else {
    for (const c of result.checks) {
      if (c.verdict === 'broken') out(`Duty ${c.duty} broken: ${c.title}. ${c.found} ${c.means}`);
    }
    const kept = result.checks.filter((c) => c.verdict === 'kept').length;
    const skipped = result.checks.filter((c) => c.verdict === 'not tried').length;
    out(`${controller}: ${kept} of ${result.checks.length} checks kept, ${skipped} not tried.`);
  }
  return result.ok ? 0 : 1;
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
    const why = error instanceof Error ? error.message : String(error);
    throw new No(
      `The bus can't be opened on ${listen.host}:${listen.port}: ${why}. Stop the yard computer first.`,
    );
  });
  err(`Waiting for the board on ${broker.url}.`);
  return { url: broker.url, close: () => broker.close() };
}

import { examine, examWarning } from '../standin/exam.ts';
import { err, No, out, yardOf } from './say.ts';

export interface ExamFlags {
  readonly bus: string;
  readonly file: string;
  readonly still?: boolean;
  readonly json?: boolean;
}

/** `dusklatch exam CONTROLLER --bus URL --file FILE`: 0 where every duty that was tried is kept. */
export async function examCommand(controller: string, flags: ExamFlags): Promise<number> {
  const { yard } = yardOf(flags.file);
  const ids = yard.controllers.get(controller);
  if (!ids) {
    const known = [...yard.controllers.keys()].join(', ');
    throw new No(`${flags.file} has no controller '${controller}'. It has: ${known}.`, 2);
  }
  const props = ids.map((id) => yard.props.get(id)!);
  err(examWarning(controller, props));
  const result = await examine(controller, props, flags.bus, {
    root: yard.bus.root,
    silenceMs: yard.bus.silenceMs,
    mayMove: !flags.still,
    onCheck: (c) => err(`${c.verdict.padEnd(9)} duty ${c.duty}: ${c.title}`),
  }).catch((error: unknown) => {
    throw new No(error instanceof Error ? error.message : String(error));
  });
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

import type { RecordLine } from '../desk-door.ts';
import type { JournalPort, StoredLine } from '../journal/port.ts';
import type { Yard } from '../yard/types.ts';

export interface Story {
  /** Newest first. */
  lines: RecordLine[];
  /** What to ask for as `before` next; null where the record begins. */
  before: number | null;
}

const PAGE = 2000;
/** So much of the record is looked through for one answer; whoever wants more asks again. */
const LOOKED_THROUGH = 20_000;

const WHOLE_YARD: ReadonlySet<string> = new Set(['stop-pressed', 'stop-cleared', 'mode-now', 'desk-started']);

/**
 * The lines of the record that tell why things happened to a prop, newest first: its own, those of the scenes that
 * move it, and those of the whole yard that stopped or changed everything. `before`: of lines numbered below it.
 */
export function storyOf(
  journal: Pick<JournalPort, 'lines'>,
  yard: Yard,
  prop: string,
  before: number,
  limit: number,
): Story {
  const scenes = new Set(
    [...yard.scenes.values()].filter((s) => s.props.includes(prop)).map((scene) => scene.id),
  );
  const tells = ({ prop: of, scene, code }: StoredLine): boolean => {
    if (of !== null) return of === prop;
    return scene !== null ? scenes.has(scene) : WHOLE_YARD.has(code);
  };
  const lines: RecordLine[] = [];
  let to = before - 1;
  for (let looked = 0; to > 0 && looked < LOOKED_THROUGH; looked += PAGE) {
    const from = Math.max(0, to - PAGE);
    for (const line of journal.lines(from, to - from).reverse()) {
      if (line.id > to || !tells(line)) continue;
      lines.push(asRecordLine(line));
      if (lines.length === limit) return { lines, before: line.id > 1 ? line.id : null };
    }
    to = from;
  }
  return { lines, before: to > 0 ? to + 1 : null };
}

export function asRecordLine({ id, at, code, text, prop, scene, run }: StoredLine): RecordLine {
  return { n: id, at, code, text, prop, scene, run };
}

import { localDate } from '../calendar/local-time.ts';
import { replay } from '../journal/replay.ts';
import { openJournal } from '../journal/sqlite.ts';
import { yardOf } from '../restore.ts';
import { loadShow, saveShow } from '../show/save.ts';
import type { Show } from '../show/show.ts';
import { step } from '../show/step.ts';
import type { Yard } from '../yard/types.ts';
import { No, out, recordIn } from './say.ts';

export interface ReplayFlags {
  readonly data: string;
  readonly json?: boolean;
}

/** `dusklatch replay [DATE]`: folds the record through the core again; 0 where it gives what memory had. */
export function replayCommand(date: string | undefined, flags: ReplayFlags): number {
  recordIn(flags.data);
  const journal = openJournal(flags.data, { readOnly: true });
  try {
    const yards = new Map<string, Yard>();
    const yardAt = (hash: string): Yard => {
      const yard = yards.get(hash) ?? yardOf(journal, hash);
      yards.set(hash, yard);
      return yard;
    };
    const span = date === undefined ? {} : eventsOf(date, journal, yardAt);
    const report = replay<Show>({
      journal: {
        events: (after, limit) => journal.events(after, limit),
        latestSnapshot: (upTo) => journal.latestSnapshot(upTo),
        // what an earlier version kept, in the shape of this one: a key that it did not know is no difference
        nextSnapshot: (after) => {
          const kept = journal.nextSnapshot(after);
          return kept && { ...kept, state: saveShow(loadShow(kept.state, yardAt(kept.yardHash))) };
        },
      },
      load: (state, hash) => loadShow(state, yardAt(hash)),
      save: saveShow,
      step: (show, event) => step(show, event).show,
      ...span,
    });
    if (flags.json) out(JSON.stringify(report, null, 2));
    else for (const line of replayTold(report)) out(line);
    return report.difference === null && report.from !== null ? 0 : 1;
  } finally {
    journal.close();
  }
}

/** The numbers of a date's events: those of its day, and of the night that it leads into, until noon. */
function eventsOf(
  date: string,
  journal: ReturnType<typeof openJournal>,
  yardAt: (hash: string) => Yard,
): { from: number; to: number } {
  const newest = journal.latestSnapshot();
  if (!newest || !/^\d{4}-\d{2}-\d{2}/.test(date))
    throw new No(`'${date}' is no date of the record; write it as 2026-10-31.`, 2);
  const yard = yardAt(newest.yardHash);
  const day = date.slice(0, 10);
  const HALF_DAY_MS = 12 * 3_600_000;
  let from = 0;
  let to = 0;
  for (let after = 0; ; ) {
    const events = journal.events(after, 1000);
    if (events.length === 0) break;
    for (const e of events) {
      if (localDate(yard, e.at) !== day && localDate(yard, e.at - HALF_DAY_MS) !== day) continue;
      from ||= e.n;
      to = e.n;
    }
    after = events.at(-1)!.n;
  }
  if (to === 0) throw new No(`Nothing was recorded on ${day}.`);
  return { from, to };
}

const NONE_KEPT =
  'No state has been kept after them yet to compare that with: one is kept from time to time, and as `serve` ends.';
const TAKEN_OVER =
  'Nothing could be compared: the states kept after them begin a new yard file, or follow events that are missing.';

/** What a person reads of it; nothing is called the same that was compared with nothing. */
export function replayTold(r: ReturnType<typeof replay>): string[] {
  if (r.from === null) return ['There is nothing to replay: the record keeps no state to begin from.'];
  const times = r.compared === 1 ? 'once' : `${r.compared} times`;
  const went = `${r.events} events, from no. ${r.from} on, went through the program again`;
  const compared = r.compared > 0 || r.difference !== null;
  const lines = [
    compared
      ? `${went}, and what came of them was compared ${times} with what was kept.`
      : `${went}. ${r.taken > 0 ? TAKEN_OVER : NONE_KEPT}`,
  ];
  for (const gap of r.gaps)
    lines.push(`Events ${gap.first} to ${gap.last} could not be written at the time.`);
  if (!compared) return lines;
  if (r.difference === null) lines.push('No difference: the program comes to the same state again.');
  else
    lines.push(
      `First difference after event ${r.difference.n}, at ${r.difference.path || 'the whole state'}: ` +
        `it was ${JSON.stringify(r.difference.was)}, the replay makes it ${JSON.stringify(r.difference.is)}.`,
    );
  return lines;
}

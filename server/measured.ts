import { existsSync } from 'node:fs';
import { journalPath, openJournal } from './journal/sqlite.ts';
import { yardOf } from './restore.ts';
import { loadShow } from './show/save.ts';
import { expectsOf } from './show/travel.ts';
import type { Expects } from './yard/timeline.ts';
import type { Yard } from './yard/types.ts';

/**
 * The measured medians, ms by `prop.move`, that the record of a data folder knows of this yard's props, as its newest
 * snapshot has them; none where there is no record.
 */
export function measuredExpects(dataDir: string, yard: Yard): Expects {
  if (!existsSync(journalPath(dataDir))) return {};
  const journal = openJournal(dataDir, { readOnly: true });
  try {
    const newest = journal.latestSnapshot();
    if (!newest) return {};
    const kept = expectsOf(loadShow(newest.state, yardOf(journal, newest.yardHash)));
    return Object.fromEntries(
      Object.entries(kept).filter(([key]) => {
        const [prop = '', move = ''] = key.split('.');
        return yard.props.get(prop)?.moves.has(move) ?? false;
      }),
    );
  } finally {
    journal.close();
  }
}

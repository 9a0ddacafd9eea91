import { readYard } from './file/read.ts';
import type { JournalPort } from './journal/port.ts';
import { newShow } from './show/fresh.ts';
import { loadShow, saveShow } from './show/save.ts';
import type { Show } from './show/show.ts';
import { step } from './show/step.ts';
import type { Yard } from './yard/types.ts';

const BATCH = 1000;

/**
 * The show as the record left it: the newest snapshot and the events after it, under the yard file that they were
 * taken with; then carried over to today's file. A first start begins with a snapshot of nothing, so that a replay has
 * somewhere to begin.
 */
export function restoreShow(journal: JournalPort, yard: Yard, yardHash: string): Show {
  const kept = journal.latestSnapshot();
  if (!kept) {
    const show = newShow(yard);
    journal.snapshot(0, yardHash, saveShow(show));
    return show;
  }
  const before = kept.yardHash === yardHash ? yard : yardOf(journal, kept.yardHash);
  let show = loadShow(kept.state, before);
  for (
    let events = journal.events(show.n, BATCH);
    events.length > 0;
    events = journal.events(show.n, BATCH)
  ) {
    for (const event of events) show = step(show, event).show;
  }
  if (kept.yardHash === yardHash) return show;
  const carried = loadShow(saveShow(show), yard);
  journal.snapshot(carried.n, yardHash, saveShow(carried));
  return carried;
}

/** The yard of an earlier file, from the text kept beside its events. */
export function yardOf(journal: JournalPort, hash: string): Yard {
  const text = journal.yardText(hash);
  if (text === null) throw new Error('the record belongs to a yard file that is not kept with it');
  const read = readYard(text);
  if (!read.ok) throw new Error('the yard file kept with the record can no longer be read by this version');
  return read.yard;
}

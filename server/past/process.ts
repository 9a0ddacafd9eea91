import { setPriority } from 'node:os';
import { setImmediate as pause } from 'node:timers/promises';
import { openJournal } from '../journal/sqlite.ts';
import { TONGUES } from '../words/tongues.ts';
import { FoldSlow } from './fold.ts';
import type { PastAsk, PastOpening, PastSaid } from './past.ts';
import { PastReader } from './reader.ts';

/*
 * The process in which the past is read. It has a connection of its own that can only read, and answers each question
 * with JSON as it goes out, so that the loop of the desk has nothing left to do but pass it on.
 */

const PRIORITY = 10;

/** On a computer with one core the desk goes first. */
function stepBack(): void {
  try {
    setPriority(PRIORITY);
  } catch {
    // A system that does not allow it: both then share the processor evenly.
  }
}

function open({ dataDir, demonstration, language = 'en' }: PastOpening): PastReader {
  const journal = openJournal(dataDir, { readOnly: true });
  return new PastReader(journal, { demonstration, tongue: TONGUES[language], nowMs: Date.now, pause });
}

async function answer(reader: PastReader, ask: PastAsk): Promise<unknown> {
  switch (ask.what) {
    case 'nights':
      return { nights: reader.nights() };
    case 'course':
      return reader.course(ask.night, ask.tonight);
    case 'moment':
      return reader.moment(ask.at);
    case 'story':
      return reader.story(ask.prop, ask.before, ask.limit);
    case 'so-far':
      return (await reader.soFar(ask.night, ask.from, ask.to)).told();
    case 'unplanned':
      return reader.unplanned(ask.night, ask.from);
  }
}

stepBack();
let reader: PastReader | null = null;
process.on('message', async (said: PastOpening | { readonly id: number; readonly ask: PastAsk }) => {
  if (!('id' in said)) {
    reader = open(said);
    return;
  }
  const { id, ask } = said;
  const told: PastSaid = await answer(reader!, ask).then(
    (found) => ({ id, ok: true, json: found === null ? null : JSON.stringify(found) }),
    (error: unknown) => ({
      id,
      ok: false,
      why: error instanceof Error ? error.message : String(error),
      slow: error instanceof FoldSlow,
    }),
  );
  process.send!(told);
});
// the yard computer has gone, however it went
process.on('disconnect', () => process.exit());
// one that is told to end is told by its parent; a signal to the whole group is meant for that
process.on('SIGINT', () => {});
process.on('SIGTERM', () => {});

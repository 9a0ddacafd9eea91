import { describe, expect, it } from 'vitest';
import { replay } from '../../server/journal/replay.ts';
import { loadShow, saveShow } from '../../server/show/save.ts';
import type { Show } from '../../server/show/show.ts';
import { step } from '../../server/show/step.ts';
import { LANGUAGES, type Language } from '../../server/words/tongue.ts';
import { TONGUES } from '../../server/words/tongues.ts';
import { tellEntry } from '../../server/words-of.ts';
import { opened } from '../show/hand.ts';
import { landing } from '../show/landing.ts';
import { rigOf } from './rig.ts';

const yard = landing();

/** The same evening, told in a language: a run that nobody answers, a stop, a clear that is refused. */
async function evening(lang: Language) {
  const hand = opened(yard);
  const rig = rigOf(hand.show, hand.at, { tell: (entry, show) => tellEntry(entry, show, TONGUES[lang]) });
  await rig.ask({ kind: 'sceneAsked', by: 'ann', scene: 'crossing' });
  for (let i = 0; i < 12; i += 1) {
    for (const c of yard.controllers.keys()) rig.desk.beat(c, hand.session(c));
    rig.pass('250 ms');
  }
  rig.desk.stop('page');
  rig.pass('1 ms');
  await rig.ask({ kind: 'clearAsked', by: 'keeper', seen: 0 });
  rig.desk.end();
  const { difference } = replay({
    journal: rig.journal,
    load: (state) => loadShow(state, yard),
    save: saveShow,
    step: (show: Show, event) => step(show, event).show,
  });
  const lines = rig.journal.lines(0, 1000);
  return {
    difference,
    state: saveShow(rig.desk.show),
    done: rig.done,
    reasons: lines.map(({ at, code, reason }) => ({ at, code, reason })),
    texts: lines.map(({ text }) => text),
  };
}

describe('the language of the record', () => {
  it('is that of the night, and changes nothing that happens and nothing that a replay folds', async () => {
    const told = await Promise.all(LANGUAGES.map(evening));
    const [english, ...others] = told;
    expect(english!.reasons.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['run-started', 'lockout-raised', 'stop-pressed']),
    );
    for (const other of others) {
      expect(other.difference).toBe(null);
      const { texts: _, ...same } = other;
      const { texts: __, ...asEnglish } = english!;
      expect(same).toEqual(asEnglish);
      for (const [i, text] of other.texts.entries()) expect(text).not.toBe(english!.texts[i]);
    }
  });
});

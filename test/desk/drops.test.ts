import { describe, expect, it } from 'vitest';
import { drop } from '../../server/bus/drop.ts';
import { Drops } from '../../server/drops.ts';
import { dropNotes } from '../../server/serve-parts.ts';
import { TONGUES } from '../../server/words/tongues.ts';
import { Script } from '../nights/script.ts';
import { landing } from '../show/landing.ts';

const NO_GULL = drop('unknown', 'no prop gull in the yard file', 'gull');

describe('what is dropped on the bus', () => {
  it('is counted by what a builder does about it, and by what it names or came on', () => {
    const drops = new Drops();
    expect(drops.most).toBe(null);
    drops.add('yard/prop/ferry/did', drop('unreadable', 'not JSON'));
    drops.add('yard/prop/gull/did', NO_GULL);
    drops.add('yard/prop/ferry/did', drop('unreadable', 'empty'));
    expect(drops.most).toEqual({ code: 'unreadable', what: 'yard/prop/ferry/did', count: 2 });
    drops.add('yard/prop/gull/sense/far', NO_GULL);
    drops.add('yard/prop/gull/sense/near', NO_GULL);
    expect(drops.most).toEqual({ code: 'unknown', what: 'gull', count: 3 });
  });

  it('costs no memory where names are made up, and what is known goes on being counted', () => {
    const drops = new Drops();
    drops.add('t', NO_GULL);
    for (let n = 0; n < 10_000; n++)
      drops.add(`yard/${n}/${'x'.repeat(60_000)}`, drop('unreadable', 'empty'));
    for (let n = 0; n < 9999; n++) drops.add('t', NO_GULL);
    expect(drops.most).toEqual({ code: 'unknown', what: 'gull', count: 10_000 });
  });

  it('shows nothing of a topic that could pass for something else', () => {
    const drops = new Drops();
    drops.add(`yard/\u202e\n\`é\u0000${'x'.repeat(200)}`, drop('unreadable', 'empty'));
    expect(drops.most!.what).toBe(`yard/?????${'x'.repeat(70)}`);
  });

  it('is told on the page in the language of the yard, with what to do', () => {
    const s = new Script(landing(), { runs: [] });
    s.say('prop/kraken/sense/eye', { prop: 'kraken', made: true, session: 'k', n: 9 }, false);
    s.say('prop/kraken/sense/eye', { prop: 'kraken', made: true, session: 'k', n: 10 }, false);
    s.say('controller/bell/link', { session: 7 }, false);
    const note = (lang: 'en' | 'de') => dropNotes(s.r.desk, TONGUES[lang].notes);
    expect(note('en')).toEqual([
      '3 messages on the bus could not be used. Most often: `kraken` is not in the yard file. Add it there, or mend the id in the board’s program.',
    ]);
    expect(note('de')).toEqual([
      '3 Nachrichten auf dem Bus waren nicht zu gebrauchen. Am häufigsten: `kraken` steht nicht in der Hofdatei. Dort ergänzen oder die Kennung im Programm der Platine berichtigen.',
    ]);
  });
});

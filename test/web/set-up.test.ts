import { describe, expect, it } from 'vitest';
import { SetUp } from '../../web/set-up.ts';

const TOLD = {
  name: 'a.yaml',
  text: 'a',
  hash: 'h',
  editable: true,
  runs: true,
  lastGood: 'a.yaml.last-good',
};

function withAnswers(answers: Record<string, unknown>) {
  let changes = 0;
  const setUp = new SetUp({
    read: async <T>(path: string) => (answers[path] ?? null) as T | null,
    changed: () => {
      changes += 1;
    },
  });
  return { setUp, changes: () => changes };
}

describe('what the set-up screens know', () => {
  it('tells a red button that nobody has described from one that could not be read', async () => {
    const { setUp } = withAnswers({});
    await setUp.readRedButton();
    expect(setUp.redButton).toBe(undefined);
    const known = withAnswers({ '/api/red-button': { said: null } }).setUp;
    await known.readRedButton();
    expect(known.redButton).toBe(null);
  });

  it('keeps the text that was checked beside what was found in it', async () => {
    const { setUp, changes } = withAnswers({ '/api/file': TOLD });
    await setUp.readFile();
    const found = { ok: true, errors: [], notes: [], findings: [] };
    setUp.done({ do: 'check-file', text: 'b' }, found);
    expect(setUp.state.file).toEqual({ told: TOLD, checked: { text: 'b', found }, saved: false });
    expect(changes()).toBe(2);
  });

  it('goes on from the text that was saved, which does not run yet', async () => {
    const { setUp } = withAnswers({ '/api/file': TOLD });
    await setUp.readFile();
    setUp.done({ do: 'save-file', text: 'b', base: 'h' }, { hash: 'i', lastGood: 'a.yaml.last-good' });
    expect(setUp.state.file).toMatchObject({ told: { text: 'b', hash: 'i', runs: false }, saved: true });
  });

  it('keeps for a draft the text that it began from, though the file on the disk is another by now', async () => {
    const answers = { '/api/file': TOLD };
    const { setUp } = withAnswers(answers);
    await setUp.readFile();
    setUp.draft('mine');
    answers['/api/file'] = { ...TOLD, hash: 'other' };
    await setUp.readFile();
    setUp.draft('mine, longer');
    expect(setUp.state.draft).toEqual({ text: 'mine, longer', base: 'h' });
    setUp.draft(null);
    setUp.draft('anew');
    expect(setUp.state.draft).toEqual({ text: 'anew', base: 'other' });
  });

  it('forgets the file and the people when their reader signs out', async () => {
    const { setUp } = withAnswers({
      '/api/file': TOLD,
      '/api/people': { people: [{ name: 'Wren', role: 'keeper' }] },
    });
    await setUp.readFile();
    await setUp.readPeople();
    setUp.forget();
    expect(setUp.state).toEqual({ file: null, draft: null, people: null, pinOf: null });
  });
});

import { describe, expect, it } from 'vitest';
import type { Came } from '../../web/commands.ts';
import { NOTHING_READ, SetUp } from '../../web/set-up.ts';

const TOLD = {
  name: 'a.yaml',
  text: 'a',
  hash: 'h',
  editable: true,
  runs: true,
  waits: null,
  lastGood: 'a.yaml.last-good',
};

function withAnswers(answers: Record<string, unknown>) {
  let changes = 0;
  const kept: Came[] = [];
  const setUp = new SetUp({
    read: async <T>(path: string) => (answers[path] ?? null) as T | null,
    changed: () => {
      changes += 1;
    },
    keep: (came) => kept.push(came),
  });
  return { setUp, kept, changes: () => changes };
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
    const found = { ok: true, errors: [], notes: [], findings: [], leftOut: [], changes: [] };
    setUp.done({ do: 'check-file', text: 'b' }, found);
    expect(setUp.state.file).toEqual({ told: TOLD, checked: { text: 'b', found }, saved: false });
    expect(changes()).toBe(2);
  });

  it('goes on from the text that was saved, which does not run yet', async () => {
    const { setUp } = withAnswers({ '/api/file': TOLD });
    await setUp.readFile();
    const saved = { hash: 'i', lastGood: 'a.yaml.last-good', runs: false, waits: null };
    setUp.done({ do: 'save-file', text: 'b', base: 'h' }, saved);
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
    expect(setUp.state).toEqual(NOTHING_READ);
  });

  it('says in its place what became of a backup, and asks for a new look at what was read', () => {
    const { setUp, kept } = withAnswers({});
    const told = { sum: 'abc', madeAt: 1, program: '1', yard: 'A', nights: 1, people: 1 };
    setUp.begun({ do: 'take-backup' });
    expect(setUp.state.backup.busy).toBe('taking');
    const came = { blob: new Blob(['PK']), name: 'a.zip' };
    setUp.done({ do: 'take-backup' }, came);
    expect([kept, setUp.state.backup.busy]).toEqual([[came], null]);
    setUp.done({ do: 'read-backup', zip: came.blob }, told);
    const no = { ok: false, status: 409, detail: 'Close the yard first.', reasons: [] } as const;
    expect(setUp.refused({ do: 'restore', sum: 'abc' }, { ...no, reasons: [] })).toBe(true);
    expect(setUp.state.backup).toEqual({ busy: null, told, refused: 'Close the yard first.', kept: null });
    // Another is being read: the one before is not to be restored by mistake.
    setUp.begun({ do: 'read-backup', zip: came.blob });
    expect(setUp.state.backup).toEqual({ busy: 'reading', told: null, refused: null, kept: null });
    expect(setUp.refused({ do: 'open' }, { ...no, reasons: [] })).toBe(false);
  });
});

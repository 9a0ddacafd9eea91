import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { BenchPress, REPEAT_MS } from '../../web/bench-press.ts';
import type { Command, Outcome } from '../../web/commands.ts';

type Bench = Extract<Command, { do: 'bench' }>;

describe('a bench move held while pressed', () => {
  const sent: { command: Bench; signal: AbortSignal | undefined }[] = [];
  let answer: () => Promise<Outcome>;
  let live: boolean;
  const changed = vi.fn();

  beforeEach(() => {
    vi.useFakeTimers();
    sent.length = 0;
    changed.mockReset();
    live = true;
    answer = async () => ({ ok: true, body: null });
  });
  afterEach(() => void vi.useRealTimers());

  const bench = () =>
    new BenchPress({
      send: (command, signal) => {
        sent.push({ command: command as Bench, signal });
        return answer();
      },
      live: () => live,
      changed,
    });

  it('is repeated every 100 ms under one name, and ends with a lifting of that name', async () => {
    const press = bench();
    press.hold('ferry', 'out');
    await vi.advanceTimersByTimeAsync(5 * REPEAT_MS);
    press.letGo();
    const names = new Set(sent.map(({ command }) => command.press));
    expect(sent).toHaveLength(7);
    expect(names.size).toBe(1);
    expect(sent.slice(0, 6).every(({ command }) => !command.up)).toBe(true);
    expect(sent.at(-1)!.command).toMatchObject({ prop: 'ferry', move: 'out', up: true });
    await vi.advanceTimersByTimeAsync(1000);
    expect(sent).toHaveLength(7);
  });

  it('takes back repeats still on the way, so that none arrives after the lifting', async () => {
    answer = () => new Promise(() => {});
    const press = bench();
    press.hold('ferry', 'out');
    await vi.advanceTimersByTimeAsync(10 * REPEAT_MS);
    // No more than two unanswered: a slow link must not queue presses.
    expect(sent).toHaveLength(2);
    press.letGo();
    expect(sent[0]!.signal!.aborted).toBe(true);
    expect(sent.at(-1)!.signal).toBeUndefined();
  });

  it('ends with a refusal and hands it on', async () => {
    const refused: Outcome = { ok: false, status: 409, detail: 'Ferryman is not at rest.', reasons: [] };
    answer = async () => refused;
    const press = bench();
    press.hold('ferry', 'out');
    await vi.advanceTimersByTimeAsync(REPEAT_MS);
    expect(press.held).toBeNull();
    expect(changed).toHaveBeenLastCalledWith(refused);
  });

  it('ends when the link is lost', async () => {
    const press = bench();
    press.hold('ferry', 'out');
    live = false;
    await vi.advanceTimersByTimeAsync(REPEAT_MS);
    expect(press.held).toBeNull();
  });

  it('names each press anew', async () => {
    const press = bench();
    press.hold('ferry', 'out');
    press.letGo();
    press.hold('ferry', 'out');
    press.letGo();
    const names = new Set(sent.map(({ command }) => command.press));
    expect(names.size).toBe(2);
  });
});

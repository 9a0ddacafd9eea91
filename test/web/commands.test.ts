import { describe, expect, it, vi } from 'vitest';
import { type Command, Commands, outcomeOf, requestOf } from '../../web/commands.ts';
import { Store } from '../../web/store.ts';
import { english } from '../../web/words.ts';
import { open } from '../browser/hand-pictures.ts';

function live(mono = { ms: 0 }) {
  const store = new Store(() => mono.ms);
  store.take(open(), 'joined');
  const fetcher = vi.fn(async () => Response.json({ ok: true }));
  return { mono, store, fetcher, commands: new Commands(store, fetcher as unknown as typeof fetch) };
}

function sent(fetcher: ReturnType<typeof live>['fetcher']) {
  const [path, init] = fetcher.mock.calls.at(-1) as unknown as [string, RequestInit];
  return { path, method: init.method, body: JSON.parse(String(init.body)) };
}

describe('commands', () => {
  it('carry the desk’s time as the page reckons it and the number last seen', async () => {
    const { mono, store, fetcher, commands } = live();
    mono.ms = 1234.4;
    await commands.send({ do: 'hold' });
    expect(sent(fetcher)).toEqual({
      path: '/api/hold',
      method: 'POST',
      body: { issued: open().at + 1234, seq: store.picture!.seq },
    });
  });

  it('carry what was seen when the press began, where that is older', async () => {
    const { fetcher, commands } = live();
    await commands.send({ do: 'clear' }, 4700);
    expect(sent(fetcher).body.seq).toBe(4700);
  });

  it('are neither sent nor kept while the link is lost', async () => {
    const { mono, fetcher, commands, store } = live();
    mono.ms = 2600;
    const outcome = await commands.send({ do: 'open' });
    expect(outcome).toMatchObject({ ok: false, detail: english.lost.notSent });
    store.take({ ...open(), at: open().at + 2600 }, 'asked');
    expect(fetcher).not.toHaveBeenCalled();
  });

  it('have the paths and bodies of the desk’s interface', () => {
    const table: [Command, string, object][] = [
      [{ do: 'clear' }, '/api/stop/clear', {}],
      [{ do: 'open' }, '/api/open', {}],
      [{ do: 'open-for', hours: 2, plan: true }, '/api/open', { for: '2 h' }],
      [{ do: 'open-for', hours: 1, plan: false }, '/api/open', { for: '1 h', plan: false }],
      [{ do: 'close' }, '/api/close', {}],
      [{ do: 'run', scene: 'crossing' }, '/api/scenes/crossing/run', {}],
      [{ do: 'lock-out', prop: 'ferry', why: 'Weather' }, '/api/props/ferry/lockout', { why: 'Weather' }],
      [{ do: 'release', prop: 'ferry' }, '/api/props/ferry/release', {}],
      [{ do: 'acknowledge', prop: 'ferry' }, '/api/props/ferry/acknowledge', {}],
      [
        { do: 'bench', prop: 'a', move: 'out', press: 'p', up: false },
        '/api/props/a/bench',
        { move: 'out', press: 'p' },
      ],
      [
        { do: 'bench', prop: 'a', move: 'out', press: 'p', up: true },
        '/api/props/a/bench',
        { move: 'out', press: 'p', up: true },
      ],
      [{ do: 'sign-in', pin: '4242' }, '/api/session', { pin: '4242' }],
      [
        { do: 'fault', prop: 'ferry', fault: 'jam', on: true },
        '/api/demo/fault',
        { prop: 'ferry', fault: 'jam', on: true },
      ],
    ];
    for (const [command, path, body] of table)
      expect(requestOf(command)).toMatchObject({ method: 'POST', path, body });
    expect(requestOf({ do: 'sign-in', pin: '4242' }).stamped).toBe(false);
    const quiet: [Command, string, string, object][] = [
      [{ do: 'check-file', text: 'a' }, 'POST', '/api/file/check', { text: 'a' }],
      [{ do: 'save-file', text: 'a', base: 'h' }, 'PUT', '/api/file', { text: 'a', base: 'h' }],
      [
        { do: 'add-person', name: 'Wren', role: 'helper', pin: '4242' },
        'POST',
        '/api/people',
        { name: 'Wren', role: 'helper', pin: '4242' },
      ],
      [{ do: 'remove-person', name: 'A/B' }, 'DELETE', '/api/people/A%2FB', {}],
      [{ do: 'set-pin', name: 'Wren', pin: '4242' }, 'PUT', '/api/people/Wren/pin', { pin: '4242' }],
      [
        { do: 'red-button', where: 'a', cuts: 'b', testedBy: 'c', testedOn: '2026-10-31' },
        'PUT',
        '/api/red-button',
        { where: 'a', cuts: 'b', testedBy: 'c', testedOn: '2026-10-31' },
      ],
    ];
    for (const [command, method, path, body] of quiet)
      expect(requestOf(command)).toMatchObject({ method, path, body, stamped: false });
    expect(requestOf({ do: 'sign-out' })).toMatchObject({ method: 'DELETE', path: '/api/session' });
  });

  it('tell every reason of a refusal, in order, and survive an answer that is none', () => {
    // Problem details with a list of reasons: RFC 9457 section 3.2 allows such members.
    const body = {
      detail: 'Two things.',
      reasons: [
        { code: 'a', sentence: 'First.' },
        { code: 'b', sentence: 'Then.' },
      ],
    };
    expect(outcomeOf(409, body)).toEqual({
      ok: false,
      status: 409,
      detail: 'Two things.',
      reasons: ['First.', 'Then.'],
    });
    for (const odd of [null, 'x', 7, [], { detail: 1, reasons: [null, 3, {}] }]) {
      expect(outcomeOf(500, odd)).toMatchObject({ ok: false, status: 500, reasons: [] });
    }
  });

  it('say that no answer came, and that the yard must be looked at', async () => {
    const { store } = live();
    const commands = new Commands(store, () => Promise.reject(new TypeError('network')));
    expect(await commands.send({ do: 'close' })).toMatchObject({ ok: false, detail: english.said.noAnswer });
  });
});

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Stopping } from '../../web/stopping.ts';

describe('sending STOP ALL', () => {
  beforeEach(() => void vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] }));
  afterEach(() => void vi.useRealTimers());

  function parts(answer: () => Promise<Response>, live = true, latched = false) {
    const made = {
      fetch: vi.fn(answer) as unknown as typeof fetch,
      beacon: vi.fn(),
      form: vi.fn(),
      live: () => live,
      latched: () => latched,
      changed: vi.fn(),
    };
    return { ...made, stopping: new Stopping(made) };
  }
  const status = (code: number) => async () => new Response('{}', { status: code });

  it('goes both ways at once and without asking what the link is like', async () => {
    const { stopping, fetch, beacon, form } = parts(status(200), false);
    stopping.press();
    expect(stopping.state).toBe('sending');
    expect(beacon).toHaveBeenCalledWith('/api/stop');
    expect(fetch).toHaveBeenCalledWith(
      '/api/stop',
      expect.objectContaining({ method: 'POST', keepalive: true }),
    );
    await vi.advanceTimersByTimeAsync(0);
    expect(stopping.state).toBe('taken');
    expect(form).not.toHaveBeenCalled();
  });

  it('tells when no bus took it', async () => {
    const { stopping } = parts(status(503));
    stopping.press();
    await vi.advanceTimersByTimeAsync(0);
    expect(stopping.state).toBe('no-bus');
  });

  it('tries again for 8 s, then says that it did not get through, and keeps nothing for later', async () => {
    const { stopping, fetch, form } = parts(() => Promise.reject(new TypeError('network')), false);
    stopping.press();
    await vi.advanceTimersByTimeAsync(7000);
    expect(stopping.state).toBe('sending');
    await vi.advanceTimersByTimeAsync(2000);
    expect(stopping.state).toBe('failed');
    const tries = vi.mocked(fetch).mock.calls.length;
    expect(tries).toBeGreaterThan(10);
    await vi.advanceTimersByTimeAsync(60_000);
    expect(vi.mocked(fetch).mock.calls.length).toBe(tries);
    // Without a link the form would only leave the page for an error page without a stop.
    expect(form).not.toHaveBeenCalled();
  });

  it('posts the plain form where the yard is there and fetch is not', async () => {
    const { stopping, form } = parts(() => Promise.reject(new TypeError('blocked')), true);
    stopping.press();
    await vi.advanceTimersByTimeAsync(1500);
    expect(form).not.toHaveBeenCalled();
    await vi.advanceTimersByTimeAsync(300);
    expect(form).toHaveBeenCalledTimes(1);
  });

  it('does not leave the page where the picture shows the stop, which came by the other way', async () => {
    const { stopping, form } = parts(() => Promise.reject(new TypeError('blocked')), true, true);
    stopping.press();
    await vi.advanceTimersByTimeAsync(9000);
    expect(form).not.toHaveBeenCalled();
  });

  it('is not held up by a beacon that throws or a try that hangs', async () => {
    let calls = 0;
    const { stopping, beacon, fetch } = parts(async () => {
      calls += 1;
      if (calls === 1) throw new DOMException('timed out', 'AbortError');
      return new Response('{}', { status: 200 });
    });
    beacon.mockImplementation(() => {
      throw new Error('blocked');
    });
    stopping.press();
    await vi.advanceTimersByTimeAsync(300);
    expect(stopping.state).toBe('taken');
    expect(fetch).toHaveBeenCalledTimes(2);
  });

  it('does not multiply with repeated presses, and another press begins the 8 s anew', async () => {
    const { stopping, fetch } = parts(() => Promise.reject(new TypeError('network')), false);
    for (let n = 0; n < 20; n += 1) stopping.press();
    expect(fetch).toHaveBeenCalledTimes(1);
    await vi.advanceTimersByTimeAsync(7000);
    stopping.press();
    await vi.advanceTimersByTimeAsync(7000);
    expect(stopping.state).toBe('sending');
  });

  it('is forgotten once the yard has been cleared', async () => {
    const { stopping } = parts(status(200));
    stopping.press();
    await vi.advanceTimersByTimeAsync(0);
    stopping.forget();
    expect(stopping.state).toBe('none');
  });
});

/**
 * A signal that aborts after `ms`, or with `other`. Written out because phones that still work in a yard lack
 * `AbortSignal.timeout` and `AbortSignal.any`, and the stop goes through here.
 */
export function within(ms: number, other?: AbortSignal): AbortSignal {
  const ours = new AbortController();
  const timer = setTimeout(() => ours.abort(), ms);
  ours.signal.addEventListener('abort', () => clearTimeout(timer));
  if (other?.aborted) ours.abort();
  else other?.addEventListener('abort', () => ours.abort(), { once: true });
  return ours.signal;
}

/**
 * Wrong PINs by address: each makes the next one wait longer, the fifth bars the address for a minute. Judged by a
 * clock that only goes forward, so that a set clock neither ends nor lengthens a bar.
 */

const WRONG_AT_MOST = 5;
const BAR_MS = 60_000;
const FORGET_MS = 600_000;
const FIRST_WAIT_MS = 250;
const ADDRESSES_AT_MOST = 1_000;

interface Tally {
  wrong: number;
  lastMs: number;
  barredUntilMs: number;
  /** One at a time from an address: many at once would get round the waiting. */
  busy: boolean;
}

export type Turn = { ok: true; waitMs: number } | { ok: false; why: 'barred' | 'busy'; againInMs: number };

export class Attempts {
  private readonly nowMs: () => number;
  private readonly tallies = new Map<string, Tally>();

  constructor(nowMs: () => number) {
    this.nowMs = nowMs;
  }

  /** Whether this address may try, and how long it must wait first. Every `ok` is followed by one `end`. */
  begin(address: string): Turn {
    const now = this.nowMs();
    const tally = this.tallies.get(address) ?? { wrong: 0, lastMs: now, barredUntilMs: 0, busy: false };
    if (tally.barredUntilMs > now) return { ok: false, why: 'barred', againInMs: tally.barredUntilMs - now };
    if (tally.busy) return { ok: false, why: 'busy', againInMs: 1_000 };
    if (tally.wrong >= WRONG_AT_MOST || now - tally.lastMs > FORGET_MS) tally.wrong = 0;
    tally.busy = true;
    tally.lastMs = now;
    this.put(address, tally);
    return { ok: true, waitMs: tally.wrong === 0 ? 0 : FIRST_WAIT_MS * 2 ** (tally.wrong - 1) };
  }

  /** `right` null: it was not looked at. */
  end(address: string, right: boolean | null): void {
    const tally = this.tallies.get(address);
    if (!tally) return;
    tally.busy = false;
    if (right === true) this.tallies.delete(address);
    if (right !== false) return;
    tally.wrong += 1;
    if (tally.wrong >= WRONG_AT_MOST) tally.barredUntilMs = this.nowMs() + BAR_MS;
  }

  barred(address: string): boolean {
    return (this.tallies.get(address)?.barredUntilMs ?? 0) > this.nowMs();
  }

  /** Last in line; over the bound, the address that tried longest ago is forgotten. */
  private put(address: string, tally: Tally): void {
    this.tallies.delete(address);
    this.tallies.set(address, tally);
    if (this.tallies.size > ADDRESSES_AT_MOST) {
      const [oldest] = this.tallies.keys();
      if (oldest !== undefined) this.tallies.delete(oldest);
    }
  }
}

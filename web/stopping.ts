import { within } from './deadline.ts';
import type { PressState } from './stop-roll.ts';

const TRY_FOR_MS = 8000;
const ONE_TRY_MS = 2000;
const BETWEEN_MS = 250;
/** With the yard in reach, so long without an answer and without the picture showing the stop, the form is posted. */
const FORM_AFTER_MS = 1500;

export interface StoppingParts {
  readonly fetch: typeof fetch;
  /** A second way past a page whose fetch is stuck: `navigator.sendBeacon`. */
  readonly beacon: (path: string) => void;
  /** The plain form, which leaves the page: for a browser that has the yard, but not fetch. */
  readonly form: () => void;
  readonly live: () => boolean;
  /** Whether the picture shows a latched stop. */
  readonly latched: () => boolean;
  readonly changed: () => void;
}

/**
 * Sends STOP ALL, both ways at once, without sign-in and without asking what the link is like, and tells what came
 * of it. Tried again for 8 s after each press and then given up: a stop is not kept for later either, since
 * by then the person will have gone to the red button.
 */
export class Stopping {
  state: PressState = 'none';
  readonly #parts: StoppingParts;
  #until = 0;
  #trying = false;

  constructor(parts: StoppingParts) {
    this.#parts = parts;
  }

  press(): void {
    this.#until = performance.now() + TRY_FOR_MS;
    this.#say('sending');
    try {
      this.#parts.beacon('/api/stop');
    } catch {
      // The other way is tried all the same.
    }
    if (!this.#trying) void this.#try();
  }

  /** Once the picture shows the yard moving again, a stop of before is over. */
  forget(): void {
    if (this.state !== 'none' && !this.#trying) this.#say('none');
  }

  async #try(): Promise<void> {
    this.#trying = true;
    try {
      const began = performance.now();
      while (performance.now() < this.#until) {
        const state = await this.#once();
        if (state) return this.#say(state);
        const waited = performance.now() - began;
        if (waited > FORM_AFTER_MS && this.#parts.live() && !this.#parts.latched()) return this.#parts.form();
        await new Promise((later) => setTimeout(later, BETWEEN_MS));
      }
      this.#say('failed');
    } catch {
      this.#say('failed');
      this.#parts.form();
    } finally {
      this.#trying = false;
    }
  }

  /** Null: no answer, try again. */
  async #once(): Promise<PressState | null> {
    try {
      const answer = await this.#parts.fetch('/api/stop', {
        method: 'POST',
        keepalive: true,
        cache: 'no-store',
        signal: within(ONE_TRY_MS),
      });
      if (answer.ok) return 'taken';
      return answer.status === 503 ? 'no-bus' : null;
    } catch {
      return null;
    }
  }

  #say(state: PressState): void {
    this.state = state;
    this.#parts.changed();
  }
}

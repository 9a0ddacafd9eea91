import type { Command, Outcome } from './commands.ts';

/** The desk halts the move when it hears no press for 250 ms. */
export const REPEAT_MS = 100;
/** Repeats not yet answered; more would only queue up behind a slow link. */
const UNANSWERED_AT_MOST = 2;

export interface BenchParts {
  readonly send: (command: Command, signal?: AbortSignal) => Promise<Outcome>;
  readonly live: () => boolean;
  /** Begun, or ended with what was refused. */
  readonly changed: (refused: Outcome | null) => void;
}

/** One move held while pressed: repeated every 100 ms, ended by letting go, a refusal or a lost link. */
export class BenchPress {
  readonly #parts: BenchParts;
  #held: { prop: string; move: string; press: string; timer: ReturnType<typeof setInterval> } | null = null;
  #cut = new AbortController();
  #unanswered = 0;

  constructor(parts: BenchParts) {
    this.#parts = parts;
  }

  get held(): { prop: string; move: string } | null {
    return this.#held;
  }

  hold(prop: string, move: string): void {
    this.letGo();
    const press = word();
    this.#cut = new AbortController();
    this.#unanswered = 0;
    this.#held = { prop, move, press, timer: setInterval(() => this.#repeat(), REPEAT_MS) };
    this.#parts.changed(null);
    this.#repeat();
  }

  letGo(refused: Outcome | null = null): void {
    const held = this.#held;
    if (!held) return;
    this.#held = null;
    clearInterval(held.timer);
    // Repeats still on the way must not arrive after the lifting.
    this.#cut.abort();
    void this.#parts.send({ do: 'bench', prop: held.prop, move: held.move, press: held.press, up: true });
    this.#parts.changed(refused);
  }

  #repeat(): void {
    const held = this.#held;
    if (!held) return;
    if (!this.#parts.live()) return this.letGo();
    if (this.#unanswered >= UNANSWERED_AT_MOST) return;
    this.#unanswered += 1;
    const { prop, move, press } = held;
    void this.#parts.send({ do: 'bench', prop, move, press, up: false }, this.#cut.signal).then((outcome) => {
      if (this.#held !== held) return;
      this.#unanswered -= 1;
      if (!outcome.ok) this.letGo(outcome);
    });
  }
}

/** A word that names this press. `crypto.randomUUID` is not to be had over plain http. */
function word(): string {
  return [...crypto.getRandomValues(new Uint8Array(8))]
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('');
}

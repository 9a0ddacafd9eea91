import type { Yard } from '../yard/types.ts';
import type { Effect, Entry } from './effects.ts';
import type { Event } from './events.ts';
import type { Mode, Reason } from './reasons.ts';
import type { Link, PropState, Run, SceneState, Show } from './show.ts';

/**
 * One step under way: a copy of the show that may be written to, and the effects so far. Copies are made on the first
 * write and only of what is written, so what did not change keeps its identity and the old show stays whole.
 */
export class Turn {
  readonly show: Show;
  readonly event: Event;
  readonly at: number;
  readonly effects: Effect[] = [];
  #props = false;
  #controllers = false;
  #scenes = false;
  #mend = false;

  constructor(before: Show, event: Event) {
    this.show = { ...before, n: event.n, at: event.at };
    this.event = event;
    this.at = event.at;
  }

  get yard(): Yard {
    return this.show.yard;
  }

  prop(id: string): PropState {
    return this.show.props[id]!;
  }

  setProp(id: string, change: Partial<PropState>): PropState {
    if (!this.#props) {
      this.show.props = { ...this.show.props };
      this.#props = true;
    }
    const next = { ...this.show.props[id]!, ...change };
    (this.show.props as Record<string, PropState>)[id] = next;
    return next;
  }

  link(id: string): Link {
    return this.show.controllers[id]!;
  }

  setLink(id: string, change: Partial<Link>): Link {
    if (!this.#controllers) {
      this.show.controllers = { ...this.show.controllers };
      this.#controllers = true;
    }
    const next = { ...this.show.controllers[id]!, ...change };
    (this.show.controllers as Record<string, Link>)[id] = next;
    return next;
  }

  setScene(id: string, change: Partial<SceneState>): void {
    if (!this.#scenes) {
      this.show.scenes = { ...this.show.scenes };
      this.#scenes = true;
    }
    (this.show.scenes as Record<string, SceneState>)[id] = { ...this.show.scenes[id]!, ...change };
  }

  run(id: string): Run | undefined {
    return this.show.runs.find((r) => r.id === id);
  }

  setRun(id: string, change: Partial<Run>): void {
    this.show.runs = this.show.runs.map((r) => (r.id === id ? { ...r, ...change } : r));
  }

  setMode(mode: Mode, by: string): void {
    if (this.show.mode === mode) return;
    this.show.mode = mode;
    this.show.modeAt = this.at;
    this.show.modeBy = by;
    const { night } = this.show;
    this.record({
      code: 'mode-now',
      mode,
      by,
      ...(mode === 'opening' && night ? { night: night.date } : {}),
    });
  }

  do(effect: Effect): void {
    this.effects.push(effect);
  }

  /** Takes back every order to move of this turn: nothing that moves goes out with a stop. */
  dropStarts(): void {
    const kept = this.effects.filter((e) => e.kind !== 'startMove');
    this.effects.splice(0, this.effects.length, ...kept);
  }

  record(reason: Reason, about: Omit<Entry, 'reason'> = {}): void {
    this.effects.push({ kind: 'record', entry: { reason, ...about } });
  }

  answer(refused: readonly Reason[] = []): void {
    this.effects.push({ kind: 'answer', refused });
  }

  /** Asks for the rest of tonight's plan to be mended, once a turn. */
  mend(): void {
    if (this.#mend) return;
    this.#mend = true;
    this.effects.push({ kind: 'mendPlan' });
  }
}

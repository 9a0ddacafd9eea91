import type { Picture } from '../server/picture.ts';
import type { Me } from './store.ts';
import type { Words } from './words.ts';

/** What `GET /api/demo` tells. */
export interface Demo {
  readonly faults: readonly { readonly prop: string; readonly fault: string }[];
  /** Whether this page may sign in as the keeper without a PIN. */
  readonly keeper: boolean;
}

/**
 * A newcomer's minute: jam the prop, see it locked out, read why, free it, release it, see it run again.
 * `shut`: the yard is not open, so nothing would move; `done`: it has run again.
 */
export type TourStep = 'shut' | 'jam' | 'wait' | 'locked' | 'release' | 'again' | 'runs' | 'done';

export interface TourView {
  readonly step: TourStep;
  readonly prop: string;
  readonly title: string;
  /** Whether the prop's jam is on: then it can be freed, whatever else. */
  readonly jammed: boolean;
  /** What is waited for, as the desk says it; null where nothing. */
  readonly why: string | null;
  /** Whether the page may sign in as the keeper without a PIN. */
  readonly keeper: boolean;
}

/** The prop that is jammed and the scene that moves it, in the demonstration's yard. */
const PROP = 'ferry';
const SCENE = 'crossing';
/** So often the scene is asked for while it is wanted and nothing stands against it. */
const ASK_EVERY_MS = 1500;

/** Follows what a visitor of the demonstration has done and seen on this page. */
export class Tour {
  demo: Demo | null = null;
  #seenLocked = false;
  #releasedAt: { made: number } | null = null;
  #wanted = false;
  #askedAt = Number.NEGATIVE_INFINITY;

  /** The visitor wants to see the scene: it is set off as soon as the yard's rules allow. */
  want(): void {
    this.#wanted = true;
  }

  forget(): void {
    this.#seenLocked = false;
    this.#releasedAt = null;
    this.#wanted = false;
  }

  jammed(): boolean {
    return this.demo?.faults.some((one) => one.prop === PROP) ?? false;
  }

  /** Takes in a picture, and gives the scene to be asked for now, if any. */
  look(picture: Picture, nowMs: number): string | null {
    const prop = own(picture.props, PROP);
    const scene = own(picture.scenes, SCENE);
    if (!prop || !scene) return null;
    if (prop.lockout) {
      this.#seenLocked = true;
      this.#releasedAt = null;
      this.#wanted = false;
    } else if (this.#seenLocked && !this.#releasedAt) this.#releasedAt = { made: scene.made };
    if (this.#releasedAt && scene.running) this.#wanted = false;
    if (!this.#wanted || picture.mode !== 'open' || scene.why !== null || scene.running) return null;
    if (nowMs - this.#askedAt < ASK_EVERY_MS) return null;
    this.#askedAt = nowMs;
    return SCENE;
  }

  /** Null where the yard is not the demonstration's, or lacks its prop. */
  view(picture: Picture): TourView | null {
    const prop = own(picture.props, PROP);
    if (!picture.yard.demonstration || !prop) return null;
    const scene = own(picture.scenes, SCENE);
    const step = this.#step(picture);
    const waits = step === 'wait' || step === 'again' || step === 'runs';
    const held = scene && !scene.running ? scene.why : null;
    return {
      step,
      prop: PROP,
      title: prop.title,
      jammed: this.jammed(),
      why: waits ? (held ?? (prop.move ? prop.why : null)) : null,
      keeper: this.demo?.keeper ?? false,
    };
  }

  #step(picture: Picture): TourStep {
    const prop = own(picture.props, PROP)!;
    const scene = own(picture.scenes, SCENE);
    if (prop.lockout) return this.jammed() ? 'locked' : 'release';
    if (picture.mode !== 'open') return 'shut';
    if (this.jammed()) return 'wait';
    if (!this.#releasedAt) return 'jam';
    // over once it has run: the scene goes on by the plan, which is no news any more
    if ((scene?.made ?? 0) > this.#releasedAt.made) return 'done';
    return scene?.running ? 'runs' : 'again';
  }
}

/** What the tour says now, true for the yard's mode and for where the prop stands. */
export function tourText(
  { demo }: Words,
  { step, prop: id, title, jammed }: TourView,
  picture: Picture,
): string {
  if (step === 'shut') {
    const shut = picture.mode === 'open' ? '' : demo.shut[picture.mode];
    return jammed ? `${shut} ${demo.stillJammed(title)}` : shut;
  }
  if (step !== 'again') return demo.steps[step](title);
  const { state, at } = picture.props[id]!;
  if (state === 'unknown') return demo.mustHome(title);
  const stands = (state === 'ready' || state === 'resting') && at !== null;
  return stands ? demo.stands(title, at) : demo.steps.again(title);
}

/** Whether the release in the tour needs a sign-in first. */
export function mustSignIn(me: Me | null): boolean {
  return me?.role !== 'keeper';
}

function own<T>(table: Record<string, T>, id: string): T | undefined {
  return Object.hasOwn(table, id) ? table[id] : undefined;
}

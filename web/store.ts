import type { Beat, FeedChange } from '../server/api/feed-words.ts';
import type { Curves } from '../server/curves.ts';
import type { PictureChange } from '../server/desk-door.ts';
import type { Picture, RunFate } from '../server/picture.ts';
import type { PlanRun } from '../server/plan/tonight.ts';
import type { PlanNow } from '../server/plan-now.ts';
import { Link, LOST_AFTER_MS } from './link.ts';

export type FatedPlan = Omit<PlanNow, 'runs'> & { runs: (PlanRun & RunFate)[] };

/** Who is signed in on this page. */
export interface Me {
  name: string;
  role: 'helper' | 'keeper';
}

/** `looking`: no picture yet, and not long enough without one to say that it is lost. */
export type LinkState = 'looking' | 'live' | 'lost';

/** How many changes are kept while a whole picture is on its way; beyond that they are of no use. */
const KEPT_CHANGES = 500;

/**
 * What the page knows: the picture with the changes merged in, how old it is, who is signed in, tonight's plan.
 * Everything comes in through here and goes down to the elements as data.
 */
export class Store {
  picture: Picture | null = null;
  me: Me | null = null;
  plan: FatedPlan | null = null;
  curves: Curves | null = null;
  /** Called when a change was missed or the page slept: a whole picture is wanted. */
  onWant: () => void = () => {};

  readonly #mono: () => number;
  readonly #link = new Link();
  readonly #listeners = new Set<() => void>();
  readonly #born: number;
  #waiting: FeedChange[] = [];
  #missing = false;
  #doubted = false;

  constructor(mono: () => number) {
    this.#mono = mono;
    this.#born = mono();
  }

  /** Returns how to leave. */
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  tell(): void {
    for (const listener of this.#listeners) listener();
  }

  /** A whole picture. `how`: joined by the feed, or asked for by us just now, which alone ends a doubt. */
  take(picture: Picture, how: 'joined' | 'asked'): void {
    const have = this.picture;
    const late = how === 'asked' && !!have && picture.seq < have.seq && picture.at <= have.at;
    if (how === 'joined') this.#link.restart();
    if (how === 'asked') this.#doubted = false;
    if (!late) {
      this.picture = picture;
      this.#missing = false;
    }
    this.#link.hear(picture.at, this.#mono());
    const waiting = this.#waiting;
    this.#waiting = [];
    for (const change of waiting) this.#merge(change);
    this.tell();
  }

  /** What changed since. Something left out makes the page ask for the whole again. */
  change(change: FeedChange): void {
    this.#merge(change);
    if (this.#missing) this.#link.note(change.at, this.#mono());
    else this.#link.hear(change.at, this.#mono());
    this.tell();
  }

  /** The beat says that the picture is live up to its `seq`; it says nothing while we have missed something. */
  beat({ at, seq }: Beat): void {
    if (this.picture && seq > this.picture.seq) this.#miss();
    if (!this.picture) return;
    if (this.#missing) this.#link.note(at, this.#mono());
    else this.#link.hear(at, this.#mono());
    this.tell();
  }

  /** The page slept or was hidden: until a picture asked for from now on has come, nothing counts as live. */
  doubt(): void {
    this.#doubted = true;
    this.onWant();
    this.tell();
  }

  ageMs(): number {
    return this.#link.ageMs(this.#mono());
  }

  link(): LinkState {
    if (!this.picture) return this.#mono() - this.#born < LOST_AFTER_MS ? 'looking' : 'lost';
    return this.#doubted || this.ageMs() > LOST_AFTER_MS ? 'lost' : 'live';
  }

  /** How long the page has been without word, ms: the strip counts it up while the link is lost. */
  silentMs(): number {
    return this.picture ? this.ageMs() : this.#mono() - this.#born;
  }

  /** The time that what is shown belongs to: it stands still while the link is lost. */
  shownMs(): number {
    return this.link() === 'lost' ? this.#link.lastAt() : this.deskNow();
  }

  deskNow(): number {
    return this.#link.deskNow(this.#mono());
  }

  /** Laid over what we have where it follows on it or overlaps it; kept for the whole picture where something is missing. */
  #merge(change: FeedChange): void {
    const have = this.picture;
    if (have && change.seq <= have.seq) return;
    if (have && !this.#missing && change.from <= have.seq) {
      this.picture = mergeChange(have, change);
      return;
    }
    if (this.#waiting.length >= KEPT_CHANGES) this.#waiting.shift();
    this.#waiting.push(change);
    if (have) this.#miss();
  }

  #miss(): void {
    if (this.#missing) return;
    this.#missing = true;
    this.onWant();
  }
}

/** The picture with a change laid over it; what did not change keeps its identity, so rows need not be drawn again. */
export function mergeChange(have: Picture, change: PictureChange): Picture {
  return {
    ...have,
    ...change.set,
    seq: change.seq,
    at: change.at,
    props: lay(have.props, change.props),
    scenes: lay(have.scenes, change.scenes),
    circuits: lay(have.circuits, change.circuits),
    tanks: lay(have.tanks, change.tanks),
    zones: lay(have.zones, change.zones),
  };
}

/** An id that is null in the change is gone. */
function lay<T>(
  have: Record<string, T>,
  change: Partial<Record<string, T | null>> | undefined,
): Record<string, T> {
  if (!change) return have;
  const merged = new Map(Object.entries(have));
  for (const [id, value] of Object.entries(change)) {
    if (value === null || value === undefined) merged.delete(id);
    else merged.set(id, value);
  }
  return Object.fromEntries(merged);
}

import type { ChangeWhen, FileChange } from './file/difference.ts';
import type { NightTimes } from './plan/tonight.ts';
import { anyMoving } from './serve-parts.ts';
import type { Fact } from './show/events.ts';
import { isByHand, type Show } from './show/show.ts';
import type { Yard } from './yard/types.ts';

/** The yard file that holds. */
export interface HeldFile {
  readonly text: string;
  readonly hash: string;
  readonly yard: Yard;
}

/** A file that was saved and does not hold yet, with what it waits for. */
export interface WaitingFile {
  readonly when: Exclude<ChangeWhen, 'now' | 'night'>;
  /** Ids of the props and scenes that must be at rest first. */
  readonly props: readonly string[];
  readonly scenes: readonly string[];
}

export interface LiveYardParts {
  readonly show: () => Show;
  /** The night prepared now by a yard, if any. */
  readonly night: (yard: Yard) => NightTimes | null;
  /** Exchanges the yard under the desk, between two turns; false where it can't be just now. */
  readonly exchange: (file: HeldFile, fact: Fact, stillFits: () => boolean) => boolean;
  /** A file was saved, and holds or waits: what people see of it has changed. */
  readonly saved: () => void;
  /** After an exchange: the bus, the calendar and tonight's plan. */
  readonly exchanged: (file: HeldFile) => void;
}

interface Pending {
  readonly file: HeldFile;
  readonly changes: readonly FileChange[];
  readonly by: string;
}

const RANK: readonly ChangeWhen[] = ['now', 'night', 'rest', 'closed', 'start'];

/**
 * The yard file that holds, and the one saved last that waits to. A file holds as a whole or not at all: nobody ever
 * saved half of one. So it waits for the last thing that any of its changes waits for, and holds at the next start at
 * the latest.
 */
export class LiveYard {
  #held: HeldFile;
  #pending: Pending | null = null;
  readonly #parts: LiveYardParts;

  constructor(held: HeldFile, parts: LiveYardParts) {
    this.#held = held;
    this.#parts = parts;
  }

  get held(): HeldFile {
    return this.#held;
  }

  /** A file was saved. Looks at once whether it can hold. */
  want(file: HeldFile, changes: readonly FileChange[], by: string): void {
    const { bus } = this.#held.yard;
    // The port may be the settings' own; where the file's bus has changed it waits for the next start anyway.
    const live = changes.some((c) => c.when === 'start') ? file : { ...file, yard: { ...file.yard, bus } };
    this.#pending = file.text === this.#held.text ? null : { file: live, changes, by };
    this.look();
    this.#parts.saved();
  }

  /** Changes as they are judged just now, for a page. */
  judged(changes: readonly FileChange[], yard: Yard): FileChange[] {
    return changes.map((c) => ({ ...c, when: this.#judge(c, yard) }));
  }

  /** After each turn: exchanges the yard as soon as everything that it touches is at rest. */
  look(): void {
    const pending = this.#pending;
    if (!pending || this.waits() !== null) return;
    const { file, changes, by } = pending;
    const fact: Fact = {
      kind: 'yardChanged',
      by,
      changes: changes.length,
      yardHash: file.hash,
      night: this.#parts.night(file.yard),
    };
    const fits = (): boolean => this.#pending === pending && this.waits() === null;
    if (!this.#parts.exchange(file, fact, fits)) return;
    this.#pending = null;
    this.#held = file;
    this.#parts.exchanged(file);
  }

  /** What the file saved last waits for just now; null where none waits, or where nothing holds it back. */
  waits(): WaitingFile | null {
    const pending = this.#pending;
    if (!pending) return null;
    const show = this.#parts.show();
    const whens = new Set(pending.changes.map((c) => this.#judge(c, pending.file.yard)));
    const when = RANK.findLast((w) => whens.has(w)) ?? 'now';
    const nothing = { props: [], scenes: [] };
    if (when === 'start') return { when, ...nothing };
    if (when === 'closed') return show.mode === 'closed' && !anyMoving(show) ? null : { when, ...nothing };
    const props = touched(pending, 'prop').filter((id) => !propRests(show, id));
    const scenes = touched(pending, 'scene').filter((id) => show.runs.some((run) => run.scene === id));
    return props.length + scenes.length > 0 ? { when: 'rest', props, scenes } : null;
  }

  /** Whether a file was saved that does not hold yet. */
  get pending(): boolean {
    return this.#pending !== null;
  }

  #judge({ when }: FileChange, yard: Yard): ChangeWhen {
    if (when !== 'night') return when;
    const { night, mode } = this.#parts.show();
    if (mode === 'closed' || !night || isByHand(night)) return 'now';
    return this.#parts.night(yard)?.date === night.date ? 'now' : 'closed';
  }
}

function touched({ changes }: Pending, kind: 'prop' | 'scene'): string[] {
  return [...new Set(changes.flatMap(({ of }) => (of?.kind === kind ? [of.id] : [])))];
}

/** No run holds it, no move of it is under way, nobody has it on the bench, and homing does not want it. */
function propRests(show: Show, id: string): boolean {
  if (!Object.hasOwn(show.props, id)) return true;
  const p = show.props[id]!;
  const { homing } = show;
  return (
    p.flight === null &&
    p.heldBy === null &&
    (p.bench === null || p.bench.over) &&
    !(homing?.waiting.includes(id) || homing?.moving.includes(id))
  );
}

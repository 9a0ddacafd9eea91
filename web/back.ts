import type { RecordLine } from '../server/desk-door.ts';
import type { Course } from '../server/past/course.ts';
import type { KnownNight } from '../server/past/nights.ts';
import type { Then } from '../server/past/reader.ts';
import type { Story } from '../server/past/story.ts';
import type { PropTravels } from '../server/prop-travels.ts';
import type { Told } from '../server/report/tables.ts';
import type { Outcome } from './commands.ts';

/** The nights that the record knows, and one of them in words. */
export interface Past {
  /** Newest first; null where they can't be read. */
  readonly nights: readonly KnownNight[] | null;
  /** The one that is shown. */
  readonly night: string | null;
  readonly told: Told | null;
  /** Whether `told` has been asked for and answered. */
  readonly read: boolean;
}

/** A night that someone goes through. */
export interface Replay {
  readonly night: string;
  /** Null while it is not read, and where nothing is recorded. */
  readonly course: Course | null;
  readonly read: boolean;
  /** The moment asked for last, ms since 1970; `shown` may still be another. */
  readonly askedAt: number | null;
  readonly shown: Then | null;
  /** Why the moment asked for can't be shown, in a sentence. */
  readonly refused: string | null;
}

/** What is read of a prop besides the picture. */
export interface Sheet {
  readonly prop: string;
  readonly travels: PropTravels | null;
  /** Its story, newest first; null where the record can't be read. */
  readonly lines: readonly RecordLine[] | null;
  /** Of which number on there is more, further back; null at the beginning. */
  readonly before: number | null;
}

export interface BackState {
  readonly past: Past | null;
  readonly replay: Replay | null;
  readonly sheet: Sheet | null;
}

export interface BackParts {
  readonly read: <T>(path: string) => Promise<T | null>;
  /** The same with why not; folding an evening takes the yard computer seconds. */
  readonly look: (path: string, withinMs: number) => Promise<Outcome>;
  readonly changed: () => void;
}

const MOMENT_WITHIN_MS = 25_000;
const AGAIN_MS = 500;
const AGAIN_AT_MOST = 20;
const COURSE_WITHIN_MS = 10_000;
const STORY_LINES = 40;
/** The slider runs this much past a moment that lies outside its night. */
const MARGIN_MS = 60_000;

/** What the page reads of the past: the nights, a night to go through, a prop's story. */
export class Back {
  readonly #parts: BackParts;
  state: BackState = { past: null, replay: null, sheet: null };
  #wanted: number | null = null;
  #looking = false;

  constructor(parts: BackParts) {
    this.#parts = parts;
  }

  /** The nights that the record knows, and one of them in words: the one named, else the newest. */
  async readNight(named: string | null): Promise<void> {
    const found = await this.#parts.read<{ nights: KnownNight[] }>('/api/nights');
    const nights = found?.nights ?? null;
    const night = named ?? nights?.[0]?.night ?? null;
    this.#set({ past: { nights, night, told: null, read: night === null } });
    if (night === null) return;
    const told = await this.#parts.read<Told>(`/api/nights/${encodeURIComponent(night)}/told`);
    if (this.state.past?.night === night) this.#set({ past: { nights, night, told, read: true } });
  }

  /** The night that a moment lies in or after: the last that had been opened by then, or else planned; null for none. */
  async nightOf(at: number): Promise<string | null> {
    const found = await this.#parts.read<{ nights: KnownNight[] }>('/api/nights');
    const began = ({ openedAt, plannedAt }: KnownNight) => openedAt ?? plannedAt ?? Number.POSITIVE_INFINITY;
    const before = (found?.nights ?? []).filter((night) => began(night) <= at);
    return before.sort((a, b) => began(b) - began(a))[0]?.night ?? null;
  }

  /** Begins to go through a night: at a moment, or else at its first trouble or its end. */
  async readCourse(night: string, at: number | null): Promise<void> {
    this.#wanted = null;
    this.#set({ replay: { night, course: null, read: false, askedAt: at, shown: null, refused: null } });
    const found = await this.#parts.look(`/api/nights/${encodeURIComponent(night)}/course`, COURSE_WITHIN_MS);
    if (this.state.replay?.night !== night) return;
    const course = found.ok ? around(found.body as Course, at) : null;
    const refused = found.ok || found.status === 404 ? null : found.detail;
    this.#change({ course, read: true, refused });
    if (course) this.go(this.state.replay.askedAt ?? course.faults[0] ?? course.stops[0] ?? course.to);
  }

  /** A night that still goes on is longer by now. */
  async renewCourse(): Promise<void> {
    const { replay } = this.state;
    if (!replay?.course) return;
    const found = await this.#parts.look(
      `/api/nights/${encodeURIComponent(replay.night)}/course`,
      COURSE_WITHIN_MS,
    );
    const now = this.state.replay;
    if (!found.ok || now?.night !== replay.night) return;
    this.#change({ course: around(found.body as Course, now.askedAt) });
  }

  /** Asks for a moment. One question is under way at a time; of those that come meanwhile the last is asked. */
  go(at: number): void {
    if (!this.state.replay) return;
    this.#wanted = Math.round(at);
    this.#change({ askedAt: this.#wanted });
    if (!this.#looking) void this.#look();
  }

  async #look(): Promise<void> {
    this.#looking = true;
    let again = 0;
    while (this.#wanted !== null) {
      const at = this.#wanted;
      this.#wanted = null;
      const found = await this.#parts.look(`/api/past?at=${at}`, MOMENT_WITHIN_MS);
      if (this.state.replay?.askedAt !== at) continue;
      // the yard computer reads in pieces: asked again, it goes on where it was
      if (!found.ok && found.status === 503 && again < AGAIN_AT_MOST) {
        again += 1;
        await new Promise((later) => setTimeout(later, AGAIN_MS));
        this.#wanted ??= at;
        continue;
      }
      again = 0;
      // what was shown before stays where this can't be read now; where nothing is kept of then, nothing is shown
      if (found.ok) this.#change({ shown: found.body as Then, refused: null });
      else this.#change({ refused: found.detail, ...(found.status === 404 ? { shown: null } : {}) });
    }
    this.#looking = false;
  }

  /** A prop's travel times, and its story from now on back; what was read further back stays. */
  async readSheet(prop: string): Promise<void> {
    const path = `/api/props/${encodeURIComponent(prop)}`;
    const travels = await this.#parts.read<PropTravels>(`${path}/travels`);
    const story = await this.#parts.read<Story>(`${path}/story?limit=${STORY_LINES}`);
    const had = this.state.sheet?.prop === prop ? this.state.sheet : null;
    this.#set({ sheet: { prop, travels, ...joined(story, had) } });
  }

  /** The next page of its story, further back. */
  async readEarlier(prop: string): Promise<void> {
    const before = this.state.sheet?.before;
    if (before === null || before === undefined) return;
    const story = await this.#parts.read<Story>(
      `/api/props/${encodeURIComponent(prop)}/story?limit=${STORY_LINES}&before=${before}`,
    );
    const { sheet } = this.state;
    if (!story || sheet?.prop !== prop || sheet.before !== before) return;
    this.#set({ sheet: { ...sheet, lines: [...(sheet.lines ?? []), ...story.lines], before: story.before } });
  }

  #change(change: Partial<Replay>): void {
    if (this.state.replay) this.#set({ replay: { ...this.state.replay, ...change } });
  }

  #set(change: Partial<BackState>): void {
    this.state = { ...this.state, ...change };
    this.#parts.changed();
  }
}

/** The newest page in front of what was read further back, where the two meet. */
function joined(story: Story | null, had: Sheet | null): Pick<Sheet, 'lines' | 'before'> {
  if (!story) return { lines: had?.lines ?? null, before: had?.before ?? null };
  const oldest = story.lines.at(-1)?.n;
  const kept = had?.lines ?? [];
  const meet = oldest !== undefined && kept.some(({ n }) => n >= oldest);
  if (!meet) return { lines: story.lines, before: story.before };
  return { lines: [...story.lines, ...kept.filter(({ n }) => n < oldest)], before: had!.before };
}

/** A night's course with the moment in it, should that lie outside. */
function around(course: Course, at: number | null): Course {
  if (at === null) return course;
  return {
    ...course,
    from: at < course.from ? at - MARGIN_MS : course.from,
    to: at > course.to ? at + MARGIN_MS : course.to,
  };
}

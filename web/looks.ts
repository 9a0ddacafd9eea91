import type { Curves } from '../server/curves.ts';
import type { RecordLine } from '../server/desk-door.ts';
import type { Back } from './back.ts';
import type { Commands } from './commands.ts';
import { Tonight } from './record.ts';
import type { Route } from './route.ts';
import type { SetUp } from './set-up.ts';
import type { FatedPlan, Store } from './store.ts';

const READ_EVERY_MS = 2000;
const CURVES_EVERY_MS = 15_000;
const COURSE_EVERY_MS = 10_000;
/** A night that ended so long ago grows no more. */
const TONIGHT_AGE_MS = 120_000;
const TONIGHT_MS = 12 * 3_600_000;

export interface LooksParts {
  readonly store: Store;
  readonly commands: Pick<Commands, 'read'>;
  readonly back: Back;
  readonly setUp: SetUp;
  readonly route: () => Route;
  readonly closed: (lines: RecordLine[] | null) => void;
  readonly changed: () => void;
}

/** What a screen shows besides the picture, read again by itself while the screen is there. */
export class Looks {
  readonly #parts: LooksParts;
  readonly #tonight: Tonight;
  #readAt = 0;
  #curvesAt = 0;
  #courseAt = 0;
  #planOf: unknown = null;

  constructor(parts: LooksParts) {
    this.#parts = parts;
    this.#tonight = new Tonight(async (after, limit) => {
      const path = `/api/journal?after=${after}&limit=${limit}`;
      return (await parts.commands.read<{ lines: RecordLine[] }>(path))?.lines ?? null;
    });
  }

  /** Called several times a second while the picture is live. */
  tick(): void {
    if (performance.now() - this.#readAt < READ_EVERY_MS) return;
    const { store } = this.#parts;
    const route = this.#parts.route();
    // the yard shows it too where there is room, and has asked for it then
    const plans = route.screen === 'tonight' || (route.screen === 'yard' && store.plan !== null);
    if (plans && this.#planOf !== store.picture?.scenes) void this.plan();
    if (route.screen === 'tonight' && performance.now() - this.#curvesAt > CURVES_EVERY_MS)
      void this.curves();
    if (route.screen === 'past') this.#renewPast();
    if (route.screen === 'faults') void this.closed();
    if (route.screen === 'prop') void this.sheet(route.prop);
    if (route.screen === 'setup' && route.part === 'file') this.#renewWaiting();
  }

  async plan(): Promise<void> {
    const { store, commands, changed } = this.#parts;
    this.#readAt = performance.now();
    this.#planOf = store.picture?.scenes;
    const read = await commands.read<FatedPlan>('/api/plan');
    // Where nothing is read for want of an answer, the plan of the same night still stands.
    if (read || store.plan?.night !== store.picture?.night?.date) store.plan = read;
    changed();
  }

  async curves(): Promise<void> {
    const { store, commands, changed } = this.#parts;
    this.#curvesAt = performance.now();
    store.curves = (await commands.read<Curves>('/api/plan/curves')) ?? store.curves;
    changed();
  }

  async sheet(prop: string): Promise<void> {
    this.#readAt = performance.now();
    await this.#parts.back.readSheet(prop);
  }

  /** Tonight is what was recorded in the last twelve hours. */
  async closed(): Promise<void> {
    this.#readAt = performance.now();
    const lines = await this.#tonight.lines(this.#parts.store.deskNow() - TONIGHT_MS);
    this.#parts.closed(lines?.filter((line) => line.code === 'lockout-released').reverse() ?? null);
  }

  /** Tonight grows longer while someone goes through it. */
  #renewPast(): void {
    const { back, store } = this.#parts;
    const course = back.state.replay?.course;
    if (!course || course.to < store.deskNow() - TONIGHT_AGE_MS) return;
    if (performance.now() - this.#courseAt < COURSE_EVERY_MS) return;
    this.#courseAt = performance.now();
    void back.renewCourse();
  }

  /** A saved file that waits: whether it runs by now. */
  #renewWaiting(): void {
    const { setUp } = this.#parts;
    if (setUp.state.file?.told.runs !== false) return;
    this.#readAt = performance.now();
    void setUp.lookAtFile();
  }
}

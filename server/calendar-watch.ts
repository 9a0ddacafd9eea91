import { type Alarm, startAlarm } from './calendar/alarm.ts';
import type { Clock } from './clock.ts';
import type { Desk } from './desk.ts';
import type { HeldFile } from './live-yard.ts';
import type { NightTimes } from './plan/tonight.ts';
import { drawPlan } from './plan-draw.ts';
import { type PlanKeeper, plannedStarts } from './plan-keeper.ts';
import type { Log } from './serve-parts.ts';
import { isByHand } from './show/show.ts';
import { expectsOf } from './show/travel.ts';

/** How often the desk's turns look whether a night is to be prepared. */
const CALENDAR_MS = 10_000;

export interface CalendarParts {
  readonly desk: () => Desk;
  readonly held: () => HeldFile;
  readonly plans: PlanKeeper;
  readonly clock: Clock;
  readonly log: Log;
}

/** Has each night's plan drawn up when the calendar says so, and anew once another yard file holds. */
export class CalendarWatch {
  readonly #parts: CalendarParts;
  #alarm: Alarm | null = null;
  #lookedAt = 0;
  /** The file and night whose plan is being drawn up. */
  #drawing: string | null = null;
  /** Another file has come to hold since the start: its plan may be drawn up in mid-night. */
  #anew = false;

  constructor(parts: CalendarParts) {
    this.#parts = parts;
  }

  /** `drawn`: nights whose plan is there already. */
  begin(drawn: readonly string[]): void {
    this.#alarm?.stop();
    this.#alarm = startAlarm({
      yard: this.#parts.held().yard,
      nowMs: this.#parts.clock.wall,
      drawn,
      due: (night) => void this.draw(night),
    });
  }

  /** After a step of the clock the alarm's own waking may be hours off: the desk's turns look too. */
  look(): void {
    const { clock } = this.#parts;
    if (!this.#alarm || Math.abs(clock.wall() - this.#lookedAt) < CALENDAR_MS) return;
    this.#lookedAt = clock.wall();
    this.#alarm.check();
  }

  /** Another yard file holds: its nights count, and what is left of tonight is drawn up by it. */
  changed(): void {
    const { plans, desk } = this.#parts;
    plans.plan = null;
    this.#anew = true;
    this.begin([]);
    const { night } = desk().show;
    if (night && isByHand(night)) void this.draw(night);
  }

  /** Draws a night's plan and hands it to the desk; what can't be drawn is said, and the night opens without. */
  async draw(night: NightTimes): Promise<void> {
    const { plans, desk, held, clock, log } = this.#parts;
    const { text, hash } = held();
    const what = `${hash} ${night.date}`;
    if (this.#drawing === what) return;
    this.#drawing = what;
    try {
      const kept = plans.kept(night, hash);
      const plan = kept ?? (await drawPlan({ text, night, expects: expectsOf(desk().show) }));
      // another file holds by now, and its plan is being drawn up
      if (held().hash !== hash) return;
      plans.keep(plan, hash);
      const all = plannedStarts(plan, night);
      // drawn up anew in mid-night: what is over is over
      const runs = this.#anew ? all.filter((r) => r.startMs > clock.wall()) : all;
      desk().tell({ kind: 'nightDrawn', night, runs });
    } catch (error) {
      log.error(
        { error: String(error) },
        `Tonight's plan could not be drawn up; scenes run only by hand and by trigger.`,
      );
      desk().tell({ kind: 'nightDrawn', night, runs: [] });
    } finally {
      if (this.#drawing === what) this.#drawing = null;
    }
  }

  stop(): void {
    this.#alarm?.stop();
  }
}

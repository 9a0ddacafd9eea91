import type { StoredLine } from './journal/port.ts';
import type { UnplannedRun } from './picture.ts';
import { FATES } from './report/runs.ts';
import type { Entry } from './show/effects.ts';
import type { Origin, Reason, ReasonOf, RunEnd } from './show/reasons.ts';
import { type Show, wallOf } from './show/show.ts';

/** A run's start or its end, as the record has it; `at` in ms since 1970. */
export interface RunLine {
  readonly run: string;
  readonly scene: string;
  readonly at: number;
  readonly reason: ReasonOf<'run-started'> | RunEnd;
}

/** Runs kept of a night; with more the oldest are forgotten, as a page could not show them anyway. */
const KEPT_RUNS = 5000;

interface Begun {
  readonly scene: string;
  readonly at: number;
  readonly origin: UnplannedRun['origin'];
}

/**
 * The runs of a night that are on no plan: started by hand, set off by a guest, or for the notice. The core knows only
 * those under way, so their starts and ends are heard as they go to the record; those of before a restart are read out of it.
 */
export class UnplannedRuns {
  /** The last that there was: it is told of after its close too. */
  #night: Show['night'] = null;
  readonly #begun = new Map<string, Begun>();
  readonly #ended = new Map<string, { readonly at: number; readonly reason: RunEnd }>();

  /** A line for the record, and the show as it then was. */
  heard({ reason, run, scene }: Entry, show: Show): void {
    if (run === undefined || scene === undefined || !isOfRun(reason)) return;
    const night = show.night ?? this.#night;
    if (night?.date !== this.#night?.date) {
      this.#begun.clear();
      this.#ended.clear();
    }
    this.#night = night;
    // how a planned run ends is told with the plan
    if (!this.#begun.has(run) && show.planned.some((p) => p.id === run)) return;
    this.#take({ run, scene, at: wallOf(show, show.at), reason });
  }

  /** What was of a night before this start; where both know of a start or an end, what was heard holds. */
  before(night: NonNullable<Show['night']>, lines: readonly RunLine[]): void {
    if (this.#night !== null && this.#night.date !== night.date) return;
    this.#night = night;
    for (const line of lines) this.#take(line);
  }

  /**
   * Those of a night that opened at `openMs`, its notice among them, in order of start; of nights by hand several may
   * bear one name. One that is neither under way nor known to have ended was cut off with its record.
   */
  of(night: string, openMs: number, show: Show, say: (reason: Reason) => string): UnplannedRun[] {
    if (night !== this.#night?.date) return [];
    const fromMs = openMs - this.#night.noticeMs;
    const runs = [...this.#begun].filter(([, { at }]) => at >= fromMs).sort(([, a], [, b]) => a.at - b.at);
    return runs.map(([id, { scene, at, origin }]): UnplannedRun => {
      const end = this.#ended.get(id);
      const known = { id, scene, origin, actualStart: at };
      if (end) {
        const fate = FATES.get(end.reason.code);
        const done = fate === 'made' || fate === undefined || fate === 'skipped';
        const why = done ? null : say(end.reason);
        return { ...known, state: done ? 'done' : fate, actualEnd: end.at, why };
      }
      const running = show.runs.some((r) => r.id === id);
      return { ...known, state: running ? 'running' : 'abandoned', actualEnd: null, why: null };
    });
  }

  #take({ run, scene, at, reason }: RunLine): void {
    if (reason.code !== 'run-started') {
      if (!this.#ended.has(run)) this.#ended.set(run, { at, reason });
    } else if (isUnplanned(reason.origin) && !this.#begun.has(run))
      this.#begun.set(run, { scene, at, origin: reason.origin });
    if (this.#begun.size <= KEPT_RUNS) return;
    const oldest = this.#begun.keys().next().value!;
    this.#begun.delete(oldest);
    this.#ended.delete(oldest);
  }
}

/** Starts and ends of a night's runs that are on no plan, out of its lines. */
export function unplannedIn(lines: readonly StoredLine[], night: string): RunLine[] {
  const out: RunLine[] = [];
  const begun = new Set<string>();
  for (const { run, scene, at, code, reason: json } of lines) {
    if (run === null || scene === null || !run.startsWith(`${night}.${scene}.`)) continue;
    if (code !== 'run-started' && !begun.has(run)) continue;
    const reason = JSON.parse(json) as Reason;
    if (!isOfRun(reason)) continue;
    if (reason.code === 'run-started' && !isUnplanned(reason.origin)) continue;
    begun.add(run);
    out.push({ run, scene, at, reason });
  }
  return out;
}

const isUnplanned = (origin: Origin): origin is UnplannedRun['origin'] =>
  origin === 'hand' || origin === 'trigger' || origin === 'notice';

/** A start or an end; `run-skipped` is neither, and ends nothing that began. */
const isOfRun = (reason: Reason): reason is RunLine['reason'] =>
  reason.code === 'run-started' || (reason.code !== 'run-skipped' && FATES.has(reason.code));

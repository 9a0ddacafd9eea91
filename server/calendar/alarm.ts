import { schedule } from 'node-cron';
import type { NightTimes } from '../plan/tonight.ts';
import type { Yard } from '../yard/types.ts';
import { preparedNight } from './find.ts';

export interface Alarm {
  /** Looks whether a night is due. To be called at start and whenever the desk is awake anyway; cheap. */
  check(): void;
  stop(): void;
}

export interface AlarmSettings {
  readonly yard: Yard;
  /** The wall clock, ms since 1970. */
  readonly nowMs: () => number;
  /** Names of nights drawn up before this start: they are not due again. */
  readonly drawn?: Iterable<string>;
  /** Called once a night in the life of this alarm, at its `prepare` or when it is first noticed after that. */
  readonly due: (night: NightTimes) => void;
}

/** Names kept against a second call: more than a yard has nights in a year. */
const NAMES_KEPT = 400;

/**
 * Tells when a night is to be prepared. The cron library only wakes it, each minute of UTC: around a clock change the
 * library goes silent for an hour or picks the other of two equal wall times, and after a step backwards of
 * the clock it sleeps until the clock has caught up. What is due is worked out by the calendar from the present
 * instant alone, so that no alarm that was missed, doubled or late matters, and the next check makes up for it.
 */
export function startAlarm({ yard, nowMs, drawn = [], due }: AlarmSettings): Alarm {
  const told = new Set(drawn);
  const check = (): void => {
    const night = preparedNight(yard, nowMs());
    if (!night || told.has(night.date)) return;
    told.add(night.date);
    if (told.size > NAMES_KEPT) told.delete(told.values().next().value!);
    due(night);
  };
  const task = schedule('* * * * *', () => loudly(check), {
    timezone: 'UTC',
    name: 'prepare',
    unref: true,
    suppressMissedWarning: true,
    logger: SILENT,
  });
  check();
  return {
    check,
    stop() {
      void task.destroy();
    },
  };
}

/** The library swallows what its callback throws; a mistake here must end in the daemon's own last handler. */
function loudly(work: () => void): void {
  try {
    work();
  } catch (error) {
    queueMicrotask(() => {
      throw error;
    });
  }
}

const SILENT = { info() {}, warn() {}, error() {}, debug() {} };

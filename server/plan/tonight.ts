/** The plan as `dusklatch plan --json` and `GET /api/plan` give it. Seconds count from `open`. */
export interface TonightPlan {
  night: string;
  yard: string;
  /** RFC 3339 with the local offset. */
  open: string;
  close: string;
  quiet: string | null;
  runs: PlanRun[];
  /** Scenes with `every` only. */
  scenes: Record<string, ScenePlan>;
  circuits: Record<string, CircuitPeak>;
  tanks: Record<string, { lowestPsi: number; workingPsi: number }>;
  /** Every expected duration, s, that is not in the file's own text, by `prop.move`. */
  expects: Record<string, number>;
  level: number;
  worth: number;
  bound: { level: number; worth: number };
}

export interface PlanRun {
  /** `<night>.<scene>.<number>` */
  id: string;
  scene: string;
  start: number;
  end: number;
  steps: { prop: string; move: string; start: number; end: number }[];
}

export interface ScenePlan {
  wanted: number;
  planned: number;
  /** s; among starts, with open → first and last → latest possible as gaps too. */
  longestGap: number;
  /** What keeps the scene from its aim: runs that are lacking, or a gap too long; null where it has both. */
  boundBy: { rule: BindingRule; id: string } | null;
}

export type BindingRule = 'circuit' | 'surge' | 'tank' | 'zone' | 'prop' | 'scene' | 'duty' | 'quiet';

export interface CircuitPeak {
  peakAmps: number;
  limitAmps: number;
  peakSurgeAmps: number;
  breakerAmps: number;
}

/** A night as the calendar works it out: instants in ms since 1970. */
export interface NightTimes {
  /** `YYYY-MM-DD` of `prepare`, with `-hand` behind it for a night opened by hand. */
  date: string;
  prepareMs: number;
  openMs: number;
  closeMs: number;
  quietMs: number | null;
  opensByItself: boolean;
  noticeMs: number;
  noticeScene: string | null;
}

/** When a planned run is to start, ms since 1970 on the wall clock. */
export interface PlannedStart {
  readonly id: string;
  readonly scene: string;
  readonly startMs: number;
}

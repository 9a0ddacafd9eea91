import type { Curves } from '../../server/curves.ts';
import type { Answer, DeskDoor, PictureChange, RecordLine } from '../../server/desk-door.ts';
import type { Picture, PropPicture } from '../../server/picture.ts';
import type { NightTimes } from '../../server/plan/tonight.ts';
import type { PlanNow } from '../../server/plan-now.ts';
import type { PropTravels } from '../../server/prop-travels.ts';
import type { NightReport } from '../../server/report/night-report.ts';
import type { Told } from '../../server/report/tables.ts';
import type { Reason } from '../../server/show/reasons.ts';

export type Asked = Parameters<DeskDoor['ask']>[0];

/** 31 October 2026, 21:14 in a zone four hours west of Greenwich. */
export const NOW = Date.UTC(2026, 10, 1, 1, 14);

/** A desk that does nothing but what the test tells it, and remembers what it was asked. */
export class ScriptedDoor implements DeskDoor {
  readonly asked: Asked[] = [];
  readonly stops: string[] = [];
  now: () => number = () => NOW;
  state: Picture = saltmarsh();
  answer: (fact: Asked) => Answer | Promise<Answer> = () => ({ ok: true });
  stopAnswer: () => ReturnType<DeskDoor['stop']> = () => ({ n: 8, bus: true });
  night: NightTimes | null = tonight();
  readiness: { ready: boolean; why: string | null } = { ready: true, why: null };
  drawn: PlanNow | null = null;
  drawnCurves: Curves = { night: null, circuits: {}, tanks: {} };
  lines: RecordLine[] = [];
  reports = new Map<string, NightReport>();
  private readonly listeners = new Set<(change: PictureChange) => void>();

  reset(): void {
    this.asked.length = 0;
    this.stops.length = 0;
    this.state = saltmarsh();
    this.answer = () => ({ ok: true });
    this.night = tonight();
  }

  picture(): Picture {
    return { ...this.state, at: this.now() };
  }

  onChange(listener: (change: PictureChange) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  get listening(): number {
    return this.listeners.size;
  }

  /** One turn that changed the picture: the next `seq`, told to whoever listens. */
  turn(change: Omit<PictureChange, 'seq' | 'at'>): PictureChange {
    const whole = { ...change, seq: this.state.seq + 1, at: this.now() };
    this.state = lay(this.state, whole);
    for (const listener of this.listeners) listener(whole);
    return whole;
  }

  plan(): PlanNow | null {
    return this.drawn;
  }

  curves(): Curves {
    return this.drawnCurves;
  }

  told(night: string): Told | null {
    return night === '2026-10-31' ? { title: 'A night', sections: [] } : null;
  }

  travels(): PropTravels {
    return {
      moves: [{ move: 'out', usualMs: 7100, limitMs: 12_000, lastMs: [7000, 7200], nightsMs: [] }],
      drift: null,
    };
  }

  async ask(fact: Asked): Promise<Answer> {
    this.asked.push(fact);
    return this.answer(fact);
  }

  stop(by: string): ReturnType<DeskDoor['stop']> {
    this.stops.push(by);
    return this.stopAnswer();
  }

  ready(): { ready: boolean; why: string | null } {
    return this.readiness;
  }

  handNight(forMs: number): NightTimes {
    return { ...tonight(), date: '2026-10-31-hand', openMs: NOW, closeMs: NOW + forMs };
  }

  nightNow(): NightTimes | null {
    return this.night;
  }

  record(after: number, limit: number): RecordLine[] {
    return this.lines.filter((l) => l.n > after).slice(0, limit);
  }

  report(date: string): NightReport | null {
    return this.reports.get(date) ?? null;
  }

  say(reason: Reason): string {
    return `Said of ${reason.code}.`;
  }
}

/** A change laid over a picture, as desk-door.ts describes it; written apart from the code that merges changes. */
export function lay(picture: Picture, change: PictureChange): Picture {
  const next = { ...structuredClone(picture), ...change.set, seq: change.seq, at: change.at };
  for (const part of ['props', 'scenes', 'circuits', 'tanks', 'zones'] as const) {
    const kept = new Map<string, unknown>(Object.entries(next[part]));
    for (const [id, value] of Object.entries(change[part] ?? {})) {
      if (value === null) kept.delete(id);
      else kept.set(id, value);
    }
    Object.assign(next, { [part]: Object.fromEntries(kept) });
  }
  return next;
}

export function tonight(): NightTimes {
  return {
    date: '2026-10-31',
    prepareMs: NOW - 6 * 3_600_000,
    openMs: NOW - 3_600_000,
    closeMs: NOW + 3_600_000,
    quietMs: null,
    opensByItself: false,
    noticeMs: 30_000,
    noticeScene: null,
  };
}

export function prop(title: string, more: Partial<PropPicture> = {}): PropPicture {
  return {
    title,
    zone: 'landing',
    kind: 'prop',
    controller: 'ferry-board',
    state: 'ready',
    at: 'near',
    sensors: {
      near: { made: true, fresh: true, kind: 'end' },
      far: { made: false, fresh: true, kind: 'end' },
    },
    lockout: null,
    why: 'At rest at near.',
    run: null,
    move: null,
    live: true,
    heard: null,
    counts: { cycles: 41, moves: 82 },
    serviceDue: false,
    moves: ['out', 'back'],
    ...more,
  };
}

/** A yard whose ids include words that every object knows. */
export function saltmarsh(): Picture {
  return {
    seq: 100,
    at: NOW,
    yard: { id: 'saltmarsh', title: 'Saltmarsh Landing', timezone: 'America/New_York', demonstration: false },
    mode: 'open',
    modeWhy: null,
    night: { date: '2026-10-31', open: NOW - 3_600_000, close: NOW + 3_600_000, quiet: null, notice: 30_000 },
    bus: { connected: true, epoch: 12, standsDown: null },
    stop: { latched: false, n: 7, at: null, by: null, answered: [], silent: [], bars: [] },
    props: {
      ferry: prop('Ferry'),
      hatch: prop('Cellar hatch', {
        state: 'locked-out',
        lockout: {
          code: 'travel-slow',
          since: NOW - 60_000,
          text: 'Left near, far not made after 12.0 s (usual 7.1 s).',
          causes: ['A jam.'],
          checks: ['Look for a jam.'],
          acknowledged: false,
          barred: null,
          first: null,
        },
      }),
      constructor: prop('Bell post'),
    },
    scenes: {
      crossing: {
        title: 'The crossing',
        zone: 'landing',
        running: false,
        why: null,
        made: 4,
        wanted: 30,
        skipped: 1,
        lastStart: NOW - 300_000,
      },
    },
    circuits: { garage: { title: 'Garage', amps: 3.2, limitAmps: 12, breakerAmps: 15 } },
    tanks: { shed: { title: 'Shed', psi: 88, workingPsi: 70, cutOutPsi: 120, pumping: false } },
    zones: { landing: { title: 'The landing', runs: 0, atMost: 2 } },
    now: [],
    next: [{ id: '2026-10-31.crossing.5', scene: 'crossing', start: NOW + 120_000 }],
    notes: [],
  };
}

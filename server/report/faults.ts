import type { JournalPort, StoredLine } from '../journal/port.ts';
import type { Fault, ReasonOf } from '../show/reasons.ts';
import { locksOut } from '../words/faults.ts';
import type { Yard } from '../yard/types.ts';

export interface FaultReport {
  at: number;
  prop: string;
  title: string;
  code: string;
  text: string;
  /** False: a warning, or a link that comes back by itself. */
  lockedOut: boolean;
  /** The prop whose fault came first and under which this one is grouped. */
  first: string | null;
  /** When it was released, or its board heard again; null while it stands, and of a warning. */
  endedAt: number | null;
  forMs: number | null;
}

export interface StopReport {
  at: number;
  n: number;
  text: string;
  clearedAt: number | null;
  forMs: number | null;
  /** Every controller of the yard: how long after the stop it answered; null where it did not before the clear. */
  roll: { controller: string; afterMs: number | null }[];
}

const RELEASES_LOOKED_AT = 1000;

const faultIn = (line: StoredLine): Fault => (JSON.parse(line.reason) as ReasonOf<'lockout-raised'>).fault;

/** The faults raised in these lines. What still stood at their end is looked up in the record after them. */
export function faultsOf(journal: JournalPort, yard: Yard, lines: readonly StoredLine[]): FaultReport[] {
  const raised = lines.filter((l) => l.code === 'lockout-raised');
  const faults = raised.map((line) => faultIn(line));
  const within = lines.filter((l) => l.code === 'lockout-released');
  const lastId = lines.at(-1)?.id ?? 0;
  let later: readonly StoredLine[] | null = null;
  const released = (line: StoredLine): number | null => {
    const find = (list: readonly StoredLine[]) => list.find((l) => l.id > line.id && l.prop === line.prop);
    const found = find(within);
    if (found) return found.at;
    later ??= journal.linesOf('lockout-released', lastId, RELEASES_LOOKED_AT);
    return find(later)?.at ?? null;
  };
  return raised.map((line, i): FaultReport => {
    const fault = faults[i]!;
    const lead = leaderOf(faults, i);
    const lockedOut = locksOut(lead) && locksOut(fault);
    const endedAt = lockedOut
      ? released(line)
      : fault.code === 'drift'
        ? null
        : heardAgain(yard, lines, line, lead);
    return {
      at: line.at,
      prop: fault.prop,
      title: yard.props.get(fault.prop)?.title ?? fault.prop,
      code: fault.code,
      text: line.text,
      lockedOut,
      first: fault.first !== undefined && fault.first !== fault.prop ? fault.first : null,
      endedAt,
      forMs: endedAt === null ? null : Math.max(0, endedAt - line.at),
    };
  });
}

/** The fault that it is grouped under, else itself: what follows a lost link returns as that does. */
function leaderOf(faults: readonly Fault[], i: number): Fault {
  const { first, prop } = faults[i]!;
  if (first === undefined || first === prop) return faults[i]!;
  // the leader may be written a line later, in the same turn
  const same = (f: Fault): boolean => f.prop === first && f.at <= faults[i]!.at;
  return faults.findLast(same) ?? faults[i]!;
}

function heardAgain(yard: Yard, lines: readonly StoredLine[], line: StoredLine, lead: Fault): number | null {
  const controller = yard.props.get(lead.prop)?.controller;
  const up = lines.find(
    (l) =>
      l.id > line.id &&
      l.code === 'link-up' &&
      (JSON.parse(l.reason) as ReasonOf<'link-up'>).controller === controller,
  );
  return up?.at ?? null;
}

export function stopsOf(yard: Yard, lines: readonly StoredLine[]): StopReport[] {
  return lines
    .filter((l) => l.code === 'stop-pressed')
    .map((line) => {
      const cleared = lines.find((l) => l.id > line.id && l.code === 'stop-cleared');
      const answered = new Map<string, number>();
      for (const l of lines) {
        if (l.id <= line.id || l.code !== 'stop-answered' || (cleared && l.id > cleared.id)) continue;
        const { controller, afterMs } = JSON.parse(l.reason) as ReasonOf<'stop-answered'>;
        answered.set(controller, afterMs);
      }
      return {
        at: line.at,
        n: (JSON.parse(line.reason) as ReasonOf<'stop-pressed'>).stop,
        text: line.text,
        clearedAt: cleared?.at ?? null,
        forMs: cleared ? cleared.at - line.at : null,
        roll: [...yard.controllers.keys()].map((controller) => ({
          controller,
          afterMs: answered.get(controller) ?? null,
        })),
      };
    });
}

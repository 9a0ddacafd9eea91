import { movesAgainst } from './admission.ts';
import type { Event } from './events.ts';
import { order } from './flight.ts';
import { halt } from './halt.ts';
import { propOf } from './interlock.ts';
import { SPENT_PRESSES } from './show.ts';
import type { Turn } from './turn.ts';

/*
 * One move for setting up, only while a keeper keeps pressing: the press comes every 100 ms, and 250 ms without it
 * halts the prop, as does any opening or closing. A press that is over never moves anything again; the next one has
 * another name.
 */

export const BENCH_SILENCE_MS = 250;

export function benchPressed(turn: Turn, e: Extract<Event, { kind: 'benchPressed' }>): void {
  const { show, at } = turn;
  const p = turn.prop(e.prop);
  if (p.bench?.press === e.press) {
    if (!p.bench.over) turn.setProp(e.prop, { bench: { ...p.bench, lastAt: at } });
    return turn.answer();
  }
  // a late repeat of a press that is over: nobody presses any more
  if (p.spent.includes(e.press)) return turn.answer();
  if (show.mode !== 'closed' && show.mode !== 'held') return turn.answer([{ code: 'mode', mode: show.mode }]);
  const prop = propOf(show, e.prop);
  if (prop.kind === 'stop-station') return turn.answer([{ code: 'station-cannot', prop: e.prop }]);
  if (!prop.moves.has(e.move)) return turn.answer([{ code: 'unknown-move', prop: e.prop, move: e.move }]);
  const held = p.heldBy ? turn.run(p.heldBy) : undefined;
  if (held) return turn.answer([{ code: 'held', prop: e.prop, scene: held.scene }]);
  const reason = movesAgainst(show, [{ prop: e.prop, move: e.move }], at, 'bench');
  if (reason) return turn.answer([reason]);
  const n = show.counters.bench + 1;
  show.counters = { ...show.counters, bench: n };
  turn.setProp(e.prop, {
    bench: { press: e.press, by: e.by, lastAt: at, over: false },
    spent: withSpent(p.spent, e.press),
  });
  order(turn, { prop: e.prop, move: e.move, run: `bench.${show.desk.epoch}.${n}`, step: 0, origin: 'bench' });
  turn.record({ code: 'bench-moved', by: e.by, prop: e.prop, move: e.move }, { prop: e.prop });
  turn.answer();
}

export function benchLifted(turn: Turn, prop: string, press: string): void {
  const bench = turn.prop(prop).bench;
  if (bench?.press === press) letGo(turn, prop);
  // the press may not have come at all: then its name is spent, so that it can't come late and move
  else turn.setProp(prop, { spent: withSpent(turn.prop(prop).spent, press) });
  turn.answer();
}

const withSpent = (spent: readonly string[], press: string): readonly string[] =>
  spent.includes(press) ? spent : [...spent, press].slice(-SPENT_PRESSES);

function letGo(turn: Turn, prop: string): void {
  const p = turn.prop(prop);
  turn.setProp(prop, { bench: { ...p.bench!, over: true } });
  if (p.flight?.origin === 'bench') halt(turn, prop, 'bench');
}

/** When a press that has gone quiet halts its prop. */
export const benchDue = (bench: { lastAt: number; over: boolean } | null): number =>
  bench && !bench.over ? bench.lastAt + BENCH_SILENCE_MS : Number.POSITIVE_INFINITY;

export function benchTime(turn: Turn, prop: string): void {
  if (turn.at >= benchDue(turn.prop(prop).bench)) letGo(turn, prop);
}

/** The yard opens or closes: whatever is on the bench is let go. */
export function endBenches(turn: Turn): void {
  for (const id of turn.yard.props.keys()) {
    const { bench } = turn.prop(id);
    if (bench && !bench.over) letGo(turn, id);
  }
}

import type { Answer } from './desk-door.ts';
import { checkShow } from './show/check.ts';
import type { Effect, Entry } from './show/effects.ts';
import type { Event, Fact } from './show/events.ts';
import type { Reason } from './show/reasons.ts';
import type { Show } from './show/show.ts';
import { step } from './show/step.ts';

/** A fact that waits for the turn, and whom to tell what became of it. */
export interface Waiting {
  readonly fact: Fact;
  readonly answer?: (answer: Answer) => void;
}

/** What a turn's steps lead to; nothing of it has been done yet. */
export interface Taken {
  readonly show: Show;
  readonly events: readonly Event[];
  readonly effects: readonly Effect[];
  readonly answers: readonly { answer: (a: Answer) => void; refused: readonly Reason[] }[];
  /** Lines for the record, each with the event it came of and the show as it then was. */
  readonly lines: readonly { entry: Entry; n: number; show: Show }[];
  /** The invariants that were broken, in words; null where none was. */
  readonly breach: string | null;
}

/** So many facts are taken between two looks at whether it is enough. */
const LOOK_EACH = 64;

/**
 * Numbers and stamps the facts and takes them one by one, with the invariants asked after each. `word` is this start's:
 * until the show bears it, the start has not been taken. Where `enough` says so it leaves the rest: what it took are as many
 * as there are events. Pure but for that.
 */
export function takeSteps(
  before: Show,
  facts: readonly Waiting[],
  at: number,
  word: string,
  enough: () => boolean = () => false,
): Taken {
  let show = before;
  let breach: string | null = null;
  const events: Event[] = [];
  const effects: Effect[] = [];
  const answers: { answer: (a: Answer) => void; refused: readonly Reason[] }[] = [];
  const lines: { entry: Entry; n: number; show: Show }[] = [];
  for (const w of facts) {
    if (events.length > 0 && events.length % LOOK_EACH === 0 && enough()) break;
    const waits = show.desk.word !== word && w.fact.kind !== 'deskStarted';
    const event: Event = { ...w.fact, n: show.n + 1, at, ...(waits ? { waits: true as const } : {}) };
    const done = step(show, event);
    const breaches = checkShow(show, event, done.show, done.effects);
    if (breaches.length > 0) breach ??= breaches.map((b) => b.text).join('; ');
    show = done.show;
    events.push(event);
    for (const effect of done.effects) {
      effects.push(effect);
      if (effect.kind === 'record') lines.push({ entry: effect.entry, n: event.n, show });
      if (effect.kind === 'answer' && w.answer) answers.push({ answer: w.answer, refused: effect.refused });
    }
  }
  return { show, events, effects: effects.filter((e) => stillMeant(e, show)), answers, lines, breach };
}

/**
 * What is heard in one turn is taken fact by fact, and nothing has left before the last: an order to move that a later
 * fact has overtaken, by a halt, another session or the end of its move, would start what is already known to be wrong.
 */
function stillMeant(effect: Effect, after: Show): boolean {
  if (effect.kind !== 'startMove') return true;
  const flight = after.props[effect.prop]!.flight;
  return (
    flight?.run === effect.run &&
    flight.step === effect.step &&
    flight.session === effect.session &&
    flight.halting === null &&
    !flight.lost
  );
}

/** Beats and looks at the clock that changed nothing but when a link was last heard may wait for the next write. */
export function mayWait(before: Show, t: Taken): boolean {
  return (
    t.effects.length === 0 &&
    t.events.every((e) => e.kind === 'beatsHeard' || e.kind === 'timeReached') &&
    t.show.props === before.props &&
    t.show.runs === before.runs &&
    t.show.planned === before.planned &&
    t.show.mode === before.mode
  );
}

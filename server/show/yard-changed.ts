import type { Event } from './events.ts';
import { isByHand } from './show.ts';
import type { Turn } from './turn.ts';
import { sumUpNight } from './wear.ts';

/**
 * A changed yard file holds from here on. The show was carried over to it between two turns, as at a start, and that state
 * is in the record; what is left to do is what follows for tonight. It starts nothing.
 */
export function yardChanged(turn: Turn, e: Extract<Event, { kind: 'yardChanged' }>): void {
  const { show } = turn;
  turn.record({ code: 'yard-changed', by: e.by, changes: e.changes });
  const { night } = show;
  if (night && !isByHand(night)) {
    if (e.night?.date === night.date) show.night = e.night;
    else if (show.mode === 'closed') {
      // tonight is no night any more, or another's
      sumUpNight(turn);
      show.night = null;
      show.planned = [];
      show.plannedFrom = 0;
    }
  }
  // drawn up by the file that was; it is drawn up anew
  show.nextNight = null;
  const unheard = Object.values(show.controllers).some((link) => link.session === null);
  if (unheard && show.desk.connected && !show.desk.standsDown) turn.do({ kind: 'announce' });
  turn.mend();
}

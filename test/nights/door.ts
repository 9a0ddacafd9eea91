import { Door } from '../../server/door.ts';
import type { TonightPlan } from '../../server/plan/tonight.ts';
import type { Script } from './script.ts';

/** A door on a night told by a script; `drawn`: the plan that was drawn up. */
export function doorOn(s: Script, drawn: TonightPlan | null): Door {
  const { desk, clock, journal } = s.r;
  return new Door({
    desk,
    clock,
    journal,
    demonstration: false,
    notes: () => [],
    ready: () => ({ ready: true, why: null }),
    plan: () => drawn,
    onOpened: () => {},
  });
}

import type { PictureChange } from '../desk-door.ts';

/**
 * What goes over the feed; the page reads the same types. Nothing is ever taken from a page by it.
 *
 * - `picture`: a whole `Picture`, on joining.
 * - `change`: what changed after `from`, up to and with `seq`. Several turns of the desk within 50 ms come as one
 *   change, so `seq` may step by more than one; `from` is the `seq` before it. A page that holds picture `have`
 *   lays it over where `from <= have` and `seq > have` (values are whole, so what it has already does no harm),
 *   passes it over where `seq <= have`, and where `from > have` it has missed something and asks anew
 *   (`GET /api/yard`).
 * - `beat`: once a second. All changes up to its `seq` went out before it: a page that has less asks anew.
 */
export interface FeedChange extends PictureChange {
  readonly from: number;
}

export interface Beat {
  /** The desk's clock, ms since 1970. */
  readonly at: number;
  readonly seq: number;
}

/** Two changes in a row as one. Later values win; by id where a part is keyed by id. */
export function mergeChanges(earlier: PictureChange, later: PictureChange): PictureChange {
  const merged: PictureChange = {
    seq: later.seq,
    at: later.at,
    set: { ...earlier.set, ...later.set },
  };
  for (const part of ['props', 'scenes', 'circuits', 'tanks', 'zones'] as const) {
    if (earlier[part] || later[part]) Object.assign(merged, { [part]: { ...earlier[part], ...later[part] } });
  }
  return merged;
}

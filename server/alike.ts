/**
 * Whether two values of plain JSON say the same. A key that is undefined counts as one that is not there, as in JSON; the
 * order of keys does not count. Far quicker than comparing their texts, and it is asked of the whole picture at each draw.
 */
export function alike(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null)
    return Number.isNaN(a) && Number.isNaN(b);
  if (Array.isArray(a) || Array.isArray(b)) return Array.isArray(a) && Array.isArray(b) && listsAlike(a, b);
  const was = a as Record<string, unknown>;
  const is = b as Record<string, unknown>;
  for (const key of Object.keys(was)) if (!alike(was[key], own(is, key))) return false;
  for (const key of Object.keys(is)) if (is[key] !== undefined && !Object.hasOwn(was, key)) return false;
  return true;
}

/** Ids may be words such as `constructor`. */
const own = (of: Record<string, unknown>, key: string): unknown =>
  Object.hasOwn(of, key) ? of[key] : undefined;

function listsAlike(a: readonly unknown[], b: readonly unknown[]): boolean {
  return a.length === b.length && a.every((item, i) => alike(item, b[i]));
}

import type { Tab } from './elements/tab-bar.ts';

const PARTS = ['file', 'people', 'red-button', 'backup', 'first-file', 'notices'] as const;
export type SetUpPart = (typeof PARTS)[number];

export type Route =
  | { screen: 'yard' | 'wall' | 'tonight' | 'faults' | 'sign-in' }
  | { screen: 'setup'; part: SetUpPart | null }
  | { screen: 'prop'; prop: string }
  | { screen: 'nights'; night: string | null }
  /**
   * Going through a night; `at` in ms since 1970, null where the address names no moment. Where it names a moment alone,
   * `night` is null until it is found.
   */
  | { screen: 'past'; night: string | null; at: number | null };

/** The screen an address names; the yard for anything else. */
export function routeOf(hash: string): Route {
  const [screen, id, part, at] = hash.replace(/^#\/?/, '').split('/');
  if (screen === 'prop' && id) return { screen, prop: decoded(id) };
  if (screen === 'setup') return { screen, part: PARTS.find((part) => part === id) ?? null };
  if (screen === 'past' && isMoment(id)) return { screen, night: null, at: Number(id) };
  if (screen === 'nights' && id && part === 'past') {
    return { screen: 'past', night: decoded(id), at: isMoment(at) ? Number(at) : null };
  }
  if (screen === 'nights') return { screen, night: id ? decoded(id) : null };
  if (screen === 'wall' || screen === 'tonight' || screen === 'faults' || screen === 'sign-in')
    return { screen };
  return { screen: 'yard' };
}

function isMoment(text: string | undefined): text is string {
  return text !== undefined && /^\d{1,15}$/.test(text);
}

/** The address of a moment in whatever night it lies. */
export function momentHash(at: number): string {
  return `#/past/${Math.round(at)}`;
}

/** The address of a night at a moment. */
export function pastHash(night: string, at: number | null): string {
  return `#/nights/${encodeURIComponent(night)}/past${at === null ? '' : `/${Math.round(at)}`}`;
}

/** The tab that is marked for a screen. */
export function tabOf(route: Route): Tab {
  if (route.screen === 'prop' || route.screen === 'wall') return 'yard';
  if (route.screen === 'past') return 'nights';
  return route.screen === 'sign-in' ? 'setup' : route.screen;
}

function decoded(id: string): string {
  try {
    return decodeURIComponent(id);
  } catch {
    return id;
  }
}

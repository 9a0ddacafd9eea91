import type { Tab } from './elements/tab-bar.ts';

const PARTS = ['file', 'people', 'red-button', 'backup', 'first-file', 'notices'] as const;
export type SetUpPart = (typeof PARTS)[number];

export type Route =
  | { screen: 'yard' | 'tonight' | 'faults' | 'sign-in' }
  | { screen: 'setup'; part: SetUpPart | null }
  | { screen: 'prop'; prop: string }
  | { screen: 'nights'; night: string | null };

/** The screen an address names; the yard for anything else. */
export function routeOf(hash: string): Route {
  const [screen, id] = hash.replace(/^#\/?/, '').split('/');
  if (screen === 'prop' && id) return { screen, prop: decoded(id) };
  if (screen === 'setup') return { screen, part: PARTS.find((part) => part === id) ?? null };
  if (screen === 'nights') return { screen, night: id ? decoded(id) : null };
  if (screen === 'tonight' || screen === 'faults' || screen === 'sign-in') return { screen };
  return { screen: 'yard' };
}

/** The tab that is marked for a screen. */
export function tabOf(route: Route): Tab {
  if (route.screen === 'prop') return 'yard';
  return route.screen === 'sign-in' ? 'setup' : route.screen;
}

function decoded(id: string): string {
  try {
    return decodeURIComponent(id);
  } catch {
    return id;
  }
}

import { describe, expect, it } from 'vitest';
import { momentHash, pastHash, routeOf, tabOf } from '../../web/route.ts';

describe('an address', () => {
  it.each([
    ['#/wall', { screen: 'wall' }, 'yard'],
    ['#/nights', { screen: 'nights', night: null }, 'nights'],
    ['#/nights/2026-10-31', { screen: 'nights', night: '2026-10-31' }, 'nights'],
    ['#/nights/2026-10-31/past', { screen: 'past', night: '2026-10-31', at: null }, 'nights'],
    [
      '#/nights/2026-10-31-hand/past/1793500000123',
      { screen: 'past', night: '2026-10-31-hand', at: 1793500000123 },
      'nights',
    ],
    ['#/nights/2026-10-31/past/yesterday', { screen: 'past', night: '2026-10-31', at: null }, 'nights'],
    ['#/past/1793500000123', { screen: 'past', night: null, at: 1793500000123 }, 'nights'],
    ['#/past/99999999999999999999', { screen: 'yard' }, 'yard'],
    ['#/past', { screen: 'yard' }, 'yard'],
    ['#/constructor', { screen: 'yard' }, 'yard'],
    ['#/prop/%E0%A4%A', { screen: 'prop', prop: '%E0%A4%A' }, 'yard'],
  ])('%s names its screen', (hash, route, tab) => {
    expect(routeOf(hash)).toEqual(route);
    expect(tabOf(routeOf(hash))).toBe(tab);
  });

  it('of a night or a moment is read back as it was made', () => {
    expect(routeOf(pastHash('2026-10-31', 12.6))).toEqual({ screen: 'past', night: '2026-10-31', at: 13 });
    expect(routeOf(pastHash('a/b', null))).toEqual({ screen: 'past', night: 'a/b', at: null });
    expect(routeOf(momentHash(1793500000123.4))).toEqual({ screen: 'past', night: null, at: 1793500000123 });
  });
});

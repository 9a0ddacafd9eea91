import { describe, expect, it } from 'vitest';
import { levelOf } from '../../web/light.ts';
import { routeOf, tabOf } from '../../web/route.ts';
import { clockOf, lengthOf, zonesDiffer } from '../../web/time.ts';
import { byZone, lockoutsOf, unsureOf, wellOf } from '../../web/view.ts';
import { busLost, EVENING, fault, many, open } from '../browser/hand-pictures.ts';

describe('what is drawn from a picture', () => {
  it('puts unacknowledged faults first, and groups what only follows under its cause', () => {
    const groups = lockoutsOf(fault());
    expect(groups.map(({ lead: [id], followers }) => [id, followers.map(([f]) => f)])).toEqual([
      ['ferry', ['ferryman']],
      ['helmet', []],
    ]);
  });

  it('shows a follower by itself once its cause is gone', () => {
    const picture = fault();
    picture.props.ferry!.lockout = null;
    expect(lockoutsOf(picture).map(({ lead: [id] }) => id)).toContain('ferryman');
  });

  it('counts the well, and leaves none out', () => {
    expect(wellOf(fault())).toEqual({ well: 7, all: 11 });
    const groups = byZone(many());
    expect(groups.flatMap(({ props }) => props)).toHaveLength(300);
    expect(groups.at(-1)!.zone).toBeNull();
  });

  it('lets a lost bus lead instead of naming every prop', () => {
    expect(unsureOf(fault()).map(([id]) => id)).toEqual(['fog-bank']);
    expect(unsureOf(busLost())).toEqual([]);
  });

  it('shows the yard’s clock and not the phone’s', () => {
    expect(clockOf(EVENING, 'America/Chicago')).toBe('21:14:10');
    expect(clockOf(Date.parse('2026-11-01T06:30:00Z'), 'America/Chicago')).toBe('01:30:00');
    expect(clockOf(Date.parse('2026-11-01T07:30:00Z'), 'America/Chicago')).toBe('01:30:00');
    expect(clockOf(Date.parse('2026-10-31T05:00:00Z'), 'America/Chicago')).toBe('00:00:00');
  });

  it('knows where the phone’s clock shows another time, whatever the zones are called', () => {
    expect(zonesDiffer(EVENING, 'America/Chicago', 'America/Chicago')).toBe(false);
    // Both are five hours behind UTC that evening: Winnipeg keeps the same clock, New York is an hour on.
    expect(zonesDiffer(EVENING, 'America/Chicago', 'America/Winnipeg')).toBe(false);
    expect(zonesDiffer(EVENING, 'America/Chicago', 'America/New_York')).toBe(true);
    // The same hands a day apart: 14 h ahead of UTC and 10 h behind.
    expect(zonesDiffer(EVENING, 'Pacific/Honolulu', 'Pacific/Kiritimati')).toBe(true);
  });

  it('says lengths in the unit that serves', () => {
    expect([900, 99_999, 100_000, 3_540_000, 3_599_000, 7_500_000].map(lengthOf)).toEqual([
      '0 s',
      '99 s',
      '2 min',
      '59 min',
      '1 h 00 min',
      '2 h 05 min',
    ]);
  });

  it('darkens by the yard’s sun, or by its clock where the picture has none', () => {
    const picture = open();
    const { rise, set } = picture.yard.sun!;
    expect(levelOf('auto', picture, set! - 1)).toBe('day');
    expect(levelOf('auto', picture, set!)).toBe('dusk');
    expect(levelOf('auto', picture, rise! - 1)).toBe('dusk');
    expect(levelOf('red', picture, rise! + 1)).toBe('red');
    picture.yard.sun = { rise: null, set: null };
    expect(levelOf('auto', picture, EVENING)).toBe('dusk');
    expect(levelOf('auto', picture, EVENING - 9 * 3_600_000)).toBe('day');
  });

  it('finds a screen for any address', () => {
    expect(routeOf('#/prop/ferry')).toEqual({ screen: 'prop', prop: 'ferry' });
    expect(routeOf('#/prop/%E0%A4%A')).toEqual({ screen: 'prop', prop: '%E0%A4%A' });
    for (const hash of ['', '#', '#/', '#/nowhere', '#/prop'])
      expect(routeOf(hash)).toEqual({ screen: 'yard' });
    expect(tabOf({ screen: 'sign-in' })).toBe('setup');
  });
});

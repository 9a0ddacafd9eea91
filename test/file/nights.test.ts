import { describe, expect, it } from 'vitest';
import { errorsIn, landing, marked, notesIn } from './landing.ts';

type Change = readonly [from: string, to: string];

function one(message: string, ...changes: Change[]): void {
  const { text, line, column } = marked(landing(...changes));
  expect(errorsIn(text)).toMatchObject([{ line, column, message: `Line ${line}: ${message}` }]);
}

const PREPARE = '- prepare: "0 16 * 10 fri,sat"';

describe('prepare', () => {
  it.each([
    [
      '"*/5 16 * 10 fri,sat"',
      'names more than one time a day; a night is prepared once, as in "0 16 * 10 fri,sat"',
    ],
    ['"0 16,17 * 10 *"', 'names more than one time a day; a night is prepared once, as in "0 16 * 10 *"'],
    [
      '"0 16 * 10"',
      'wants five fields (minute, hour, day, month, weekday), as in "0 16 * 10 fri,sat", and has 4',
    ],
    [
      '"0 0 16 * 10 fri"',
      'wants five fields (minute, hour, day, month, weekday), as in "0 16 * 10 fri,sat", and has 6',
    ],
    [
      '"@daily"',
      'wants five fields (minute, hour, day, month, weekday), as in "0 16 * 10 fri,sat", and has 1',
    ],
    ['"0 25 * 10 *"', '"25" is no hour: 0 to 23'],
  ])('refuses %s', (cron, why) => {
    one(`\`prepare: ${cron}\`: ${why}. Write \`"0 16 * 10 fri,sat"\`.`, [PREPARE, `- prepare: «${cron}`]);
  });

  it('must come before open on the same date', () => {
    // Chicago, 2 October 2026: sunset 18:30 CDT (suncalc and USNO agree to the minute), and 20 min.
    one(
      'on 2026-10-02 prepare is at 19:00 and open at 18:50; prepare must come before open on the same date.',
      [PREPARE, '- prepare: «"0 19 * 10 fri,sat"'],
    );
    one(
      'on 2026-10-02 prepare is at 16:00 and open at 15:30; prepare must come before open on the same date.',
      [PREPARE, '- prepare: «"0 16 * 10 fri,sat"'],
      ['open: sunset + 20 min', 'open: "15:30"'],
    );
  });
});

describe('the sun', () => {
  // 78°13′ N 15°38′ E in June: the sun is up all day (USNO tables, as in the sun's own published check).
  const north: Change[] = [
    ['timezone: America/Chicago', 'timezone: Europe/Oslo'],
    ['latitude: 41.88', 'latitude: 78.22'],
    ['longitude: -87.63', 'longitude: 15.63'],
    [PREPARE, '- prepare: "0 16 * 6 fri,sat"'],
  ];

  it('that does not set wants another time to open', () => {
    one(
      'on 2026-06-05 the sun does not set here; add fallback-open, as in fallback-open: "18:30".',
      ...north,
      ['open: sunset + 20 min', 'open: «sunset + 20 min'],
      ['    fallback-open: "18:30"\n', ''],
      ['dark: [2026-10-17]', 'dark: []'],
    );
  });

  it('that does not set is no matter with one', () => {
    expect(errorsIn(landing(...north))).toEqual([]);
  });

  it('that does not get below six degrees has no dusk: 61.2° N in June', () => {
    // Anchorage, 20 June: sunset 23:42, no civil dusk (USNO table 2020).
    one(
      'on 2026-06-20 it does not get dark (civil dusk) here; add fallback-open, as in fallback-open: "18:30".',
      ['timezone: America/Chicago', 'timezone: America/Anchorage'],
      ['latitude: 41.88', 'latitude: 61.22'],
      ['longitude: -87.63', 'longitude: -149.87'],
      [PREPARE, '- prepare: "0 16 20 6 *"'],
      ['open: sunset + 20 min', 'open: «dusk'],
      ['    fallback-open: "18:30"\n', ''],
      ['dark: [2026-10-17]', 'dark: []'],
    );
  });

  it('at a wrong longitude is far from the clock, and that is said', () => {
    one(
      'on 2026-10-02 prepare is at 16:00 and open at 07:10; prepare must come before open on the same date. Mind that at longitude 87.63 the sun is 12 hours away from the clock of America/Chicago. Is its sign wrong? East is positive, west negative.',
      ['longitude: -87.63', 'longitude: 87.63'],
      [PREPARE, '- prepare: «"0 16 * 10 fri,sat"'],
    );
    expect(
      notesIn(landing(['longitude: -87.63', 'longitude: 87.63'], ['open: sunset + 20 min', 'open: "18:00"'])),
    ).toEqual([
      '7: at longitude 87.63 the sun is 12 hours away from the clock of America/Chicago. Is its sign wrong? East is positive, west negative.',
    ]);
  });
});

describe('several nights', () => {
  it('that overlap are an error', () => {
    const saturday = '- {prepare: "0 12 * 10 sat", open: «"14:00", close: "16:00", opens: by hand}\n';
    one(
      'the night of 2026-10-02 closes at 17:00 on 2026-10-03, after the next has opened at 14:00; nights must not overlap.',
      [PREPARE, '- prepare: "0 16 * 10 fri"'],
      ['close: "22:30"', 'close: "17:00"'],
      ['dark: ', `  ${saturday}dark: `],
    );
  });

  it('of strange lengths are noted', () => {
    // Sunset in Chicago is 18:30 on 2 October and 17:46 on the 31st: with 20 min more the night turns from nearly a
    // day to a few minutes in the course of the month.
    expect(
      notesIn(landing(['close: "22:30"', 'close: "18:30"'], ['quiet: "21:00"', 'quiet: "18:20"'])),
    ).toContain(
      '17: the night of 2026-10-02 lasts 23.67 h. A `close` that is at or before `open` on the clock is on the next day; is that meant?',
    );
  });

  it('of which one never comes are noted', () => {
    const again = '- {prepare: "0 12 * 10 sat", open: "14:00", close: "15:00", opens: by hand}\n';
    expect(notesIn(landing(['dark: ', `  ${again}dark: `]))).toEqual([
      '23: this entry makes no night in 2026 to 2027: its dates do not come, or an entry above has them all.',
    ]);
  });

  it('are wanted at least once', () => {
    const text = landing().replace(/nights:\n(?:[ -].*\n)+/u, 'nights: []\n');
    expect(errorsIn(text)).toMatchObject([{ line: 14, path: 'nights' }]);
    expect(errorsIn(text)[0]!.message).toBe(
      'Line 14: the file has no nights: the yard would never open. Add an entry to `nights`.',
    );
  });

  it('may be dark, but not on dates that have no show anyway', () => {
    expect(notesIn(landing(['dark: [2026-10-17]', 'dark: [2026-10-17, 2026-10-14, 2026-10-17]']))).toEqual([
      '23: 2026-10-14 has no show anyway: no `prepare` falls on it. Is it the right date?',
      '23: 2026-10-17 stands twice in `dark`.',
    ]);
  });
});

describe('the notice', () => {
  it('of no time is noted', () => {
    expect(notesIn(landing(['notice: 30 s', 'notice: 2 s']))).toEqual([
      '20: a notice of 2 s gives nobody time to step back before things move.',
      '21: `lamps-up` takes 20 s, longer than the notice of 2 s: homing begins only after it.',
    ]);
  });

  it('that begins before prepare is noted', () => {
    const notes = notesIn(
      landing(['open: sunset + 20 min', 'open: "16:05"'], ['notice: 30 s', 'notice: 10 min']),
    );
    expect(notes).toEqual([
      '20: on 2026-10-02 the notice before open begins before prepare at 16:00, so it is cut short or the opening late; prepare earlier.',
    ]);
  });
});

import { describe, expect, it } from 'vitest';
import { changed, notesIn } from './landing.ts';
import { QUAY } from './quay.ts';

type Change = readonly [from: string, to: string];

const CROSSING = '[ferry.out, ferryman.row, ferry.back]';

describe('what is odd is noted', () => {
  const note = (...changes: Change[]): string[] =>
    notesIn(changed(QUAY, ...changes)).map((n) => n.replace(/^\d+: /u, ''));

  it('a move to where it stands', () => {
    expect(note([CROSSING, '[ferry.back, ferry.out, ferryman.row, ferry.back]'])).toEqual(
      [
        'in `crossing` `ferry` already stands at `near` when `ferry.back` comes: it has nothing to do.',
      ].toReversed(),
    );
  });

  it('a carriage left away from home', () => {
    expect(note([CROSSING, '[ferry.out, ferryman.row]'])).toContain(
      '`crossing` leaves `ferry` at `far`, and no scene brings it home: its next run finds it there.',
    );
  });

  it('needs that are there twice, or that the move makes itself', () => {
    expect(note(['needs: [ferry.far], load', 'needs: [ferry.far, ferry.far], load'])).toContain(
      '`ferryman.row` needs `ferry.far` twice.',
    );
    expect(
      note([
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest]',
        'out: {until: far, usual: 7 s, limit: 12 s, needs: [not ferry.far]',
      ]),
    ).toContain(
      '`ferry.out` needs `not ferry.far`, and makes that sensor itself as it arrives: leave it out.',
    );
  });

  it('a home without a way there, and two that wait for each other', () => {
    expect(
      note(
        ['      close: {until: shut, usual: 1 s, limit: 3 s}\n', ''],
        ['[hatch.slam, hatch.close]', '[hatch.slam]'],
      ),
    ).toContain(
      'no move of `hatch` is `until: shut`, so it has no homing move: found away from home it is not ready until someone puts it there. `home-move` can name one.',
    );
    expect(
      note(
        [
          'close: {until: shut, usual: 1 s, limit: 3 s}',
          'close: {until: shut, usual: 1 s, limit: 3 s, needs: [ferry at home]}',
        ],
        [
          'back: {until: near, usual: 7 s, limit: 12 s, needs: [ferryman at rest]',
          'back: {until: near, usual: 7 s, limit: 12 s, needs: [hatch.shut]',
        ],
      ),
    ).toContain(
      'to go home `ferry` and `hatch` each need the other at home first: if more than one of them is found away, someone must put one there by hand.',
    );
  });

  it('keys that do nothing, and what nothing uses', () => {
    const notes = note(
      [
        'crossing: {title: Crossing,',
        'crossing: {title: Crossing, vary: 10 %, weight: 2, again-after: 1 min,',
      ],
      ['tanks:', '  spare: {volts: 230, breaker: 16 A}\ntanks:'],
      ['row: {lasts: 20 s,', 'row: {lasts: 20 s, usual: 19 s, limit: 21 s,'],
    );
    expect(notes).toEqual([
      'nothing uses the circuit `spare`.',
      '`usual` of `ferryman.row` is not used: a move that `lasts` takes just that.',
      '`limit: 21 s` leaves less than a tenth above the usual 20 s: a cold night may be enough for a fault.',
      '`vary` of `crossing` does nothing: without `every` it is in no plan.',
      '`weight` of `crossing` does nothing: without `every` it is in no plan.',
      '`again-after` of `crossing` does nothing: no trigger (`on`) sets it off.',
    ]);
  });

  it('one mat that sets off two scenes', () => {
    expect(
      note(
        ['gull-cries: {title: Gull,', 'gull-cries: {title: Gull, on: mat.step,'],
        ['others: {title: Others,', 'others: {title: Others, on: mat.step,'],
      ),
    ).toEqual(['`mat.step` sets off `gull-cries` too: both start if both can.']);
  });
});

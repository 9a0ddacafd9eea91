import { describe, expect, it } from 'vitest';
import { stopSay } from '../../web/stop-roll.ts';
import { english } from '../../web/words.ts';
import { busLost, open, stopped, stoppedClear } from '../browser/hand-pictures.ts';

const say = (
  ...[picture, link, press, nowMs]: [
    Parameters<typeof stopSay>[1],
    Parameters<typeof stopSay>[2],
    Parameters<typeof stopSay>[3],
    number?,
  ]
) => stopSay(english, picture, link, press, nowMs ?? picture?.at ?? 0);

describe('what the stop bar says', () => {
  it('is ready, and sends people to the red button first', () => {
    expect(say(open(), 'live', 'none')).toEqual({
      state: 'ready',
      text: 'Someone in danger? Red button first.',
    });
  });

  it('counts while the props are being called, then names who does not answer and what to do', () => {
    const picture = stopped();
    expect(say(picture, 'live', 'taken', picture.stop.at! + 1500).text).toBe('Stopping… 10 of 11');
    expect(say(picture, 'live', 'taken', picture.stop.at! + 2000).text).toBe(
      'Stopped 10 of 11. Fog bank does not answer. Pull its plug or press the red button.',
    );
    picture.stop.silent = ['fog-bank', 'gull'];
    picture.stop.answered = picture.stop.answered.filter((board) => board !== 'gull');
    expect(say(picture, 'live', 'none').text).toBe(
      'Stopped 9 of 11. Fog bank and Gull do not answer. Pull their plugs or press the red button.',
    );
  });

  it('says that all answered only when all did', () => {
    expect(say(stoppedClear(), 'live', 'taken').text).toBe('Stopped. All 11 answered.');
  });

  it('names a board by what it drives, never by its own name', () => {
    const picture = stopped();
    picture.stop.silent = ['ferry-board'];
    expect(say(picture, 'live', 'none').text).toContain('Ferry does not answer');
  });

  it('says without a link that it can not reach the yard, whatever the picture was', () => {
    for (const picture of [open(), stopped(), stoppedClear(), null]) {
      expect(say(picture, 'lost', 'none')).toEqual({
        state: 'lost',
        text: "Can't reach the yard. Use the red button.",
      });
    }
    expect(say(open(), 'lost', 'sending').text).toBe('Trying to reach the yard… Use the red button.');
    expect(say(open(), 'lost', 'failed').text).toBe('The stop did not get through. Use the red button.');
    expect(say(open(), 'lost', 'taken').text).toContain('go and look');
  });

  it('never says stopped before the picture does', () => {
    expect(say(open(), 'live', 'taken').text).toBe('Stopping…');
    expect(say(open(), 'live', 'sending').text).toBe('Stopping…');
  });

  it('does not hide that no bus carries the stop', () => {
    expect(say(open(), 'live', 'no-bus').text).toBe(english.stop.noBus);
    expect(say(stopped(), 'live', 'no-bus').text).toBe(english.stop.noBus);
    expect(say(busLost(), 'live', 'none').text).toBe('No link to the props. Use the red button.');
  });
});

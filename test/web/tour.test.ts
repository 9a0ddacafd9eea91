import { beforeEach, describe, expect, it } from 'vitest';
import type { Picture } from '../../server/picture.ts';
import { Tour, tourText } from '../../web/tour.ts';
import { english } from '../../web/words.ts';
import { demonstration, fault, open } from '../browser/hand-pictures.ts';

const JAM = { faults: [{ prop: 'ferry', fault: 'jam' }], keeper: true };
const SOUND = { faults: [], keeper: true };

let tour: Tour;
beforeEach(() => {
  tour = new Tour();
  tour.demo = SOUND;
});

/** The demonstration with the crossing as said; the ferry is locked out where `locked`. */
function yard(crossing: Partial<Picture['scenes'][string]> = {}, locked = false): Picture {
  const picture = demonstration();
  picture.scenes.crossing = { ...picture.scenes.crossing!, running: false, why: null, ...crossing };
  if (locked) picture.props.ferry = fault().props.ferry!;
  return picture;
}
const step = (picture: Picture) => tour.view(picture)?.step;
const said = (picture: Picture) => tourText(english, tour.view(picture)!, picture);

describe('the tour', () => {
  it('leads from the jam to the next run', () => {
    expect(step(yard())).toBe('jam');
    tour.demo = JAM;
    expect(step(yard())).toBe('wait');
    tour.look(yard({}, true), 0);
    expect(step(yard({}, true))).toBe('locked');
    tour.demo = SOUND;
    expect(step(yard({}, true))).toBe('release');
    tour.look(yard({ made: 9 }), 0);
    expect(step(yard({ made: 9 }))).toBe('again');
    expect(step(yard({ made: 9, running: true }))).toBe('runs');
    expect(step(yard({ made: 10 }))).toBe('done');
    // the plan runs it on, which is no news
    expect(step(yard({ made: 10, running: true }))).toBe('done');
    tour.forget();
    expect(step(yard({ made: 10 }))).toBe('jam');
  });

  it('asks for the scene only once something wants it and nothing stands against it, and not too often', () => {
    expect(tour.look(yard(), 0)).toBe(null);
    tour.want();
    expect(tour.look(yard({ why: 'The pond rests.' }), 0)).toBe(null);
    expect(tour.look(yard({ running: true }), 0)).toBe(null);
    expect(tour.look({ ...yard(), mode: 'held' }, 0)).toBe(null);
    expect(tour.look(yard(), 1000)).toBe('crossing');
    expect(tour.look(yard(), 2000)).toBe(null);
    expect(tour.look(yard(), 2500)).toBe('crossing');
    tour.look(yard({}, true), 3000);
    expect(tour.look(yard(), 9000)).toBe(null);
  });

  it('says what is waited for in the desk’s words', () => {
    tour.demo = JAM;
    expect(tour.view(yard({ why: 'The pond rests for 12 s.' }))?.why).toBe('The pond rests for 12 s.');
  });

  it('waits while the yard is not open, and is not there in earnest', () => {
    expect(step({ ...yard(), mode: 'opening' })).toBe('shut');
    expect(tour.view(open())).toBe(null);
  });

  it.each([
    ['closed', 'The yard is closed: no scene starts until it is opened.'],
    ['opening', 'The yard is opening: props go home first, then scenes start.'],
    ['held', 'The yard is held: what runs ends, and no scene starts until someone presses Open.'],
    ['closing', 'The yard is closing: what runs ends, then props go home.'],
    ['stopped', 'The yard is stopped: no scene starts until the stop is cleared and the yard is opened.'],
  ] as const)('says what is so while the yard is %s, and that the jam is still on', (mode, text) => {
    const picture = { ...yard(), mode };
    expect(said(picture)).toBe(text);
    tour.demo = JAM;
    expect(tour.view(picture)!.jammed).toBe(true);
    expect(said(picture)).toBe(`${text} The ferry is still jammed.`);
  });

  it('says after a release where the prop stands, and promises a way home only where it needs one', () => {
    tour.look(yard({}, true), 0);
    const at = (more: Partial<Picture['props'][string]>) => {
      const picture = yard({ made: 9 });
      picture.props.ferry = { ...picture.props.ferry!, move: null, ...more };
      tour.look(picture, 0);
      return said(picture);
    };
    expect(at({ state: 'ready', at: 'near' })).toBe('Released. The ferry stands at near and may run again.');
    expect(at({ state: 'unknown', at: null })).toBe(
      'Released. Nobody knows where the ferry stands: it goes home first.',
    );
    expect(at({ state: 'silent', at: null })).toBe('Released. The ferry is back in service.');
  });
});

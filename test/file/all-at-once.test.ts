import { describe, expect, it } from 'vitest';
import { errorsIn, LANDING, landing } from './landing.ts';

describe('all mistakes are told at once', () => {
  it('in the order of the file, whatever kind they are', () => {
    const text = landing(
      ['timezone: America/Chicago', 'timezone: Chicago'],
      ['breaker: 15 A', 'breaker: 15'],
      ['zone: pond\n    controller', 'zone: pand\n    controller'],
      ['limit: 12 s', 'limit: 12'],
      ['needs: [ferry.far]', 'needs: [ferry.fra]'],
      ['loud: true\n  hatch', 'loud: yes\n  hatch'],
      ['close: {until: shut, usual: 1 s, limit: 4 s}', 'close: {until: shut, usual: 1 s}'],
      ['bell.toll\n', 'bell.tole\n'],
      ['steps: [lamp.flicker]', 'steps: []'],
    );
    expect(errorsIn(text).map((e) => e.path)).toEqual([
      'yard.timezone',
      'circuits.dock.breaker',
      'props.ferry.zone',
      'props.ferry.moves.out.limit',
      'props.ferryman.moves.row.needs[0]',
      'props.ferryman.moves.row.loud',
      'props.hatch.moves.close',
      'scenes.porch-scare.steps[3]',
      'scenes.lamps-up.steps',
    ]);
  });

  it('and the items of lists keep their numbers where others are broken', () => {
    const text = landing([
      '[lamp.flicker, hatch.slam]\n      - wait: 2 s\n      - hatch.close\n      - bell.toll',
      '[lamp.flicker, hatch slam, lamp.flicker, bell.tole]\n      - wait: 2\n      - hatch.clse\n      - together: [bell.toll, lmp.flicker]',
    ]);
    expect(errorsIn(text).map((e) => [e.path, e.found])).toEqual([
      ['scenes.porch-scare.steps[0].together[1]', 'hatch slam'],
      ['scenes.porch-scare.steps[0].together[2]', 'lamp.flicker'],
      ['scenes.porch-scare.steps[0].together[3]', 'bell.tole'],
      ['scenes.porch-scare.steps[1].wait', '2'],
      ['scenes.porch-scare.steps[2]', 'hatch.clse'],
      ['scenes.porch-scare.steps[3].together[1]', 'lmp.flicker'],
    ]);
  });

  it('a broken section does not hide what is wrong in the others', () => {
    const text = landing(
      ['latitude: 41.88', 'latitude: 141'],
      ['prepare: "0 16 * 10 fri,sat"', 'prepare: at four'],
      ['until: far', 'until: fur'],
    );
    expect(errorsIn(text).map((e) => e.path)).toEqual([
      'yard.latitude',
      'nights[0].prepare',
      'props.ferry.moves.out.until',
    ]);
  });

  it('what names a broken prop is not wrong for that', () => {
    expect(errorsIn(landing(['    title: Ferryman\n', ''])).map((e) => e.path)).toEqual([
      'props.ferryman.title',
    ]);
  });

  it('a file that misses whole sections says each', () => {
    expect(errorsIn('title: My yard\n').map((e) => e.message)).toEqual([
      'Line 1: `title` belongs to the section `yard` or a circuit or a tank or a zone or a prop or a scene, not to the file itself. Move it there.',
      'Line 1: the file has no `yard`. Add `yard: {id: saltmarsh, title: Saltmarsh Landing, …}`.',
      'Line 1: the file has no `nights`. Add `nights: [{prepare: "0 16 * 10 fri,sat", …}]`.',
      'Line 1: the file has no `props`. Add `props: {ferry: {…}}`.',
      'Line 1: the file has no `scenes`. Add `scenes: {crossing: {…}}`.',
    ]);
  });

  it('but not more than can be read', () => {
    const props = Array.from({ length: 300 }, (_, i) => `  p${i}: {title: P, moves: {m: {lasts: 2}}}`).join(
      '\n',
    );
    const errors = errorsIn(LANDING.replace('scenes:\n', `${props}\nscenes:\n`));
    expect(errors).toHaveLength(201);
    expect(errors[200]!.message).toBe('Line 284: and 100 more mistakes from here on. Put these right first.');
  });
});

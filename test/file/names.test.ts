import { describe, expect, it } from 'vitest';
import { idLike, isId, nearestOf, readId, readNeed, readRef, writeNeed } from '../../server/file/names.ts';

describe('needs', () => {
  it.each([
    ['ferry.far', { kind: 'made', prop: 'ferry', sensor: 'far' }],
    ['not ferry.far', { kind: 'not-made', prop: 'ferry', sensor: 'far' }],
    ['ferryman at rest', { kind: 'at-rest', prop: 'ferryman' }],
    ['ferry  at  home', { kind: 'at-home', prop: 'ferry' }],
  ])('reads %s', (text, need) => {
    const read = readNeed(text);
    expect(read).toEqual({ ok: true, value: need });
    if (read.ok) expect(readNeed(writeNeed(read.value))).toEqual(read);
  });

  it.each([
    ['!ferry.far', 'not ferry.far'],
    ['not(ferry.far)', 'not ferry.far'],
    ['ferry.far not made', 'not ferry.far'],
    ['ferry.far made', 'ferry.far'],
    ['ferry at far', 'ferry.far'],
    ['Ferryman is at rest', 'ferryman at rest'],
    ['ferry', 'ferry at rest'],
    ['ferry:far', 'ferry.far'],
    ['not ferry at rest', 'not ferry.far'],
    ['witch still', 'witch at rest'],
    ['witch is asleep', 'witch at rest'],
    ['witch home', 'witch at home'],
    ['', 'ferry.far'],
  ])('refuses %j and proposes', (text, example) => {
    const read = readNeed(text);
    expect(read.ok ? null : read.complaint.example).toBe(example);
  });
});

describe('ids', () => {
  it.each(['a', '7', 'ferry-2', '-', 'constructor', 'x'.repeat(40)])('takes %s', (id) => {
    expect(isId(id)).toBe(true);
    expect(readId(id)).toEqual({ ok: true, value: id });
  });

  it.each([
    ['', 'ferry'],
    ['Porch Lantern', 'porch-lantern'],
    ['porch_lantern', 'porch-lantern'],
    ['porchLantern', 'porch-lantern'],
    ['Möwe', 'mowe'],
    ['x'.repeat(41), 'x'.repeat(40)],
    ['ferry\n', 'ferry'],
  ])('refuses %j and proposes %s', (text, example) => {
    const read = readId(text);
    expect(read.ok ? null : read.complaint.example).toBe(example);
    expect(isId(idLike(text))).toBe(true);
  });

  it('reads a number that YAML made of an id as the same text', () => {
    expect(readId(7)).toEqual({ ok: true, value: '7' });
  });
});

describe('prop.move', () => {
  it.each([
    ['ferry/out', 'ferry.out'],
    ['ferry out', 'ferry.out'],
    ['Ferry.Out', 'ferry.out'],
    ['ferry -> out', 'ferry.out'],
    ['ferry', 'ferry.out'],
    ['a.b.c', 'ferry.out'],
  ])('refuses %j and proposes %s', (text, example) => {
    const read = readRef(text, 'move');
    expect(read.ok ? null : read.complaint.example).toBe(example);
  });
});

describe('the nearest known name', () => {
  const known = ['title', 'sensors', 'home', 'home-move', 'limit', 'at-most'];
  it.each([
    ['titel', 'title'],
    ['sensor', 'sensors'],
    ['limt', 'limit'],
    ['homeMove', 'home-move'],
    ['at_most', 'at-most'],
    ['AtMost', 'at-most'],
    ['colour', undefined],
    ['xyz', undefined],
  ])('of %s is %s', (name, nearest) => {
    expect(nearestOf(name, known)).toBe(nearest);
  });
});

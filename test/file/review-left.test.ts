import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readYard } from '../../server/file/read.ts';
import { reviewYard } from '../../server/file/review.ts';
import { reviewLeft } from '../../server/file/review-left.ts';

const FILE = readFileSync(new URL('../../config/saltmarsh.yaml', import.meta.url), 'utf8');

function reviewed(text: string) {
  const read = readYard(text);
  if (read.ok) throw new Error('it has no mistake');
  if (!read.left) throw new Error('nothing could be read');
  return reviewLeft(read.left, read.errors);
}

const whole = readYard(FILE);
const findings = whole.ok ? reviewYard(whole.yard) : [];
const about = (what: 'circuit' | 'tank' | 'prop') => findings.filter((f) => f[what] !== undefined);

describe('the review of a file with mistakes elsewhere', () => {
  it('is that of the whole file where the mistake is in a night', () => {
    const text = FILE.replace(/opens: by (hand|itself)/, 'opens: by magic');
    expect(text).not.toBe(FILE);
    const { findings: left, leftOut } = reviewed(text);
    expect(leftOut).toEqual([]);
    expect(about('circuit').length).toBeGreaterThan(0);
    expect(about('tank').length).toBeGreaterThan(0);
    for (const finding of [...about('circuit'), ...about('tank')]) expect(left).toContainEqual(finding);
  });

  it('says of a prop with a mistake that it is not in the sums, and does not count what stands in for it', () => {
    const text = FILE.replace('limit: 12 s', 'limit: 12');
    expect(text).not.toBe(FILE);
    const { findings: left, leftOut } = reviewed(text);
    expect(leftOut).toContain('Ferry');
    const plays = whole.ok ? [...whole.yard.scenes.values()].filter((s) => s.props.includes('ferry')) : [];
    expect(plays.length).toBeGreaterThan(0);
    expect(leftOut).toEqual(expect.arrayContaining(plays.map(({ title }) => title)));
    expect(left.some((f) => f.prop === 'ferry')).toBe(false);
    expect(left.filter((f) => f.code === 'circuit').length).toBeGreaterThan(0);
  });

  it('says nothing of a circuit whose own figures are wrong', () => {
    const id = whole.ok ? [...whole.yard.circuits.keys()][0]! : '';
    const { findings: left, leftOut } = reviewed(FILE.replace(/breaker: \d+ A/, 'breaker: 15'));
    expect(left.filter((f) => f.circuit === id)).toEqual([]);
    expect(leftOut).toHaveLength(1);
  });

  it('says nothing of the yard as a whole: what it wants for may be just what was left out', () => {
    const station = /\n {2}[a-z-]+:\n? *\{?[^\n]*title[^\n]*kind: stop-station/;
    const { findings: left } = reviewed(FILE.replace('limit: 12 s', 'limit: 12').replace(station, ''));
    expect(left.some((f) => f.code === 'no-station')).toBe(false);
  });

  it('never throws, whatever is spoilt', () => {
    fc.assert(
      fc.property(fc.nat(FILE.length), fc.nat(40), fc.string({ maxLength: 6 }), (at, cut, put) => {
        const read = readYard(FILE.slice(0, at) + put + FILE.slice(at + cut));
        if (read.ok || !read.left) return;
        for (const { text } of reviewLeft(read.left, read.errors).findings)
          expect(text).not.toMatch(/NaN|undefined/);
      }),
      { numRuns: 150 },
    );
  });
});

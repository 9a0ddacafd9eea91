import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

/**
 * Contrast of every pair of colours that the page uses, computed from tokens.css.
 * Formula: WCAG 2.2, definitions of relative luminance and contrast ratio (https://www.w3.org/TR/WCAG22/).
 */

type Rgb = readonly [number, number, number];

function rgb(hex: string): Rgb {
  const digits = hex.replace('#', '');
  const long = digits.length === 3 ? [...digits].map((d) => d + d).join('') : digits;
  const at = (n: number) => Number.parseInt(long.slice(n, n + 2), 16);
  return [at(0), at(2), at(4)];
}

function luminance(colour: Rgb): number {
  const [r, g, b] = colour.map((part) => {
    const c = part / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [x, y] = [luminance(rgb(a)), luminance(rgb(b))];
  return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05);
}

describe('the formula, against published pairs', () => {
  it.each([
    // W3C, Understanding SC 1.4.3: black on white is 21:1, the largest there is.
    ['#000000', '#ffffff', 21, 2],
    // As published on many accessibility pages, among them WebAIM: #767676 is the lightest grey that passes on white.
    ['#767676', '#ffffff', 4.54, 2],
    ['#777777', '#ffffff', 4.48, 2],
    // As published by a contrast table of unitcalctools.com for #1E293B on white.
    ['#1e293b', '#ffffff', 14.63, 2],
  ] as const)('%s on %s is %d', (a, b, published, places) => {
    expect(contrast(a, b)).toBeCloseTo(published, places);
  });

  it('judges the ratio unrounded: #777 on white does not pass 4.5', () => {
    expect(contrast('#767676', '#fff')).toBeGreaterThanOrEqual(4.5);
    expect(contrast('#777', '#fff')).toBeLessThan(4.5);
  });
});

/** Words on their ground: 4.5 for text (SC 1.4.3 AA), large or not. */
const TEXT: [string, string][] = [
  ...['field', 'plate', 'bright'].flatMap((ground): [string, string][] => [
    ['ink', ground],
    ['soft', ground],
  ]),
  ['field', 'ink'],
  ['on-red', 'red'],
  ['on-blue', 'blue'],
  ['on-amber', 'amber'],
  ['red-ink', 'plate'],
];

/** What tells a control or a state by itself: 3 (SC 1.4.11). */
const SHAPES: [string, string][] = [
  ['edge', 'field'],
  ['edge', 'plate'],
  ['red', 'field'],
  ['ink', 'field'],
  ['red-ink', 'field'],
  ['blue-ink', 'plate'],
  ['blue-ink', 'field'],
];

const css = readFileSync(new URL('../../web/tokens.css', import.meta.url), 'utf8');

function tokens(selector: string): Map<string, string> {
  const start = css.indexOf(selector);
  if (start < 0) throw new Error(`tokens.css has no ${selector}`);
  const body = css.slice(css.indexOf('{', start) + 1, css.indexOf('}', start));
  return new Map([...body.matchAll(/--([a-z-]+):\s*([^;]+);/g)].map((m) => [m[1]!, m[2]!.trim()]));
}

const LEVELS = ['[data-light="day"]', '[data-light="dusk"]', '[data-light="red"]'];
const LOST = tokens('[data-link="lost"]');

function resolved(level: Map<string, string>, name: string): string {
  const value = level.get(name);
  const other = value?.match(/^var\(--([a-z-]+)\)$/)?.[1];
  if (other) return resolved(level, other);
  expect(value, `--${name} is a plain colour`).toMatch(/^#[0-9a-f]{6}$/);
  return value!;
}

describe.each(LEVELS)('the colours of %s', (selector) => {
  const level = tokens(selector);
  const lost = new Map([...level, ...LOST]);

  it.each(TEXT)('read: %s on %s', (text, ground) => {
    expect(contrast(resolved(level, text), resolved(level, ground))).toBeGreaterThanOrEqual(4.5);
  });

  it.each(SHAPES)('tell: %s on %s', (shape, ground) => {
    expect(contrast(resolved(level, shape), resolved(level, ground))).toBeGreaterThanOrEqual(3);
  });

  it.each(TEXT.filter(([text]) => text !== 'on-red'))('read without a link too: %s on %s', (text, ground) => {
    expect(contrast(resolved(lost, text), resolved(lost, ground))).toBeGreaterThanOrEqual(4.5);
  });

  it('claim nothing by colour without a link', () => {
    for (const name of ['amber', 'amber-ink', 'red-ink', 'blue', 'blue-ink', 'bright']) {
      const grounds = ['plate', 'ink', 'soft'].map((ground) => resolved(level, ground));
      expect(grounds).toContain(resolved(lost, name));
    }
  });
});

it('deep red has no green or blue light to speak of', () => {
  // Rods hardly see beyond 620 nm (common practice, no source), so a dark-adapted eye is spared by red alone.
  const red = tokens('[data-light="red"]');
  for (const [name, value] of red) {
    if (!value.startsWith('#')) continue;
    const [r, g, b] = rgb(value);
    expect(g + b, name).toBeLessThanOrEqual(Math.max(r * 0.55, 0));
  }
});

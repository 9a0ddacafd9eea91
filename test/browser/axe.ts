import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** axe-core's rules for WCAG 2.0 to 2.2, A and AA; target-size is the one that bears the tag wcag22aa. */
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Found {
  violations: { id: string; nodes: { target: unknown; failureSummary: string }[] }[];
  passes: { id: string }[];
}

/** `light`: what depends on the light and nothing else, which is contrast; `paper`: a page with nothing to press. */
export async function judge(page: Page, of: 'all' | 'light' | 'paper' = 'all'): Promise<string[]> {
  // Our policy allows no foreign script in the page; the debugger's way around it serves the test alone.
  if (!(await page.evaluate('typeof axe === "object"'))) await page.evaluate(AXE);
  const found = (await page.evaluate(
    of === 'light'
      ? `axe.run(document, { runOnly: { type: 'rule', values: ['color-contrast'] } })`
      : `axe.run(document, { runOnly: { type: 'tag', values: ${JSON.stringify(TAGS)} }, rules: { 'target-size': { enabled: true } } })`,
  )) as Found;
  const passed = found.passes.map(({ id }) => id);
  expect(passed).toContain('color-contrast');
  if (of === 'all') expect(passed).toContain('target-size');
  return found.violations.flatMap(({ id, nodes }) =>
    nodes.map((n) => `${id} ${JSON.stringify(n.target)} ${n.failureSummary}`),
  );
}

const LIGHTS = ['day', 'dusk', 'red'] as const;

export async function judgeInEveryLight(page: Page): Promise<void> {
  for (const light of LIGHTS) {
    await page.evaluate((level) => {
      document.querySelector('yard-page')!.dispatchEvent(new CustomEvent('light', { detail: level }));
    }, light);
    await page.waitForSelector(`html[data-light=${light}]`);
    expect(await judge(page, light === LIGHTS[0] ? 'all' : 'light'), light).toEqual([]);
  }
}

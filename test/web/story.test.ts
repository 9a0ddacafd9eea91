import { describe, expect, it } from 'vitest';
import type { RecordLine } from '../../server/desk-door.ts';
import { storyOf } from '../../web/story.ts';
import { plan } from '../browser/hand-plan.ts';

let n = 0;
const line = (code: string, more: Partial<RecordLine> = {}): RecordLine => {
  n += 1;
  return { n, at: n * 1000, code, text: code, prop: null, scene: null, run: null, ...more };
};

describe('a prop’s story', () => {
  const made = plan();
  made.runs[0]!.steps = [{ prop: 'ferry', move: 'out', start: 0, end: 7 }];
  const scene = made.runs[0]!.scene;
  const other = made.runs.find((run) => run.scene !== scene)!.scene;

  it('is its own lines, its scenes’, and those that changed the whole yard, newest first', () => {
    const lines = [
      line('desk-started'),
      line('run-done', { scene }),
      line('run-done', { scene: other }),
      line('lockout-raised', { prop: 'ferry' }),
      line('lockout-raised', { prop: 'gull' }),
      line('stop-pressed'),
      line('plan-mended'),
    ];
    expect(storyOf(lines, 'ferry', made).map(({ code, scene: of, prop }) => [code, of ?? prop])).toEqual([
      ['stop-pressed', null],
      ['lockout-raised', 'ferry'],
      ['run-done', scene],
      ['desk-started', null],
    ]);
  });

  it('is bounded, and does without a plan', () => {
    const lines = Array.from({ length: 500 }, () => line('homed', { prop: 'ferry' }));
    const story = storyOf(lines, 'ferry', null);
    expect(story.length).toBeLessThanOrEqual(100);
    expect(story[0]).toBe(lines.at(-1));
  });
});

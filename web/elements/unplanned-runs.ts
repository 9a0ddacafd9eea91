import { css, html, nothing, type SVGTemplateResult, svg } from 'lit';
import type { Picture, UnplannedRun } from '../../server/picture.ts';
import type { Unplanned } from '../ruler.ts';
import { shortClockOf } from '../time.ts';
import { titleOf } from '../view.ts';
import { words } from '../words.ts';

/** Runs that are on no plan, on the clock ruler and in words: barred where a planned one is solid, under a mark of who began it. */

type Yard = Pick<Picture, 'scenes' | 'yard'>;
type Origin = UnplannedRun['origin'];

const MARK_PX = 14;
const LOST: readonly UnplannedRun['state'][] = ['failed', 'abandoned', 'stopped'];

/** A button pressed, a person, a flag. */
const shapes: Record<Origin, string> = {
  hand: 'M2 1h10l-5 7zM2 10h10v2h-10z',
  trigger: 'M7 0.5a3 3 0 1 1 -0.01 0zM1 12.500a6 5.500 0 0 1 12 0z',
  notice: 'M2 0.500h1.500l9 3.500 -9 3.500v5h-1.500z',
};

/** Of the size of the marks beside words. */
export function originMark(origin: Origin) {
  return html`<svg class="mark" viewBox="-2 -1.5 18 18" aria-hidden="true"><path d=${shapes[origin]} fill="currentColor" /></svg>`;
}

export const wasLost = ({ run }: Unplanned): boolean => LOST.includes(run.state);

/** `Porch scare, guest, done.`, with why where it was no good. */
export function saidOf({ run }: Unplanned, { scenes }: Yard): string {
  const said = `${titleOf(scenes, run.scene)}, ${words.origins[run.origin]}`;
  return words.ruler.missed(said, words.fates[run.state], run.why);
}

export interface Ground {
  readonly x: (ms: number) => number;
  readonly wide: number;
  readonly nowMs: number;
  /** The top of their first lane, and the height of each. */
  readonly top: number;
  readonly lane: number;
}

/** Those of a zone. Where they stand too close for marks and words, every bar still has its foot. */
export function drawUnplanned(all: readonly Unplanned[], yard: Yard, ground: Ground): SVGTemplateResult[] {
  const { x, wide, nowMs } = ground;
  const markedTo: number[] = [];
  return all.map((one, n) => {
    const { run, actual, lane } = one;
    const left = Math.max(0, x(actual.fromMs));
    const next = all.slice(n + 1).find((other) => other.lane === lane);
    const now = x(nowMs);
    const atNow = actual.toMs >= nowMs || (left < now && now < left + MARK_PX + 3);
    // the line of now strikes through neither: the mark stands before it, the words behind
    const mark = atNow ? Math.max(0, Math.min(left, now - MARK_PX - 3)) : left;
    const text = Math.max(mark + MARK_PX + 3, atNow ? now + 6 : 0);
    const room = Math.min(wide, atNow ? wide : now, next ? x(next.actual.fromMs) : wide) - text;
    const marked = mark >= (markedTo[lane] ?? Number.NEGATIVE_INFINITY) && mark + MARK_PX <= wide;
    if (marked) markedTo[lane] = mark + MARK_PX;
    const origin = words.origins[run.origin];
    const label = [`${titleOf(yard.scenes, run.scene)}, ${origin}`, origin].find(
      (said) => 6.7 * said.length + 4 < room,
    );
    const y = ground.top + lane * ground.lane;
    const width = Math.max(3, x(actual.toMs) - left);
    return svg`<g class="unplanned">
      <title>${shortClockOf(run.actualStart, yard.yard.timezone)} ${saidOf(one, yard)}</title>
      <line class=${run.state === 'running' ? 'runs' : 'was'} x1=${left} x2=${left + width} y1=${y + 18} y2=${y + 18} />
      <line class="foot" x1=${left + 0.75} x2=${left + 0.75} y1=${y + 13} y2=${y + 23} />
      ${
        marked
          ? svg`<path class=${wasLost(one) ? 'lost' : 'by'} transform="translate(${mark} ${y - 1})" d=${shapes[run.origin]} />`
          : nothing
      }
      ${marked && label ? svg`<text class="side" x=${text} y=${y + 10}>${label}</text>` : nothing}
    </g>`;
  });
}

export const unplannedLook = css`
  .unplanned line {
    stroke: var(--edge);
    stroke-width: 7;
    stroke-dasharray: 3 2;
  }

  .unplanned line.runs {
    stroke: var(--ink);
  }

  .unplanned line.foot {
    stroke-width: 1.5;
    stroke-dasharray: none;
  }

  .by {
    fill: var(--ink);
  }

  .lost {
    fill: var(--amber);
    stroke: var(--ink);
    stroke-width: 1;
  }

  li.besides {
    box-shadow: none;
  }
`;

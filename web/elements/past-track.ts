import { css, html, LitElement, nothing, svg } from 'lit';
import type { Course } from '../../server/past/course.ts';
import { anchorOf, ticksOf } from '../ruler.ts';
import { shortClockOf } from '../time.ts';
import { look } from './look.ts';

/** Half a slider's thumb: its middle goes from here to as far from the other end, so the marks do too. */
export const INSET = 14;
const TALL = 44;
const TICK_PX = 70;

/** A night's marks over its slider: runs as bars, faults as diamonds, stops as squares, what was skipped hollow. */
export class PastTrack extends LitElement {
  static override properties = {
    course: { attribute: false },
    span: { attribute: false },
    at: { attribute: false },
    timezone: { attribute: false },
    wide: { attribute: false },
    told: { attribute: false },
  };
  static override styles = [
    look,
    css`
      svg {
        display: block;
        width: 100%;
        height: ${TALL}px;
        background: var(--plate);
      }

      text {
        fill: var(--soft);
        font: 14px var(--letter);
      }

      .tick {
        stroke: var(--line);
      }

      .run {
        fill: var(--edge);
      }

      .turn {
        stroke: var(--ink);
        stroke-dasharray: 2 3;
      }

      .missed {
        fill: none;
        stroke: var(--ink);
        stroke-width: 1.5;
      }

      .fault,
      .stop {
        fill: var(--ink);
        stroke: var(--plate);
      }

      .here {
        stroke: var(--ink);
        stroke-width: 3;
      }
    `,
  ];
  declare course: Course;
  /** What is shown of it, ms since 1970. */
  declare span: { readonly from: number; readonly to: number };
  declare at: number;
  declare timezone: string;
  /** Pixels. */
  declare wide: number;
  /** The same in words. */
  declare told: string;

  override render() {
    const { span, timezone, wide } = this;
    const room = wide - 2 * INSET;
    const x = (ms: number) => INSET + ((ms - span.from) / (span.to - span.from)) * room;
    const within = (ms: number) => ms >= span.from && ms <= span.to;
    const ticks = ticksOf({ fromMs: span.from, toMs: span.to }, timezone, Math.max(2, room / TICK_PX));
    const { runs, turns, missed, stops, faults } = this.course;
    return html`<svg role="img" aria-label=${this.told} viewBox="0 0 ${wide} ${TALL}" preserveAspectRatio="none">
      ${ticks.map(
        (at) => svg`<line class="tick" x1=${x(at)} x2=${x(at)} y1="16" y2=${TALL} />
          <text x=${x(at)} y="13" text-anchor=${anchorOf(x(at), wide, 24)}>${shortClockOf(at, timezone)}</text>`,
      )}
      ${runs
        .filter(([from, to]) => to >= span.from && from <= span.to)
        .map(([from, to]) => {
          const left = Math.max(INSET, x(from));
          const width = Math.max(1.5, Math.min(x(to), wide - INSET) - left);
          return svg`<rect class="run" x=${left} y="34" width=${width} height="6" />`;
        })}
      ${turns.filter(within).map((at) => svg`<line class="turn" x1=${x(at)} x2=${x(at)} y1="16" y2=${TALL} />`)}
      ${missed.filter(within).map((at) => svg`<path class="missed" d="M${x(at)} 20l4 5 -4 5 -4 -5z" />`)}
      ${stops.filter(within).map((at) => svg`<rect class="stop" x=${x(at) - 6} y="19" width="12" height="12" />`)}
      ${faults.filter(within).map((at) => svg`<path class="fault" d="M${x(at)} 16l7 9 -7 9 -7 -9z" />`)}
      ${within(this.at) ? svg`<line class="here" x1=${x(this.at)} x2=${x(this.at)} y1="16" y2=${TALL} />` : nothing}
    </svg>`;
  }
}
customElements.define('past-track', PastTrack);

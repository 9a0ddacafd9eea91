import { css, html, LitElement, nothing, svg } from 'lit';
import type { PropTravels } from '../../server/prop-travels.ts';
import { secondsOf } from '../time.ts';
import { Width } from '../width.ts';
import { words } from '../words.ts';
import { amberEdge, look } from './look.ts';

const TALL = 140;
const LEFT = 40;
const RIGHT = 8;
const FOOT = 20;

/** One move's last journeys as dots against its usual time and its limit, and the middle of each of the last nights. */
export class TravelChart extends LitElement {
  static override properties = {
    times: { attribute: false },
    drifts: { attribute: false },
  };
  static override styles = [
    look,
    css`
      :host {
        margin-bottom: 2px;
        padding: 10px 12px;
        background: var(--plate);
      }

      p {
        font-size: 15px;
      }

      .head {
        display: flex;
        flex-wrap: wrap;
        gap: 0 12px;
        justify-content: space-between;
      }

      .title {
        font-weight: 600;
      }

      .drift {
        margin-top: 6px;
        padding: 8px 12px 8px 18px;
        box-shadow: ${amberEdge};
        background: var(--field);
        font-weight: 600;
      }

      svg {
        display: block;
        width: 100%;
      }

      text {
        fill: var(--soft);
        font: 14px var(--letter);
      }

      .dot {
        fill: var(--ink);
      }

      .night {
        fill: none;
        stroke: var(--edge);
        stroke-width: 2;
      }

      .usual {
        stroke: var(--edge);
      }

      .limit {
        stroke: var(--ink);
        stroke-width: 1.5;
        stroke-dasharray: 6 4;
      }

      .floor {
        stroke: var(--line);
      }
    `,
  ];
  declare times: PropTravels['moves'][number];
  /** Set where this move slows down. */
  declare drifts: PropTravels['drift'];
  #width = new Width(this, 240);

  constructor() {
    super();
    this.drifts = null;
  }

  override render() {
    const { move, lastMs, usualMs, limitMs } = this.times;
    const last = lastMs.at(-1);
    return html`
      <p class="head">
        <span class="title">${move}</span>
        <span class="soft">${words.travel.figures(usualMs, limitMs)}</span>
      </p>
      ${last === undefined ? html`<p class="soft">${words.travel.none}</p>` : this.#chart()}
      ${this.drifts ? html`<p class="drift">${words.travel.drift(this.drifts.nowMs, this.drifts.nightsLeft)}</p>` : nothing}
    `;
  }

  #chart() {
    const { lastMs, nightsMs, usualMs, limitMs } = this.times;
    const wide = this.#width.px;
    const most = Math.max(limitMs, ...lastMs) * 1.1;
    const y = (ms: number) => TALL - FOOT - (ms / most) * (TALL - FOOT - 6);
    // Nights stand to the left of the journeys, which are newer.
    const count = nightsMs.length + lastMs.length;
    const x = (n: number) => LEFT + 8 + ((wide - LEFT - RIGHT - 16) * n) / Math.max(1, count - 1);
    const nights = nightsMs.map((ms, n) => `${n === 0 ? 'M' : 'L'}${x(n).toFixed(1)} ${y(ms).toFixed(1)}`);
    const across = (ms: number, kind: string) =>
      svg`<line class=${kind} x1=${LEFT} x2=${wide - RIGHT} y1=${y(ms)} y2=${y(ms)} />
        <text x=${LEFT - 4} y=${y(ms) + 5} text-anchor="end">${secondsOf(ms)}</text>`;
    const range = words.travel.range(lastMs.length, Math.min(...lastMs), Math.max(...lastMs));
    const told = `${words.travel.last(lastMs.at(-1)!)} ${range}`;
    return html`<svg height=${TALL} viewBox="0 0 ${wide} ${TALL}" role="img" aria-label=${told}>
        ${across(0, 'floor')} ${across(usualMs, 'usual')} ${across(limitMs, 'limit')}
        <path class="night" d=${nights.join('')} />
        ${lastMs.map((ms, n) => svg`<circle class="dot" cx=${x(nightsMs.length + n)} cy=${y(ms)} r="2.6" />`)}
        ${nightsMs.length > 0 ? svg`<text x=${x(0)} y=${TALL - 3}>${words.travel.nights(nightsMs.length)}</text>` : nothing}
        <text x=${wide - RIGHT} y=${TALL - 3} text-anchor="end">${words.travel.journeys(lastMs.length)}</text>
      </svg>
      <p class="soft">${told}</p>`;
  }
}
customElements.define('travel-chart', TravelChart);

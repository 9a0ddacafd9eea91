import { css, html, LitElement, nothing } from 'lit';
import { shortClockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import type { ChartLimit, ChartLine } from './curve-chart.ts';
import './curve-chart.ts';
import { amberEdge, look } from './look.ts';
import { markLook, progressOf } from './marks.ts';

/** What each circuit carries and each tank holds, against its limit: just now, and through the night. */
export class LoadList extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      li {
        padding: 8px 12px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      ul {
        padding: 0;
        list-style: none;
      }

      p {
        display: flex;
        flex-wrap: wrap;
        gap: 0 12px;
        justify-content: space-between;
        margin-bottom: 6px;
      }

      li.beyond {
        padding-left: 18px;
        box-shadow: ${amberEdge};
      }

      .title,
      .beyond p:first-child {
        font-weight: 600;
      }

      .said {
        margin: 8px 0 0;
        font-size: 14px;
      }
    `,
  ];
  declare view: View;

  override render() {
    const { circuits, tanks } = this.view.picture;
    if (Object.keys(circuits).length + Object.keys(tanks).length === 0) return nothing;
    return html`<h2>${words.tonight.loads}</h2>
      ${Object.keys(circuits).length > 0 ? html`<p class="soft">${words.chart.steady}</p>` : nothing}
      <ul>
        ${Object.entries(circuits).map(([id, circuit]) =>
          this.#row(
            circuit.title,
            circuit.amps > circuit.limitAmps + 0.05, // as far as its figure is shown
            words.tonight.amps(circuit.amps, circuit.limitAmps),
            progressOf(circuit.amps, circuit.limitAmps, circuit.breakerAmps),
            this.#circuit(id, circuit.title),
          ),
        )}
        ${Object.entries(tanks).map(([id, tank]) =>
          this.#row(
            tank.title,
            tank.psi < tank.workingPsi - 0.5,
            words.tonight.psi(tank.psi, tank.workingPsi) + (tank.pumping ? `, ${words.tonight.pumping}` : ''),
            progressOf(tank.psi, tank.workingPsi, tank.cutOutPsi),
            this.#tank(id, tank.title),
          ),
        )}
      </ul>`;
  }

  /** `beyond`: above what a circuit may carry, or below what the air needs. */
  #row(title: string, beyond: boolean, figures: string, bar: unknown, chart: unknown) {
    return html`<li class=${beyond ? 'beyond' : ''}>
      <p>
        <span class="title">${title}</span>
        <span>${this.view.link === 'lost' ? words.was(figures) : figures}</span>
      </p>
      ${bar} ${chart}
    </li>`;
  }

  #circuit(id: string, title: string) {
    const curve = this.#of(this.view.curves?.circuits, id);
    if (!curve || curve.planned.at.length === 0) return nothing;
    const { limitAmps, breakerAmps, planned, soFar } = curve;
    const said = [
      this.#most(planned.at, planned.amps, 1, words.chart.plannedAmps),
      this.#most(soFar.at, soFar.amps, 1, words.chart.realAmps),
    ];
    return this.#chart(
      title,
      said,
      0,
      'step',
      [planned.at, planned.amps],
      [soFar.at, soFar.amps],
      [
        { value: limitAmps, name: words.chart.limit(limitAmps), dash: [6, 4] },
        { value: breakerAmps, name: words.chart.breaker(breakerAmps), dash: [2, 3] },
      ],
      this.#surges(id),
    );
  }

  /** What the lines leave out: a breaker trips on surges too. */
  #surges(id: string): string {
    const peak = this.#of(this.view.plan?.circuits, id);
    return peak ? words.chart.surges(peak.peakSurgeAmps, peak.breakerAmps) : '';
  }

  #tank(id: string, title: string) {
    const curve = this.#of(this.view.curves?.tanks, id);
    if (!curve || curve.planned.at.length === 0) return nothing;
    const { workingPsi, planned, soFar } = curve;
    const said = [
      this.#most(planned.at, planned.psi, -1, words.chart.plannedPsi),
      this.#most(soFar.at, soFar.psi, -1, words.chart.realPsi),
    ];
    // From below the least that is needed on: near zero a pressure says nothing that the words don't.
    return this.#chart(
      title,
      said,
      Math.floor(workingPsi * 0.8),
      'line',
      [planned.at, planned.psi],
      [soFar.at, soFar.psi],
      [{ value: workingPsi, name: words.chart.working(workingPsi), dash: [6, 4] }],
    );
  }

  #chart(
    title: string,
    [planned = '', real = '']: string[],
    least: number,
    shape: 'step' | 'line',
    plan: [number[], number[]],
    was: [number[], number[]],
    limits: ChartLimit[],
    note = '',
  ) {
    const { nowMs, picture } = this.view;
    const [at, value] = was;
    // What was last reckoned holds until now.
    const soFar =
      at.length > 0
        ? [
            [...at, Math.max(nowMs, at.at(-1)!)],
            [...value, value.at(-1)!],
          ]
        : [[], []];
    const lines: ChartLine[] = [
      { at: plan[0], value: plan[1], kind: 'planned', shape },
      { at: soFar[0]!, value: soFar[1]!, kind: 'real', shape },
    ];
    return html`<p class="said soft"><span>${planned}</span> <span>${real}</span></p>
      <curve-chart
        .lines=${lines}
        .limits=${limits}
        .fromMs=${plan[0][0]!}
        .toMs=${plan[0].at(-1)!}
        .nowMs=${nowMs}
        .least=${least}
        .timezone=${picture.yard.timezone}
        .label=${words.chart.amps(title, planned, real)}
      ></curve-chart>
      ${note ? html`<p class="said soft">${note}</p>` : nothing}`;
  }

  /** The highest point where `sign` is 1, the lowest where it is -1, with its time, in words; nothing of nothing. */
  #most(at: number[], value: number[], sign: 1 | -1, say: (value: number, clock: string) => string): string {
    if (at.length === 0) return '';
    let best = 0;
    for (let n = 1; n < value.length; n += 1) if (sign * value[n]! > sign * value[best]!) best = n;
    return say(value[best]!, shortClockOf(at[best]!, this.view.picture.yard.timezone));
  }

  #of<T>(table: Record<string, T> | undefined, id: string): T | undefined {
    return table && Object.hasOwn(table, id) ? table[id] : undefined;
  }
}
customElements.define('load-list', LoadList);

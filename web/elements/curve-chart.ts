import { css, html, LitElement, nothing } from 'lit';
import type uPlot from 'uplot';
import { ticksOf } from '../ruler.ts';
import { shortClockOf } from '../time.ts';
import { words } from '../words.ts';
import { look } from './look.ts';

export interface ChartLine {
  /** ms since 1970, ascending. */
  readonly at: readonly number[];
  readonly value: readonly number[];
  readonly kind: 'planned' | 'real';
  /** `step`: holds from one point to the next; `dots`: points alone. */
  readonly shape: 'step' | 'line' | 'dots';
}

export interface ChartLimit {
  readonly value: number;
  readonly name: string;
  readonly dash: readonly number[];
}

type Library = typeof import('../chart.ts');
const TALL = 150;
const TICK_PX = 90;

/**
 * A chart over time with its limits. The library comes when the first chart is shown; until then, and without it,
 * the words beside the chart say what matters. Colours are read as it draws, so that it follows the light.
 */
export class CurveChart extends LitElement {
  static override properties = {
    lines: { attribute: false },
    limits: { attribute: false },
    fromMs: { attribute: false },
    toMs: { attribute: false },
    nowMs: { attribute: false },
    least: { attribute: false },
    timezone: { attribute: false },
    label: { attribute: false },
    failed: { state: true },
  };
  static override styles = [
    look,
    css`
      .box {
        height: ${TALL}px;
        overflow: hidden;
      }

      .keys {
        display: flex;
        flex-wrap: wrap;
        gap: 0 16px;
        font-size: 14px;
      }

      .keys span {
        display: inline-flex;
        gap: 6px;
        align-items: center;
      }

      .keys svg {
        width: 26px;
        height: 8px;
        stroke: var(--ink);
        stroke-width: 2.5;
      }

      .keys .planned {
        stroke: var(--edge);
        stroke-width: 1.5;
      }
    `,
  ];
  declare lines: readonly ChartLine[];
  declare limits: readonly ChartLimit[];
  declare fromMs: number;
  declare toMs: number;
  /** Where now is marked; null where it is not. */
  declare nowMs: number | null;
  /** The least value on the scale. */
  declare least: number;
  declare timezone: string;
  declare label: string;
  declare failed: boolean;
  #chart: uPlot | null = null;
  #drawn: unknown[] = [];
  #loading = false;
  #watch = new ResizeObserver(() => this.#fit());

  constructor() {
    super();
    this.nowMs = null;
    this.least = 0;
    this.failed = false;
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    this.#watch.disconnect();
    this.#chart?.destroy();
    this.#chart = null;
  }

  override render() {
    const kinds = new Map(this.lines.map(({ kind, shape }) => [kind, shape]));
    return html`<div class="box" role="img" aria-label=${this.label}></div>
      ${this.failed ? html`<p class="soft">${words.chart.failed}</p>` : nothing}
      <p class="keys soft">
        ${[...kinds].map(([kind, shape]) => html`<span>${swatch(kind, shape === 'dots' ? [2, 6] : [])}${words.chart[kind]}</span>`)}
        ${this.limits.map(({ name, dash }) => html`<span>${swatch('limit', dash)}${name}</span>`)}
      </p>`;
  }

  override updated() {
    if (this.#chart) return this.#refresh();
    if (this.#loading || this.failed) return;
    this.#loading = true;
    import('../chart.ts')
      .then((library) => this.isConnected && this.#make(library))
      .catch(() => {
        this.failed = true;
      })
      .finally(() => {
        this.#loading = false;
      });
  }

  #make({ uPlot, look: sheetText }: Library): void {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(sheetText);
    const root = this.shadowRoot!;
    root.adoptedStyleSheets = [...root.adoptedStyleSheets, sheet];
    const box = root.querySelector<HTMLElement>('.box')!;
    const options = this.#options(uPlot, box.clientWidth);
    this.#chart = new uPlot(options, this.#data(uPlot), box);
    this.#drawn = this.#state();
    this.#join = uPlot.join;
    this.#watch.observe(box);
  }

  #join: typeof uPlot.join | null = null;

  #options({ paths }: typeof uPlot, width: number): uPlot.Options {
    const axis = { stroke: () => token('--soft'), font: '14px sans-serif', ticks: { show: false } };
    return {
      width,
      height: TALL,
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => [this.fromMs, this.toMs] },
        y: { range: () => [this.least, this.#most()] },
      },
      axes: [
        {
          ...axis,
          size: 26,
          grid: { show: false },
          splits: () => this.#ticks(),
          values: (_chart, at) => at.map((ms) => shortClockOf(ms, this.timezone)),
        },
        { ...axis, size: 40, grid: { stroke: () => token('--line'), width: 1 } },
      ],
      series: [
        {},
        ...this.lines.map(({ kind, shape }): uPlot.Series => {
          const stroke = () => token(kind === 'real' ? '--ink' : '--edge');
          return {
            stroke,
            width: kind === 'real' ? 2 : 1,
            spanGaps: true,
            points: { show: shape === 'dots', size: 7, stroke, fill: stroke },
            ...(shape === 'dots' ? { paths: () => null } : {}),
            ...(shape === 'step' ? { paths: paths.stepped!({ align: 1 }) } : {}),
          };
        }),
      ],
      hooks: { draw: [(chart) => this.#mark(chart)] },
    };
  }

  #data({ join }: { join: typeof uPlot.join }): uPlot.AlignedData {
    return join(this.lines.map(({ at, value }) => [[...at], [...value]]));
  }

  /** Limits across, now down. */
  #mark(chart: uPlot): void {
    const { ctx, bbox } = chart;
    const stroke = (from: [number, number], to: [number, number], dash: readonly number[]) => {
      ctx.beginPath();
      ctx.setLineDash(dash.map((length) => length * devicePixelRatio));
      ctx.moveTo(...from);
      ctx.lineTo(...to);
      ctx.stroke();
    };
    ctx.save();
    ctx.strokeStyle = token('--ink');
    ctx.lineWidth = 1.5 * devicePixelRatio;
    for (const { value, dash } of this.limits) {
      const y = chart.valToPos(value, 'y', true);
      stroke([bbox.left, y], [bbox.left + bbox.width, y], dash);
    }
    if (this.nowMs !== null && this.nowMs >= this.fromMs && this.nowMs <= this.toMs) {
      const x = chart.valToPos(this.nowMs, 'x', true);
      stroke([x, bbox.top], [x, bbox.top + bbox.height], []);
    }
    ctx.restore();
  }

  #most(): number {
    const values = [...this.lines.map(({ value }) => highest(value)), ...this.limits.map((l) => l.value)];
    return Math.max(1, ...values) * 1.08;
  }

  #ticks(): number[] {
    const width = (this.#chart?.width ?? 320) - 40;
    return ticksOf({ fromMs: this.fromMs, toMs: this.toMs }, this.timezone, Math.max(2, width / TICK_PX));
  }

  /** What the drawing depends on; `lines` and `limits` by what they hold, since they are made anew each time. */
  #state(): unknown[] {
    const { light, link } = document.documentElement.dataset;
    const now = this.nowMs === null ? null : Math.round(this.nowMs / 10_000);
    const held = this.lines.flatMap(({ at, value }) => [at.length, at.at(-1), value.at(-1), value[0]]);
    return [light, link, now, this.fromMs, this.toMs, ...held, ...this.limits.map(({ value }) => value)];
  }

  #refresh(): void {
    const state = this.#state();
    if (state.every((part, n) => part === this.#drawn[n]) && state.length === this.#drawn.length) return;
    this.#drawn = state;
    this.#chart!.setData(this.#data({ join: this.#join! }));
  }

  #fit(): void {
    const width = this.shadowRoot!.querySelector('.box')!.clientWidth;
    if (width > 0 && width !== this.#chart?.width) this.#chart?.setSize({ width, height: TALL });
  }
}
customElements.define('curve-chart', CurveChart);

function swatch(kind: string, dash: readonly number[]) {
  return html`<svg class=${kind} viewBox="0 0 26 8" aria-hidden="true">
    <path d="M0 4h26" stroke-dasharray=${dash.join(' ') || nothing} />
  </svg>`;
}

function token(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** By a loop: a night's points are too many for the arguments of one call. */
function highest(values: readonly number[]): number {
  return values.reduce((most, value) => Math.max(most, value), 0);
}

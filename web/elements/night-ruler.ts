import { html, LitElement, nothing, type SVGTemplateResult, svg } from 'lit';
import { handling } from '../fingers.ts';
import {
  anchorOf,
  clockChangeOf,
  dragged,
  movedOf,
  type Placed,
  placedIn,
  REACHES,
  type Reach,
  type Stretch,
  spread,
  stretchOf,
  stretchOfLength,
  ticksOf,
  unplannedIn,
} from '../ruler.ts';
import type { FatedPlan } from '../store.ts';
import { shortClockOf } from '../time.ts';
import { titleOf, type View } from '../view.ts';
import { Width } from '../width.ts';
import { words } from '../words.ts';
import { look } from './look.ts';
import { markLook } from './marks.ts';
import { rulerLook } from './night-ruler-look.ts';
import { MISSED, type Row, ruledInWords } from './night-ruler-words.ts';
import { drawUnplanned, unplannedLook } from './unplanned-runs.ts';

const HEAD = 44;
const LANE = 26;
const ZONE_TITLE = 22;
/** A mark of the clock every so many pixels, at the closest. */
const TICK_PX = 84;

/**
 * Tonight on a clock ruler: by zone, planned as an outline, real as a bar, what was missed with its mark and its why; below
 * them what ran by hand or for guests.
 */
export class NightRuler extends LitElement {
  static override properties = {
    view: { attribute: false },
    plan: { attribute: false },
    reach: { state: true },
    lengthMs: { state: true },
    movedMs: { state: true },
  };
  static override styles = [look, markLook, rulerLook, unplannedLook];
  declare view: View;
  declare plan: FatedPlan;
  declare reach: Reach;
  /** A length that fingers made, which is none of the reaches; null where one of them holds. */
  declare lengthMs: number | null;
  declare movedMs: number;
  #width = new Width(this, 280);

  constructor() {
    super();
    this.reach = 'minutes';
    this.lengthMs = null;
    this.movedMs = 0;
  }

  override render() {
    const { nowMs } = this.view;
    const night = this.#night;
    const stretch = this.#stretch(night, nowMs);
    const rows = this.#zones().map(({ title, ours }) => ({
      title,
      placed: placedIn(this.plan, stretch, nowMs, ours),
      besides: unplannedIn(this.plan, stretch, nowMs, ours),
    }));
    return html`${this.#acts(stretch)} ${this.#drawn(stretch, night, rows)} ${ruledInWords(rows, this.plan, this.view.picture)}`;
  }

  get #night(): Stretch {
    return { fromMs: Date.parse(this.plan.open), toMs: Date.parse(this.plan.close) };
  }

  #stretch(night: Stretch, nowMs: number): Stretch {
    if (this.lengthMs !== null) return stretchOfLength(this.lengthMs, nowMs, this.movedMs);
    return stretchOf(this.reach, night, nowMs, this.movedMs);
  }

  #hand = handling((did) => {
    if ('dragged' in did) return this.#draw((stretch) => dragged(stretch, did.dragged, this.#width.px));
    const { fromMs, toMs } = this.#night;
    const longestMs = (toMs - fromMs) * 1.04;
    this.#draw((stretch) => spread(stretch, did.spread, did.around / this.#width.px, longestMs));
  });

  #draw(make: (stretch: Stretch) => Stretch): void {
    const { nowMs } = this.view;
    const stretch = make(this.#stretch(this.#night, nowMs));
    this.lengthMs = stretch.toMs - stretch.fromMs;
    this.movedMs = movedOf(stretch, nowMs);
  }

  #acts(stretch: Stretch) {
    const step = (stretch.toMs - stretch.fromMs) / 2;
    // All are there all the time: one that came and went would move the ruler under the finger.
    const whole = this.reach === 'night' && this.lengthMs === null;
    const move = (by: number) => () => {
      this.movedMs += by;
    };
    return html`<div class="acts" role="group" aria-label=${words.ruler.label}>
      ${REACHES.map(
        (reach) =>
          html`<button
            aria-pressed=${this.lengthMs === null && this.reach === reach}
            @click=${() => {
              this.reach = reach;
              this.lengthMs = null;
              this.movedMs = 0;
            }}
          >
            ${words.ruler.reaches[reach]}
          </button>`,
      )}
      <button aria-label=${words.ruler.earlier} ?disabled=${whole} @click=${move(-step)}>‹</button>
      <button aria-label=${words.ruler.later} ?disabled=${whole} @click=${move(step)}>›</button>
      <button
        ?disabled=${whole || this.movedMs === 0}
        @click=${() => {
          this.movedMs = 0;
        }}
      >
        ${words.tonight.now}
      </button>
    </div>`;
  }

  /** Zones in the order of the file with the scenes that run there, then what has none. */
  #zones(): { title: string; ours: (scene: string) => boolean }[] {
    const { zones, scenes } = this.view.picture;
    const zoneOf = (scene: string): string | null => {
      const zone = Object.hasOwn(scenes, scene) ? scenes[scene]!.zone : null;
      return zone !== null && Object.hasOwn(zones, zone) ? zone : null;
    };
    const all = Object.entries(zones).map(([id, { title }]) => ({
      title,
      ours: (scene: string) => zoneOf(scene) === id,
    }));
    return [
      ...all,
      { title: words.yard.noZone(all.length), ours: (scene: string) => zoneOf(scene) === null },
    ].filter(({ ours }) => [...this.plan.runs, ...this.plan.unplanned].some((run) => ours(run.scene)));
  }

  #drawn(stretch: Stretch, night: Stretch, rows: Row[]) {
    const { nowMs, picture } = this.view;
    const { timezone } = picture.yard;
    const x = (ms: number) => ((ms - stretch.fromMs) / (stretch.toMs - stretch.fromMs)) * this.#width.px;
    const inside = (ms: number) => ms >= stretch.fromMs && ms <= stretch.toMs;
    let top = HEAD;
    const drawn = rows.map(({ title, placed, besides }) => {
      const lanes = Math.max(0, ...placed.map(({ lane }) => lane + 1));
      const more = Math.max(0, ...besides.map(({ lane }) => lane + 1));
      const y = top;
      top += ZONE_TITLE + Math.max(1, lanes + more) * LANE + 6;
      const below = { x, wide: this.#width.px, nowMs, top: y + ZONE_TITLE + lanes * LANE, lane: LANE };
      return svg`<text class="zone" x="6" y=${y + 15}>${title}</text>
        ${placed.map((one, n) => this.#run(one, x, y + ZONE_TITLE + one.lane * LANE, roomOf(placed, n, x, this.#width.px, nowMs)))}
        ${drawUnplanned(besides, picture, below)}`;
    });
    const ticks = ticksOf(stretch, timezone, Math.max(2, this.#width.px / TICK_PX));
    const described = words.ruler.described(
      shortClockOf(stretch.fromMs, timezone),
      shortClockOf(stretch.toMs, timezone),
      rows.reduce((sum, { placed, besides }) => sum + placed.length + besides.length, 0),
      rows.reduce((sum, { besides }) => sum + besides.length, 0),
    );
    return html`<svg
      class="ruler"
      role="img"
      aria-label=${described}
      height=${top}
      @pointerdown=${this.#hand.touched}
      @pointermove=${this.#hand.moved}
      @pointerup=${this.#hand.touched}
      @pointercancel=${this.#hand.touched}
      @wheel=${this.#hand.wheel}
      viewBox="0 0 ${this.#width.px} ${top}"
    >
      ${this.#shut(x, stretch.fromMs, night.fromMs, top)} ${this.#shut(x, night.toMs, stretch.toMs, top)}
      ${ticks.map(
        (at) => svg`<line class="tick" x1=${x(at)} x2=${x(at)} y1="20" y2=${top} />
          ${Math.abs(x(at) - x(nowMs)) < 46 ? nothing : svg`<text x=${x(at)} y="15" text-anchor=${anchorOf(x(at), this.#width.px, 22)}>${shortClockOf(at, timezone)}</text>`}`,
      )}
      ${this.#edges(stretch, night).map(
        ({ at, word }) => svg`<line class="edge" x1=${x(at)} x2=${x(at)} y1="22" y2=${top} />
          <text class="side" x=${x(at) + (x(at) > this.#width.px - 90 ? -4 : 4)} y="34"
            text-anchor=${x(at) > this.#width.px - 90 ? 'end' : 'start'}>${word}</text>`,
      )}
      ${drawn} ${inside(nowMs) ? this.#now(x(nowMs), top) : nothing}
    </svg>`;
  }

  #shut(x: (ms: number) => number, fromMs: number, toMs: number, tall: number) {
    const width = x(toMs) - x(fromMs);
    return width <= 0
      ? nothing
      : svg`<rect class="shut" x=${x(fromMs)} y="20" width=${width} height=${tall - 20} />`;
  }

  #edges(stretch: Stretch, night: Stretch): { at: number; word: string }[] {
    const { sun, timezone } = this.view.picture.yard;
    const change = clockChangeOf(stretch, timezone);
    const edges = [
      { at: night.fromMs, word: words.tonight.open },
      { at: night.toMs, word: words.tonight.close },
      ...(this.plan.quiet ? [{ at: Date.parse(this.plan.quiet), word: words.ruler.quiet }] : []),
      ...(sun?.set ? [{ at: sun.set, word: words.ruler.sunset }] : []),
      ...(change ? [{ at: change.atMs, word: words.ruler.clockChange(change.byMs) }] : []),
    ];
    return edges.filter(({ at }) => at >= stretch.fromMs && at <= stretch.toMs);
  }

  #now(at: number, tall: number) {
    const left = Math.min(Math.max(at - 22, 0), this.#width.px - 44);
    return svg`<line class="now" x1=${at} x2=${at} y1="20" y2=${tall} />
      <rect class="flag" x=${left} y="0" width="44" height="20" />
      <text class="flagged" x=${left + 22} y="15" text-anchor="middle">${words.tonight.now}</text>`;
  }

  /** `room`: pixels from its start to the next run of its lane, where its name may stand. */
  #run(
    { run, planned, actual }: Placed,
    x: (ms: number) => number,
    y: number,
    room: number,
  ): SVGTemplateResult {
    const { scenes, yard } = this.view.picture;
    const title = titleOf(scenes, run.scene);
    const told = `${shortClockOf(planned.fromMs, yard.timezone)} ${title}: ${words.fates[run.state]}${run.why ? `. ${run.why}` : ''}`;
    const width = (of: Stretch) => Math.max(3, x(of.toMs) - x(of.fromMs));
    const missed = MISSED.includes(run.state);
    const late = actual ? x(actual.fromMs) - x(planned.fromMs) : 0;
    const box = width(planned);
    const wanted = 6.7 * title.length + 4;
    // Inside its box, else behind it, else not at all.
    const label = wanted < box ? (missed ? 11 : 5) : box + (missed ? 9 : 4);
    return svg`<g>
      <title>${told}</title>
      <rect class=${missed ? 'missed' : 'planned'} x=${x(planned.fromMs)} y=${y} width=${width(planned)} height="20" />
      ${actual ? svg`<rect class=${run.state === 'running' ? 'runs' : 'was'} x=${x(actual.fromMs)} y=${y + 14} width=${width(actual)} height="6" />` : nothing}
      ${Math.abs(late) > 4 ? svg`<line class="late" x1=${x(planned.fromMs)} x2=${x(actual!.fromMs)} y1=${y + 17} y2=${y + 17} />` : nothing}
      ${missed ? svg`<path class="warn" d="M${x(planned.fromMs)} ${y + 2}l7 8 -7 8 -7 -8z" />` : nothing}
      ${label + wanted < Math.max(box + 8, room) ? svg`<text class="side" x=${x(planned.fromMs) + label} y=${y + 13}>${title}</text>` : nothing}
    </g>`;
  }
}
customElements.define('night-ruler', NightRuler);

/** Up to the next of its lane, the line of now, or the end of the ruler. */
function roomOf(
  placed: readonly Placed[],
  n: number,
  x: (ms: number) => number,
  wide: number,
  nowMs: number,
): number {
  const { lane, planned } = placed[n]!;
  const next = placed.slice(n + 1).find((one) => one.lane === lane);
  const now = nowMs > planned.toMs ? x(nowMs) : wide;
  return Math.min(wide, now, next ? x(next.planned.fromMs) : wide) - x(planned.fromMs);
}

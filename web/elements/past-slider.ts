import { css, html, LitElement } from 'lit';
import type { Course } from '../../server/past/course.ts';
import {
  keyFrom,
  PAST_REACHES,
  type PastReach,
  STEPS,
  type Steps,
  spanAround,
  stepFrom,
} from '../past-marks.ts';
import { clockOf } from '../time.ts';
import { Width } from '../width.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';
import { INSET } from './past-track.ts';

const STEP_S = 10;

/** A slider over a night, with marks for its runs, faults and stops, and steps from event to event. */
export class PastSlider extends LitElement {
  static override properties = {
    course: { attribute: false },
    at: { attribute: false },
    timezone: { attribute: false },
    reach: { state: true },
    steps: { state: true },
    middle: { state: true },
  };
  static override styles = [
    look,
    css`
      .track {
        position: relative;
        height: var(--touch);
        margin-top: -6px;
      }

      input {
        width: 100%;
        height: var(--touch);
        min-height: var(--touch);
        margin: 0;
        padding: 0;
        border: 0;
        background: transparent;
        appearance: none;
        cursor: pointer;
        touch-action: pan-y;
      }

      input::-webkit-slider-runnable-track {
        height: 6px;
        border-radius: 3px;
        background: var(--edge);
      }

      input::-moz-range-track {
        height: 6px;
        border-radius: 3px;
        background: var(--edge);
      }

      input::-webkit-slider-thumb {
        width: ${2 * INSET}px;
        height: 40px;
        margin-top: -17px;
        border: 3px solid var(--field);
        border-radius: 8px;
        background: var(--ink);
        appearance: none;
      }

      input::-moz-range-thumb {
        width: ${2 * INSET - 6}px;
        height: 34px;
        border: 3px solid var(--field);
        border-radius: 8px;
        background: var(--ink);
      }

      .steps {
        display: grid;
        grid-template-columns: 1.3fr 1fr 1fr 1.3fr;
        gap: 8px;
      }

      .steps button {
        padding: 6px 4px;
      }

      .more {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        align-items: center;
        padding-bottom: 8px;
      }

      .more button {
        padding: 8px 10px;
      }

      label {
        gap: 8px;
      }

      [aria-pressed='true'] {
        background: var(--bright);
        box-shadow: inset 0 0 0 1.5px var(--edge);
      }

      summary {
        font-size: 15px;
        font-weight: 400;
      }

      @media (min-width: 900px) {
        .steps {
          grid-template-columns: repeat(4, max-content);
        }

        .steps button {
          min-width: 96px;
        }
      }
    `,
  ];
  declare course: Course;
  /** The moment asked for, ms since 1970. */
  declare at: number;
  declare timezone: string;
  declare reach: PastReach;
  /** Null until someone chooses: what went wrong, or everything where nothing did. */
  declare steps: Steps | null;
  /** What a shorter reach lies around: it stands still while one slides. */
  declare middle: number;
  #width = new Width(this, 240);

  constructor() {
    super();
    this.reach = 'night';
    this.steps = null;
    this.middle = 0;
  }

  override render() {
    const span = this.#span();
    const { runs, faults, stops, missed } = this.course;
    const told = words.past.marks(runs.length, faults.length, stops.length, missed.length);
    return html`<div role="group" aria-label=${words.past.controls}>
      <past-track .course=${this.course} .span=${span} .at=${this.at} .timezone=${this.timezone} .wide=${this.#width.px} .told=${told}></past-track>
      <div class="track">
        <input
          type="range"
          min=${span.from}
          max=${span.to}
          step="1"
          .value=${String(this.at)}
          aria-label=${words.past.slider}
          aria-valuetext=${clockOf(this.at, this.timezone)}
          aria-describedby="keys"
          @input=${this.#slide}
          @keydown=${this.#key}
        />
      </div>
      <div class="steps">
        ${this.#event(-1)} ${this.#seconds(-STEP_S)} ${this.#seconds(STEP_S)} ${this.#event(1)}
      </div>
      ${this.#settings(told)}
      <p class="unseen" id="keys">${words.past.keys}</p>
    </div>`;
  }

  #settings(told: string) {
    return html`<details>
      <summary>${told}</summary>
      <div class="more">
        <span role="group" aria-label=${words.past.reach}>
          ${PAST_REACHES.map(
            (reach) =>
              html`<button aria-pressed=${this.reach === reach} @click=${() => this.#spanBy(reach)}>
                ${words.past.reaches[reach]}
              </button> `,
          )}
        </span>
        <label
          >${words.past.stepsLabel}<select
            @change=${(event: Event) => {
              this.steps = (event.target as HTMLSelectElement).value as Steps;
            }}
          >
            ${STEPS.map(
              (steps) =>
                html`<option value=${steps} ?selected=${this.#steps === steps}>${words.past.steps[steps]}</option>`,
            )}
          </select></label
        >
      </div>
    </details>`;
  }

  /** Around where one was when the reach was chosen, or around the moment where that has been left. */
  #span(): { from: number; to: number } {
    const span = spanAround(this.course, this.reach, this.middle);
    return this.at >= span.from && this.at <= span.to ? span : spanAround(this.course, this.reach, this.at);
  }

  get #steps(): Steps {
    const { faults, stops } = this.course;
    return this.steps ?? (faults.length + stops.length > 0 ? 'trouble' : 'all');
  }

  #spanBy(reach: PastReach): void {
    this.reach = reach;
    this.middle = this.at;
  }

  #slide(event: Event): void {
    this.#go(Number((event.target as HTMLInputElement).value));
  }

  #key(event: KeyboardEvent): void {
    const to = keyFrom(event.key, this.at, this.course);
    if (to === null) return;
    event.preventDefault();
    this.#go(to);
  }

  #go(at: number): void {
    const span = this.#span();
    if (at < span.from || at > span.to) this.middle = at;
    tell(this, 'want-moment', at);
  }

  #seconds(by: number) {
    const { from, to } = this.course;
    const at = Math.min(Math.max(this.at + by * 1000, from), to);
    const label = by < 0 ? words.past.back(-by) : words.past.on(by);
    return html`<button aria-label=${label} ?disabled=${at === this.at} @click=${() => this.#go(at)}>
      ${by < 0 ? '−' : '+'}${words.past.seconds(Math.abs(by))}
    </button>`;
  }

  #event(by: -1 | 1) {
    const to = stepFrom(this.course, this.#steps, this.at, by);
    const label = by < 0 ? words.past.previous : words.past.next;
    return html`<button aria-label=${label} ?disabled=${to === null} @click=${() => to !== null && this.#go(to)}>
      ${by < 0 ? '‹ ' : ''}${words.past.event}${by > 0 ? ' ›' : ''}
    </button>`;
  }
}
customElements.define('past-slider', PastSlider);

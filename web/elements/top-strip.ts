import { css, html, LitElement, nothing } from 'lit';
import type { Picture } from '../../server/picture.ts';
import type { LightChoice } from '../light.ts';
import type { LinkState } from '../store.ts';
import { clockOf, zonesDiffer } from '../time.ts';
import { wellOf } from '../view.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';

/** The strip on top of every screen: the yard's clock, its mode, how many are well, how old the picture is. */
export class TopStrip extends LitElement {
  static override properties = {
    picture: { attribute: false },
    nowMs: { attribute: false },
    link: { attribute: false },
    silentMs: { attribute: false },
    light: { attribute: false },
    large: { attribute: false },
    wide: { attribute: false },
  };
  static override styles = [
    look,
    css`
      header {
        display: flex;
        gap: 0 4px;
        align-items: center;
        min-height: var(--touch);
        padding: env(safe-area-inset-top) 2px 0 12px;
        border-bottom: 1px solid var(--line);
        font-size: 15px;
        line-height: 1.2;
      }

      .facts {
        display: flex;
        flex: 1;
        flex-wrap: wrap;
        gap: 0 8px;
        align-items: baseline;
        justify-content: space-between;
        padding: 4px 0;
      }

      @media (min-width: 700px) {
        header {
          padding: env(safe-area-inset-top) max(12px, (100% - 1200px) / 2) 0;
          font-size: 17px;
        }

        .facts {
          gap: 0 28px;
          justify-content: flex-start;
        }

        .age {
          margin-left: auto;
        }
      }

      .clock {
        font-size: 20px;
        font-weight: 600;
      }

      .zone {
        display: block;
        font-size: 14px;
        line-height: 1;
      }

      .mode {
        font-weight: 700;
      }

      .stopped {
        padding: 1px 5px;
        border-radius: 3px;
        background: var(--ink);
        color: var(--field);
      }

      .few {
        font-weight: 700;
        text-decoration: underline;
        text-decoration-thickness: 2px;
        text-underline-offset: 3px;
      }

      .age {
        color: var(--soft);
      }

      header.lost {
        border: 0;
        background: var(--ink);
        color: var(--field);
      }

      .lost .stopped {
        padding: 0;
      }

      .lost .facts {
        gap: 0 14px;
        justify-content: flex-start;
      }

      .lost .zone {
        display: inline;
        margin-left: 4px;
      }

      .lost .age {
        flex: 1 1 100%;
        color: var(--field);
        font-size: 1.2em;
        font-weight: 700;
      }

      .wide {
        padding-inline: max(12px, (100% - 1800px) / 2);
      }

      .large {
        font-size: clamp(17px, 2vw, 38px);
      }

      .large .clock {
        font-size: 1.5em;
      }

      .lost .clock {
        font-size: inherit;
      }

      button {
        padding: 0;
        border: 0;
        color: inherit;
      }

      svg {
        width: 22px;
        height: 22px;
        fill: none;
        stroke: currentColor;
        stroke-width: 2;
      }

      .lost :focus-visible {
        outline-color: var(--field);
        outline-offset: -4px;
      }
    `,
  ];
  declare picture: Picture | null;
  declare nowMs: number;
  declare link: LinkState;
  declare silentMs: number;
  declare light: LightChoice;
  /** For the wall: large, and with nothing to press. */
  declare large: boolean;
  /** Over a screen that uses all of the width. */
  declare wide: boolean;

  override render() {
    const lost = this.link === 'lost';
    return html`<header class="${lost ? 'lost' : ''} ${this.large ? 'large' : ''} ${this.wide ? 'wide' : ''}">
      <div class="facts">${lost ? this.#age() : ''} ${this.#facts(lost)} ${lost ? '' : this.#age()}</div>
      ${this.large ? nothing : this.#light()}
    </header>`;
  }

  #light() {
    return html`<button
        aria-label=${words.strip.light(words.lights[this.light])}
        title=${words.strip.light(words.lights[this.light])}
        @click=${() => tell(this, 'next-light')}
      >
        <svg viewBox="0 0 22 22" aria-hidden="true">
          <circle cx="11" cy="11" r="7.5" /><path d="M11 3.5a7.5 7.5 0 0 1 0 15z" fill="currentColor" />
        </svg>
      </button>`;
  }

  #facts(lost: boolean) {
    const { picture } = this;
    if (!picture) return lost ? '' : html`<span>${words.strip.looking}</span>`;
    const was = (word: string) => (lost ? words.was(word) : word);
    const { well, all } = wellOf(picture);
    return html`
      <span
        ><span class="clock">${was(clockOf(this.nowMs, picture.yard.timezone))}</span>${
          zonesDiffer(this.nowMs, picture.yard.timezone)
            ? html`<small class="zone">${words.strip.yardTime}</small>`
            : nothing
        }</span
      >
      <span class="mode ${picture.mode}">${was(words.modes[picture.mode])}</span>
      <span class=${well < all ? 'few' : ''}>${was(words.strip.well(well, all))}</span>
    `;
  }

  #age() {
    if (this.link === 'looking') return '';
    return html`<span class="age"
      >${this.link === 'lost' ? words.strip.lost(this.silentMs) : words.strip.age(this.silentMs)}</span
    >`;
  }
}
customElements.define('top-strip', TopStrip);

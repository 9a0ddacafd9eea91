import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { Then } from '../../server/past/reader.ts';
import type { Replay } from '../back.ts';
import { pastHash } from '../route.ts';
import { clockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';
import './past-lines.ts';
import './past-slider.ts';
import './yard-screen.ts';

const SETTLED_MS = 400;

/**
 * Going back through a night: a slider, and in a frame that can't be taken for the present the yard as it was, shown by
 * the elements of the yard's own screen, with no colour and nothing to press.
 */
export class PastScreen extends LitElement {
  static override properties = {
    night: { attribute: false },
    at: { attribute: false },
    replay: { attribute: false },
    live: { attribute: false },
  };
  static override styles = [
    look,
    css`
      .top {
        display: flex;
        flex-wrap: wrap;
        gap: 0 16px;
        align-items: center;
        justify-content: space-between;
      }

      .to-night {
        display: inline-flex;
        align-items: center;
        min-height: var(--touch);
      }

      /* As without a link: a colour here would claim something of now. tokens.css has the same for a lost link. */
      .frame {
        --amber: var(--plate);
        --on-amber: var(--ink);
        --amber-ink: var(--ink);
        --red-ink: var(--ink);
        --blue: var(--plate);
        --on-blue: var(--soft);
        --blue-ink: var(--ink);
        --bright: var(--plate);
        --motion: paused;

        border: solid var(--ink);
        border-width: 0 6px 6px;
      }

      .held {
        position: sticky;
        z-index: 2;
        top: -12px;
        background: var(--field);
      }

      .head {
        display: flex;
        flex-wrap: wrap;
        gap: 0 14px;
        align-items: baseline;
        padding: 6px 8px 8px;
        background: var(--ink);
        color: var(--field);
      }

      .head h2 {
        margin: 0;
        color: inherit;
        font-size: 22px;
        font-weight: 700;
      }

      .head p {
        font-size: 15px;
        line-height: 1.3;
      }

      past-slider {
        padding: 4px 8px 0;
        border-bottom: 2px solid var(--ink);
      }

      /* Where the screen is low, the words that it is past stay in sight, and the slider does not. */
      @media (max-height: 700px) {
        .held {
          position: static;
        }

        .head {
          position: sticky;
          z-index: 2;
          top: -12px;
        }
      }

      .inside {
        padding: 12px;
      }

      .inside[aria-busy='true'] {
        opacity: 0.45;
      }

      .note {
        margin-bottom: 12px;
        padding: 10px 12px;
        border: 3px double var(--ink);
        font-weight: 600;
      }

      past-lines {
        display: block;
        margin-bottom: 16px;
      }

      @media (min-width: 1100px) {
        .inside {
          display: grid;
          grid-template-columns: minmax(0, 1fr) 330px;
          gap: 24px;
          align-items: start;
          grid-auto-flow: dense;
        }

        .note {
          grid-column: 1 / 3;
          margin-bottom: 0;
        }

        past-lines {
          grid-column: 2;
        }

        yard-screen {
          grid-column: 1;
        }
      }
    `,
  ];
  /** Null while it is looked for. */
  declare night: string | null;
  /** The moment that the address names. */
  declare at: number | null;
  declare replay: Replay | null;
  /** The yard as it is now: its time zone, and who looks. */
  declare live: View;

  override willUpdate(changed: PropertyValues<this>) {
    const { replay } = this;
    const elsewhere = changed.has('at') && this.at !== null && this.at !== replay?.askedAt;
    if (changed.has('night')) tell(this, 'want-course', { night: this.night, at: this.at });
    else if (elsewhere) tell(this, 'want-moment', this.at);
  }

  /**
   * The address follows the moment, so that it can be kept, sent, and found again by the way back; once the slider rests,
   * since browsers refuse an address that changes too often.
   */
  override updated() {
    const at = this.replay?.askedAt ?? null;
    if (at === this.#at) return;
    this.#at = at;
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => this.#address(), SETTLED_MS);
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    clearTimeout(this.#settling);
  }

  #at: number | null = null;
  #settling: ReturnType<typeof setTimeout> | undefined;

  #address(): void {
    const { replay, night } = this;
    if (night === null || replay?.night !== night || replay.askedAt === null || !replay.course) return;
    const hash = pastHash(night, replay.askedAt);
    if (location.hash !== hash && location.hash.startsWith(pastHash(night, null)))
      history.replaceState(null, '', hash);
  }

  override render() {
    if (this.night === null) return html`<p class="soft">${words.past.looking}</p>`;
    const replay = this.replay?.night === this.night ? this.replay : null;
    return html`<div class="top">
        <h1>${words.past.heading(words.day(this.night))}</h1>
        <a class="to-night" href="#/nights/${encodeURIComponent(this.night)}">${words.past.toNight}</a>
      </div>
      ${replay?.read ? this.#through(replay) : html`<p class="soft">${words.past.looking}</p>`}`;
  }

  #through({ course, askedAt, shown, refused }: Replay) {
    if (!course || askedAt === null) return html`<p class="card">${refused ?? words.past.none}</p>`;
    const { timezone } = this.live.picture.yard;
    const clock = (at: number) => clockOf(at, timezone);
    const reading = refused === null && shown?.at !== askedAt;
    return html`<section class="frame" aria-label=${words.past.asItWas(clock(shown?.at ?? askedAt))}>
      <div class="held">
        <div class="head">
          <h2>${words.past.asItWas(clock(shown?.at ?? askedAt))}</h2>
          <p role="status">${reading ? words.past.reading(clock(askedAt)) : words.past.now}</p>
        </div>
        <past-slider .course=${course} .at=${askedAt} .timezone=${timezone}></past-slider>
      </div>
      <div class="inside" aria-busy=${reading}>
        ${refused === null ? nothing : html`<p class="note" role="alert">${refused}</p>`}
        ${shown ? this.#then(shown) : nothing}
      </div>
    </section>`;
  }

  #then({ at, picture, lines, off, gap }: Then) {
    const view: View = {
      picture,
      nowMs: at,
      link: 'lost',
      me: null,
      plan: null,
      curves: null,
      redButton: undefined,
      tour: null,
      bench: null,
      past: true,
    };
    return html`
      ${off || gap ? html`<p class="note">${off ? words.past.off : ''} ${gap ? words.past.gap : ''}</p>` : nothing}
      <past-lines .lines=${lines} .at=${at} .timezone=${picture.yard.timezone}></past-lines>
      <yard-screen .view=${view}></yard-screen>
    `;
  }
}
customElements.define('past-screen', PastScreen);

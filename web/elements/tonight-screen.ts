import { css, html, LitElement, nothing } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import { type NightLine, nightLines } from '../night-lines.ts';
import { clockOf, shortClockOf } from '../time.ts';
import { titleOf, type View } from '../view.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import './load-list.ts';
import { amberEdge, look } from './look.ts';
import { markLook, markOf } from './marks.ts';
import './night-ruler.ts';
import './scene-list.ts';
import { originMark } from './unplanned-runs.ts';

const KEPT_AS = 'tonight';

function keptListed(): boolean {
  try {
    return localStorage.getItem(KEPT_AS) === 'list';
  } catch {
    return false;
  }
}

/**
 * Tonight on a clock ruler, or as a list for those who prefer words: open, quiet and close, and every run, planned and
 * as it went, skipped ones with why. Beside it the scenes, and loads and pressures through the night.
 */
export class TonightScreen extends LitElement {
  static override properties = { view: { attribute: false }, listed: { state: true } };
  static override styles = [
    look,
    markLook,
    css`
      .top {
        display: flex;
        flex-wrap: wrap;
        gap: 4px 20px;
        align-items: center;
        margin-bottom: 10px;
      }

      .top .acts {
        margin: 0;
      }

      [aria-pressed='true'] {
        background: var(--bright);
        box-shadow: inset 0 0 0 1.5px var(--edge);
      }

      ol {
        padding: 0;
        list-style: none;
      }

      li {
        display: grid;
        grid-template-columns: 22px 3.2em minmax(0, 1fr);
        gap: 2px 12px;
        align-items: center;
        min-height: 40px;
        padding: 6px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      li.running {
        background: var(--bright);
      }

      li.failed,
      li.abandoned,
      li.skipped {
        box-shadow: ${amberEdge};
        padding-left: 18px;
      }

      li.edge,
      li.now {
        grid-template-columns: 22px 3.2em auto 1fr;
        background: transparent;
        font-weight: 600;
      }

      li.edge::after,
      li.now::after {
        border-top: 2px solid var(--line);
        content: '';
      }

      li.now::after {
        border-top: 3px solid var(--ink);
      }

      .title {
        font-weight: 600;
      }

      .more {
        grid-column: 3;
        color: var(--soft);
        font-size: 15px;
        line-height: 1.3;
      }

      .fate {
        margin-left: 6px;
        color: var(--soft);
        font-weight: 400;
      }

      .running .fate,
      .failed .fate,
      .abandoned .fate,
      .skipped .fate {
        color: var(--ink);
      }

      @media (min-width: 900px) {
        .sides {
          display: grid;
          grid-template-columns: minmax(0, 6fr) minmax(0, 5fr);
          gap: 24px;
          align-items: start;
        }

        /* Under the ruler, which takes all of the width. */
        .each {
          display: contents;
        }
      }
    `,
  ];
  declare view: View;
  declare listed: boolean;

  constructor() {
    super();
    this.listed = keptListed();
  }

  override connectedCallback() {
    super.connectedCallback();
    tell(this, 'want-plan');
  }

  override render() {
    const ruled = this.view.plan !== null && !this.listed;
    return html`
      <div class="top">
        <h1>${words.tonight.heading}</h1>
        <div class="acts" role="group" aria-label=${words.ruler.as}>
          ${[false, true].map(
            (listed) =>
              html`<button aria-pressed=${this.listed === listed} @click=${() => this.#show(listed)}>
                ${listed ? words.ruler.list : words.ruler.ruler}
              </button>`,
          )}
        </div>
      </div>
      ${ruled ? html`<night-ruler .view=${this.view} .plan=${this.view.plan}></night-ruler>` : nothing}
      <div class="sides">
        ${ruled ? nothing : html`<div>${this.#night()}</div>`}
        <div class=${ruled ? 'each' : ''}>
          <scene-list .view=${this.view}></scene-list>
          <load-list .view=${this.view}></load-list>
        </div>
      </div>
    `;
  }

  #show(listed: boolean): void {
    this.listed = listed;
    try {
      localStorage.setItem(KEPT_AS, listed ? 'list' : 'ruler');
    } catch {
      // A private window keeps nothing: it is the ruler again next time.
    }
  }

  #night() {
    const { plan, nowMs } = this.view;
    if (!plan) return html`<p class="card">${words.tonight.none}</p>`;
    const lines = nightLines(plan, nowMs);
    const over = lines.filter((line) => line.kind === 'run' && line.over);
    const rest = lines.filter((line) => line.kind !== 'run' || !line.over);
    return html`
      ${
        over.length > 0
          ? html`<details>
            <summary>${words.tonight.earlier(over.length)}</summary>
            <ol>
              ${over.map((line) => this.#line(line))}
            </ol>
          </details>`
          : nothing
      }
      <ol>
        ${repeat(
          rest,
          (line) => line.key,
          (line) => this.#line(line),
        )}
      </ol>
    `;
  }

  #line(line: NightLine) {
    const { picture, link } = this.view;
    const clock = shortClockOf(line.at, picture.yard.timezone);
    if (line.kind !== 'run') {
      const word = words.tonight[line.edge];
      return html`<li class=${line.edge === 'now' ? 'now' : 'edge'}>
        <span></span><span>${clock}</span><span>${word}</span>
      </li>`;
    }
    const { run } = line;
    const { scenes } = picture;
    const title = titleOf(scenes, run.scene);
    const origin = 'origin' in run ? run.origin : null;
    const ended = words.fates[run.state];
    const fate = origin === null ? ended : `${words.origins[origin]}, ${ended}`;
    const old = link === 'lost' && run.state !== 'planned';
    return html`<li class=${run.state}>
      ${origin !== null && run.state === 'done' ? originMark(origin) : markOf(run.state === 'abandoned' ? 'skipped' : run.state)}
      <span>${clock}</span>
      <span class="title">${title}<span class="fate">${old ? words.was(fate) : fate}</span></span>
      ${line.more ? html`<span class="more">${this.#more(line)}</span>` : nothing}
    </li>`;
  }

  /** When it really started, if not when planned, and why it went otherwise. */
  #more(line: Extract<NightLine, { kind: 'run' }>): string {
    const { timezone } = this.view.picture.yard;
    const started = line.startedLate ? words.tonight.started(clockOf(line.startedLate, timezone)) : null;
    return [started, line.run.why].filter((part) => part !== null).join('. ');
  }
}
customElements.define('tonight-screen', TonightScreen);

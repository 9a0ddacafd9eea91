import { css, html, LitElement, nothing } from 'lit';
import type { RecordLine } from '../../server/desk-door.ts';
import { clockOf } from '../time.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';

/** So many lines are shown at once, before the moment and after it. */
const BEFORE = 4;
const AFTER = 2;

/** What happened around a moment, in the words of the record; each line's time leads there. */
export class PastLines extends LitElement {
  static override properties = {
    lines: { attribute: false },
    at: { attribute: false },
    timezone: { attribute: false },
    whole: { state: true },
  };
  static override styles = [
    look,
    css`
      ol {
        padding: 0;
        list-style: none;
      }

      li {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr);
        gap: 10px;
        align-items: center;
        margin-bottom: 2px;
        background: var(--plate);
        font-size: 15px;
        line-height: 1.35;
      }

      li button {
        padding: 4px 10px;
        border: 0;
        font-weight: 400;
        text-decoration: underline;
        text-underline-offset: 3px;
      }

      li span {
        padding: 6px 12px 6px 0;
        overflow-wrap: anywhere;
      }

      .came {
        color: var(--soft);
      }

      .came button {
        color: var(--soft);
      }

      h2 {
        margin-top: 0;
      }

      h3 {
        margin: 8px 0 4px;
        color: var(--soft);
        font-size: 15px;
      }
    `,
  ];
  declare lines: readonly RecordLine[];
  declare at: number;
  declare timezone: string;
  declare whole: boolean;

  constructor() {
    super();
    this.whole = false;
  }

  override render() {
    const was = this.lines.filter(({ at }) => at <= this.at);
    const came = this.lines.filter(({ at }) => at > this.at);
    const shown = this.whole ? was : was.slice(-BEFORE);
    const next = this.whole ? came : came.slice(0, AFTER);
    const less = shown.length + next.length < this.lines.length;
    return html`<h2>${words.past.around}</h2>
      ${this.lines.length === 0 ? html`<p class="soft">${words.past.nothing}</p>` : nothing}
      ${shown.length > 0 ? html`<ol>${shown.map((line) => this.#line(line))}</ol>` : nothing}
      ${next.length > 0 ? html`<h3>${words.past.thenCame}</h3><ol class="came">${next.map((line) => this.#line(line))}</ol>` : nothing}
      ${
        less
          ? html`<button
            @click=${() => {
              this.whole = true;
            }}
          >
            ${words.past.more}
          </button>`
          : nothing
      }`;
  }

  #line({ at, text }: RecordLine) {
    const clock = clockOf(at, this.timezone);
    return html`<li>
      <button aria-label=${words.past.goTo(clock)} @click=${() => tell(this, 'want-moment', at)}>${clock}</button>
      <span>${text}</span>
    </li>`;
  }
}
customElements.define('past-lines', PastLines);

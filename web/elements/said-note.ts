import { css, html, LitElement } from 'lit';
import type { Outcome } from '../commands.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';

/** Why the last command was not done, with all reasons. */
export class SaidNote extends LitElement {
  static override properties = { outcome: { attribute: false } };
  static override styles = [
    look,
    css`
      .card {
        display: flex;
        gap: 12px;
        align-items: flex-start;
        justify-content: space-between;
        margin-bottom: 12px;
        border: 2px solid var(--ink);
      }

      ol {
        padding-left: 22px;
      }

      button {
        flex: none;
        padding: 0;
        border: 0;
        font-size: 22px;
      }
    `,
  ];
  declare outcome: Outcome | null;

  override render() {
    const { outcome } = this;
    if (!outcome || outcome.ok) return html`<div role="alert"></div>`;
    const heading = outcome.status === 409 ? words.said.refused : words.said.failed;
    return html`<div role="alert">
      <div class="card">
        <div>
          <h3>${heading}</h3>
          ${
            outcome.reasons.length > 0
              ? html`<ol>
                ${outcome.reasons.map((reason) => html`<li>${reason}</li>`)}
              </ol>`
              : html`<p>${outcome.detail}</p>`
          }
        </div>
        <button aria-label=${words.said.close} @click=${() => tell(this, 'said-read')}>×</button>
      </div>
    </div>`;
  }
}
customElements.define('said-note', SaidNote);

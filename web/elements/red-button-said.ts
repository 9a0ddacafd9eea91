import { css, html, LitElement, nothing } from 'lit';
import type { RedButtonSaid } from '../../server/red-button.ts';
import { words } from '../words.ts';
import { look } from './look.ts';

/** Where the red button is, what it cuts, who tested it and when, as people wrote it down. */
export class RedButtonSaidLines extends LitElement {
  static override properties = { said: { attribute: false } };
  static override styles = [
    look,
    css`
      p {
        overflow-wrap: anywhere;
      }

      .where {
        font-weight: 600;
      }
    `,
  ];
  /** Null where nobody has said, undefined while not read. */
  declare said: RedButtonSaid | null | undefined;

  override render() {
    const { said } = this;
    if (said === undefined) return nothing;
    if (said === null) return html`<p>${words.redButton.none}</p>`;
    return html`<p class="where">${words.redButton.where(said.where)}</p>
      <p>${words.redButton.cuts(said.cuts)}</p>
      <p>${words.redButton.tested(said.testedBy, words.day(said.testedOn))}</p>`;
  }
}
customElements.define('red-button-said', RedButtonSaidLines);

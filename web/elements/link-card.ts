import { css, html, LitElement } from 'lit';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { amberEdge, look } from './look.ts';
import { markLook, markOf } from './marks.ts';

/** The link between the yard computer and the props, where it is broken or another computer drives. */
export class LinkCard extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      section {
        display: flex;
        gap: 10px;
        margin-bottom: 8px;
        padding: 14px 14px 14px 20px;
        border-radius: var(--round);
        background: var(--plate);
        box-shadow: ${amberEdge};
      }
    `,
  ];
  declare view: View;

  override render() {
    const { bus } = this.view.picture;
    if (bus.standsDown !== null) {
      return this.#card(words.bus.standsDown(bus.standsDown), words.bus.standsDownText);
    }
    return this.#card(words.bus.heading, words.bus.text);
  }

  #card(heading: string, text: string) {
    const old = this.view.link === 'lost';
    return html`<section>
      ${markOf('silent')}
      <div>
        <h3>${old ? words.was(heading) : heading}</h3>
        <p>${text}</p>
      </div>
    </section>`;
  }
}
customElements.define('link-card', LinkCard);

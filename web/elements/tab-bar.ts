import { css, html, LitElement, nothing, svg } from 'lit';
import { words } from '../words.ts';
import { look } from './look.ts';

export const TABS = ['yard', 'tonight', 'faults', 'nights', 'setup'] as const;
export type Tab = (typeof TABS)[number];

const icons = {
  yard: svg`<path d="M3 18h18M5 18v-6h5v6m4 0V6h5v12" />`,
  tonight: svg`<circle cx="12" cy="12" r="8.5" /><path d="M12 7v5l3.5 2" />`,
  faults: svg`<path d="M12 3.5L20.5 12 12 20.5 3.5 12z" /><path d="M12 8v5m0 2v1.5" />`,
  nights: svg`<path d="M19 14.5A7.500 7.500 0 1 1 10 4.500a6 6 0 0 0 9 10z" />`,
  setup: svg`<path d="M4 7h10m4 0h2M4 17h2m4 0h10" /><circle cx="16" cy="7" r="2.2" /><circle cx="8" cy="17" r="2.2" />`,
};

/** The screens. Below the stop bar and its dead gap, so that browser bars and swipes meet these and not the stop. */
export class TabBar extends LitElement {
  static override properties = { here: { attribute: false }, locked: { attribute: false } };
  static override styles = [
    look,
    css`
      nav {
        display: flex;
        padding-bottom: env(safe-area-inset-bottom);
        border-top: 1px solid var(--line);
      }

      a {
        position: relative;
        display: flex;
        flex: 1;
        flex-direction: column;
        min-width: max-content;
        align-items: center;
        justify-content: center;
        min-height: 52px;
        color: var(--soft);
        font-size: 14px;
        line-height: 1.2;
        text-decoration: none;
      }

      a[aria-current] {
        color: var(--ink);
        font-weight: 700;
        box-shadow: inset 0 3px 0 var(--ink);
      }

      a:focus-visible {
        outline-offset: -3px;
      }

      svg {
        width: 24px;
        height: 24px;
        fill: none;
        stroke: currentColor;
        stroke-width: 1.8;
      }

      .count {
        position: absolute;
        top: 4px;
        left: calc(50% + 10px);
        min-width: 20px;
        padding: 1px 5px;
        border: 1.5px solid var(--ink);
        border-radius: 10px;
        background: var(--amber);
        color: var(--on-amber);
        font-weight: 700;
        text-align: center;
      }

      @media (max-height: 480px) {
        a {
          min-height: var(--touch);
        }
      }
    `,
  ];
  declare here: Tab | null;
  /** How many props are locked out. */
  declare locked: number;

  override render() {
    return html`<nav aria-label=${words.tabs.label}>${TABS.map((tab) => this.#tab(tab))}</nav>`;
  }

  #tab(tab: Tab) {
    const counted = tab === 'faults' && this.locked > 0;
    return html`<a href="#/${tab}" aria-current=${tab === this.here ? 'page' : nothing}>
      <svg viewBox="0 0 24 24" aria-hidden="true">${icons[tab]}</svg>
      ${words.tabs[tab]}
      ${
        counted
          ? html`<span class="count" aria-hidden="true">${this.locked}</span>
            <span class="unseen">: ${words.tabFaults(this.locked)}</span>`
          : nothing
      }
    </a>`;
  }
}
customElements.define('tab-bar', TabBar);

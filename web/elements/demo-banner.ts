import { css, html, LitElement, nothing } from 'lit';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask } from './ask.ts';
import { look } from './look.ts';

/** Says that this is the demonstration, and lets a newcomer jam the ferry to see a lockout. */
export class DemoBanner extends LitElement {
  static override properties = { view: { attribute: false }, jammed: { attribute: false } };
  static override styles = [
    look,
    css`
      aside {
        display: flex;
        flex-wrap: wrap;
        gap: 6px 16px;
        align-items: center;
        justify-content: space-between;
        margin-bottom: 12px;
        padding: 6px 6px 6px 12px;
        border: 1.5px dashed var(--edge);
        border-radius: var(--round);
      }

      .acts {
        margin: 0;
      }

      p {
        flex: 1 1 14rem;
        font-size: 15px;
        line-height: 1.3;
      }
    `,
  ];
  declare view: View;
  /** Whether this page has jammed it. */
  declare jammed: boolean;

  override render() {
    const { props } = this.view.picture;
    const id = Object.hasOwn(props, 'ferry') ? 'ferry' : null;
    const title = id === null ? '' : props[id]!.title;
    const old = this.view.link === 'lost';
    const locked = id !== null && props[id]!.lockout !== null;
    const jammed = locked ? words.demo.locked(title) : words.demo.jammed(title);
    return html`<aside>
      <p>${this.jammed ? jammed : words.demo.text}</p>
      <span class="acts">
        ${
          id === null
            ? nothing
            : html`<button
              ?disabled=${old}
              @click=${() => ask(this, { do: 'fault', prop: id, fault: 'jam', on: !this.jammed })}
            >
              ${this.jammed ? words.demo.free(title) : words.demo.jam(title)}
            </button>`
        }
        <a class="button" href="#/setup">${words.demo.own}</a>
      </span>
    </aside>`;
  }
}
customElements.define('demo-banner', DemoBanner);

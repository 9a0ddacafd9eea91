import { css, html, LitElement } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import type { RecordLine } from '../../server/desk-door.ts';
import { momentHash } from '../route.ts';
import { shortClockOf } from '../time.ts';
import { lockoutsOf, type View } from '../view.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';
import { markLook, markOf } from './marks.ts';
import './trouble-card.ts';

type Group = ReturnType<typeof lockoutsOf>[number];

/** Every lockout in one list, each saying what keeps it from being released; then what was released tonight. */
export class FaultsScreen extends LitElement {
  static override properties = { view: { attribute: false }, closed: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      trouble-card {
        margin-bottom: 8px;
      }

      .none {
        display: flex;
        gap: 10px;
        align-items: center;
      }

      li {
        display: grid;
        grid-template-columns: 3.2em minmax(0, 1fr);
        gap: 12px;
        padding: 8px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      ul {
        padding: 0;
        list-style: none;
      }

      @media (min-width: 900px) {
        .cards {
          display: grid;
          grid-template-columns: 1fr 1fr;
          gap: 12px;
          align-items: start;
        }
      }
    `,
  ];
  declare view: View;
  /** Released tonight, newest first; null while not known. */
  declare closed: RecordLine[] | null;

  override connectedCallback() {
    super.connectedCallback();
    tell(this, 'want-closed');
  }

  override render() {
    const groups = lockoutsOf(this.view.picture);
    return html`
      <h1>${words.faultsScreen.heading}</h1>
      <h2>${words.faultsScreen.standing}</h2>
      ${
        groups.length === 0
          ? html`<p class="card none">${markOf('ready')}${words.faultsScreen.none}</p>`
          : this.#cards(groups)
      }
      <h2>${words.faultsScreen.closed}</h2>
      ${this.#closed()}
    `;
  }

  #cards(groups: Group[]) {
    return html`<div class="cards">
      ${repeat(
        groups,
        ({ lead: [id] }) => id,
        ({ lead: [id, prop], followers }) =>
          html`<trouble-card .view=${this.view} .propId=${id} .prop=${prop} .followers=${followers}></trouble-card>`,
      )}
    </div>`;
  }

  #closed() {
    const { closed, view } = this;
    if (closed === null) return html`<p class="soft">${words.faultsScreen.notRead}</p>`;
    if (closed.length === 0) return html`<p class="soft">${words.faultsScreen.noneClosed}</p>`;
    return html`<ul>
      ${closed.map(
        (line) =>
          html`<li>
            <a href=${momentHash(line.at)} aria-label=${words.past.goTo(shortClockOf(line.at, view.picture.yard.timezone))}>${shortClockOf(line.at, view.picture.yard.timezone)}</a>
            <span>${line.text}</span>
          </li>`,
      )}
    </ul>`;
  }
}
customElements.define('faults-screen', FaultsScreen);

import { css, html, LitElement, nothing } from 'lit';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { look } from './look.ts';
import { markLook, progressOf } from './marks.ts';

/** What each circuit carries and each tank holds just now, against its limit. */
export class LoadList extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      li {
        padding: 8px 12px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      ul {
        padding: 0;
        list-style: none;
      }

      p {
        display: flex;
        flex-wrap: wrap;
        gap: 0 12px;
        justify-content: space-between;
        margin-bottom: 6px;
      }

      .title {
        font-weight: 600;
      }
    `,
  ];
  declare view: View;

  override render() {
    const { circuits, tanks } = this.view.picture;
    if (Object.keys(circuits).length + Object.keys(tanks).length === 0) return nothing;
    return html`<h2>${words.tonight.loads}</h2>
      <ul>
        ${Object.values(circuits).map((circuit) =>
          this.#row(
            circuit.title,
            words.tonight.amps(circuit.amps, circuit.limitAmps),
            progressOf(circuit.amps, circuit.limitAmps, circuit.breakerAmps),
          ),
        )}
        ${Object.values(tanks).map((tank) =>
          this.#row(
            tank.title,
            words.tonight.psi(tank.psi, tank.workingPsi) + (tank.pumping ? `, ${words.tonight.pumping}` : ''),
            progressOf(tank.psi, tank.workingPsi, tank.cutOutPsi),
          ),
        )}
      </ul>`;
  }

  #row(title: string, figures: string, bar: unknown) {
    return html`<li>
      <p>
        <span class="title">${title}</span>
        <span>${this.view.link === 'lost' ? words.was(figures) : figures}</span>
      </p>
      ${bar}
    </li>`;
  }
}
customElements.define('load-list', LoadList);

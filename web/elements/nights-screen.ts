import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { KnownNight } from '../../server/past/nights.ts';
import type { Section } from '../../server/report/tables.ts';
import type { Past } from '../back.ts';
import { pastHash } from '../route.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';

/** Past nights, and what happened in one of them. The words come from the yard computer, as for its other reports. */
export class NightsScreen extends LitElement {
  static override properties = { past: { attribute: false }, night: { attribute: false } };
  static override styles = [
    look,
    css`
      h1 {
        margin-bottom: 10px;
      }

      ul {
        padding: 0;
        list-style: none;
      }

      nav a {
        display: flex;
        flex-wrap: wrap;
        gap: 0 12px;
        align-items: center;
        justify-content: space-between;
        min-height: var(--touch);
        padding: 6px 12px;
        margin-bottom: 2px;
        background: var(--plate);
        text-decoration: none;
      }

      nav a[aria-current] {
        background: var(--bright);
        box-shadow: inset 4px 0 0 var(--ink);
        font-weight: 600;
      }

      /* A season of nights must not push the report out of sight. */
      nav ul {
        max-height: 260px;
        overflow-y: auto;
      }

      .table {
        overflow-x: auto;
        background: var(--plate);
      }

      table {
        width: 100%;
        border-collapse: collapse;
        font-size: 15px;
        line-height: 1.3;
      }

      th,
      td {
        padding: 8px 12px;
        border-top: 1px solid var(--line);
        text-align: left;
        vertical-align: top;
        white-space: pre-line;
      }

      th {
        border-top: 0;
        color: var(--soft);
        font-weight: 600;
      }

      td {
        min-width: 4em;
      }

      /* All columns of a count within a phone. */
      @media (max-width: 500px) {
        th,
        td {
          min-width: 0;
          padding: 8px 6px;
        }
      }

      .night {
        color: var(--ink);
        font-size: 18px;
      }

      .copy {
        margin-top: 20px;
      }

      @media (min-width: 900px) {
        .sides {
          display: grid;
          grid-template-columns: 280px minmax(0, 1fr);
          gap: 32px;
          align-items: start;
        }

        nav ul {
          max-height: none;
        }

        .night {
          margin-top: 10px;
        }
      }
    `,
  ];
  declare past: Past | null;
  /** The night that the address names; null: the newest. */
  declare night: string | null;

  override willUpdate(changed: PropertyValues<this>) {
    if (changed.has('night')) tell(this, 'want-night', this.night);
  }

  override render() {
    const { past } = this;
    return html`<h1>${words.nights.heading}</h1>
      ${past ? html`<div class="sides">${this.#list(past)} <div>${this.#report(past)}</div></div>` : html`<p class="soft">${words.nights.looking}</p>`}`;
  }

  #list({ nights, night }: Past) {
    if (!nights) return html`<p>${words.faultsScreen.notRead}</p>`;
    if (nights.length === 0) return html`<p class="card">${words.nights.none}</p>`;
    return html`<nav aria-label=${words.nights.pick}>
      <ul>
        ${nights.map(
          (one) => html`<li>
            <a href="#/nights/${one.night}" aria-current=${one.night === night ? 'page' : nothing}>
              <span>${words.day(one.night)}</span>
              <span class="soft">${about(one)}</span>
            </a>
          </li>`,
        )}
      </ul>
    </nav>`;
  }

  #report({ told, read, night }: Past) {
    if (night === null) return nothing;
    if (!read) return html`<p class="soft">${words.nights.looking}</p>`;
    if (!told) return html`<p class="card">${words.nights.noReport}</p>`;
    return html`<h2 class="night">${told.title}</h2>
      <p class="acts"><a class="button" href=${pastHash(night, null)}>${words.past.open}</a></p>
      ${told.sections.map((section) => this.#section(section))}
      <p class="copy soft">${words.nights.copy}</p>`;
  }

  #section({ title, notes, head, rows }: Section) {
    return html`<h2>${title}</h2>
      ${notes.map((note) => html`<p>${note}</p>`)}
      ${
        rows.length === 0
          ? nothing
          : html`<div class="table" role="region" tabindex="0" aria-label=${words.nights.table(title)}>
            <table>
              <thead>
                <tr>
                  ${head.map((cell) => html`<th scope="col">${cell}</th>`)}
                </tr>
              </thead>
              <tbody>
                ${rows.map(
                  (row) => html`<tr>
                    ${row.map((cell) => html`<td>${cell}</td>`)}
                  </tr>`,
                )}
              </tbody>
            </table>
          </div>`
      }`;
  }
}
customElements.define('nights-screen', NightsScreen);

/** How it came about, and what was planned. */
function about({ night, plannedAt, runs }: KnownNight): string {
  const planned = plannedAt === null ? words.nights.unplanned : words.nights.planned(runs);
  return night.endsWith('-hand') ? `${words.nights.byHand}, ${planned}` : planned;
}

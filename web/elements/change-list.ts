import { css, html, LitElement, nothing } from 'lit';
import type { FileChange } from '../../server/file/difference.ts';
import type { Picture } from '../../server/picture.ts';
import { titleOf } from '../view.ts';
import { words } from '../words.ts';
import { look } from './look.ts';

/** In what a checked file differs from the one that runs, each with what stands there and from when it could hold. */
export class ChangeList extends LitElement {
  static override properties = { changes: { attribute: false }, picture: { attribute: false } };
  static override styles = [
    look,
    css`
      ul {
        padding: 0;
        list-style: none;
      }

      li {
        padding: 8px 12px;
        margin-top: 4px;
        background: var(--plate);
        overflow-wrap: anywhere;
      }

      .where {
        font-weight: 600;
      }

      .text {
        font: 15px/1.4 ui-monospace, 'Liberation Mono', Menlo, Consolas, monospace;
      }

      del {
        color: var(--soft);
      }

      ins {
        text-decoration: none;
      }
    `,
  ];
  declare changes: readonly FileChange[];
  declare picture: Picture;

  override render() {
    return html`<ul>
      ${this.changes.map(
        (change) => html`<li>
          <p class="where">${change.path.join(' › ')}</p>
          <p class="text">
            ${change.was === null ? nothing : html`<span class="unseen">${words.file.was} </span><del>${change.was}</del>`}
            ${change.is === null ? html`<span>${words.file.goes}</span>` : html`<span class="unseen">${words.file.is} </span><ins>${change.is}</ins>`}
          </p>
          <p class="soft">${this.#when(change)}</p>
        </li>`,
      )}
    </ul>`;
  }

  #when({ when, of }: FileChange): string {
    if (when !== 'rest' || !of) return words.file.when[when];
    const { props, scenes } = this.picture;
    const title = titleOf(of.kind === 'prop' ? props : scenes, of.id);
    return of.kind === 'prop' ? words.file.whenRests(title) : words.file.whenEnded(title);
  }
}
customElements.define('change-list', ChangeList);

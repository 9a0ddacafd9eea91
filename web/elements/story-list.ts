import { css, html, LitElement } from 'lit';
import type { RecordLine } from '../../server/desk-door.ts';
import { clockOf } from '../time.ts';
import { words } from '../words.ts';
import { look } from './look.ts';

/** Lines of the record with their times. */
export class StoryList extends LitElement {
  static override properties = { lines: { attribute: false }, timezone: { attribute: false } };
  static override styles = [
    look,
    css`
      ol {
        padding: 0;
        list-style: none;
      }

      li {
        display: grid;
        grid-template-columns: 5em minmax(0, 1fr);
        gap: 10px;
        padding: 7px 12px;
        margin-bottom: 2px;
        background: var(--plate);
        font-size: 15px;
        line-height: 1.35;
      }

      time {
        color: var(--soft);
      }
    `,
  ];
  declare lines: readonly RecordLine[];
  declare timezone: string;

  override render() {
    if (this.lines.length === 0) return html`<p class="soft">${words.story.none}</p>`;
    return html`<ol>
      ${this.lines.map(
        (line) => html`<li><time>${clockOf(line.at, this.timezone)}</time><span>${line.text}</span></li>`,
      )}
    </ol>`;
  }
}
customElements.define('story-list', StoryList);

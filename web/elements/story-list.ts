import { css, html, LitElement } from 'lit';
import type { RecordLine } from '../../server/desk-door.ts';
import { momentHash } from '../route.ts';
import { clockOf, dateOf } from '../time.ts';
import { words } from '../words.ts';
import { look } from './look.ts';

/** Lines of the record with their times, each of which leads to the yard as it was then. */
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

      h3 {
        margin: 10px 0 4px;
        font-size: 15px;
      }

      a {
        align-self: start;
        margin: -7px 0;
        padding: 7px 0;
        color: var(--soft);
        text-underline-offset: 3px;
      }
    `,
  ];
  declare lines: readonly RecordLine[];
  declare timezone: string;

  override render() {
    if (this.lines.length === 0) return html`<p class="soft">${words.story.none}</p>`;
    return byDay(this.lines, this.timezone).map(
      ({ day, lines }) => html`<h3>${words.day(day)}</h3>
        <ol>
          ${lines.map(
            (line) => html`<li>
              <a href=${momentHash(line.at)} aria-label=${words.past.goTo(clockOf(line.at, this.timezone))}>${clockOf(line.at, this.timezone)}</a>
              <span>${line.text}</span>
            </li>`,
          )}
        </ol>`,
    );
  }
}
customElements.define('story-list', StoryList);

/** By the yard's day, in the order of the lines. */
function byDay(lines: readonly RecordLine[], timezone: string): { day: string; lines: RecordLine[] }[] {
  const days: { day: string; lines: RecordLine[] }[] = [];
  for (const line of lines) {
    const day = dateOf(line.at, timezone);
    if (days.at(-1)?.day === day) days.at(-1)!.lines.push(line);
    else days.push({ day, lines: [line] });
  }
  return days;
}

import { css, html, LitElement, nothing } from 'lit';
import type { RunPicture } from '../../server/picture.ts';
import { shortClockOf } from '../time.ts';
import { titleOf, type View } from '../view.ts';
import { words } from '../words.ts';
import { look } from './look.ts';
import { markLook, markOf } from './marks.ts';

/** What runs now, and the next few to come. */
export class NowNext extends LitElement {
  static override properties = { view: { attribute: false }, most: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      li {
        display: grid;
        grid-template-columns: var(--mark, 22px) 3.2em minmax(0, 1fr) max-content;
        gap: 12px;
        align-items: center;
        min-height: var(--row, 40px);
        padding: 4px 12px;
        margin-bottom: 2px;
        background: var(--plate);
      }

      li.runs {
        background: var(--bright);
        font-weight: 600;
      }

      ul {
        padding: 0;
        list-style: none;
      }

      li.sleeps {
        color: var(--soft);
      }

      .none {
        grid-column: 2 / 5;
      }
    `,
  ];
  declare view: View;
  /** How many to come are shown. */
  declare most: number;

  constructor() {
    super();
    this.most = 4;
  }

  override render() {
    const { picture, link, nowMs } = this.view;
    const old = link === 'lost';
    // What is planned is counted down to only where it will be started.
    const starts = picture.mode === 'open' || picture.mode === 'opening';
    return html`<ul>
      ${
        picture.now.length === 0
          ? html`<li class="soft">${markOf('ready')}<span class="none">${this.#wasSaid(words.yard.nothingNow)}</span></li>`
          : picture.now.map((run) =>
              this.#row(
                run,
                old ? '' : 'runs',
                old ? words.fates.running : words.yard.since(nowMs - run.start),
              ),
            )
      }
      ${starts ? nothing : html`<li class="soft"><span></span><span class="none">${this.#wasSaid(picture.mode === 'closing' ? words.yard.closing : words.yard.notOpen)}</span></li>`}
      ${picture.next.slice(0, this.most).map((run) => this.#row(run, starts ? '' : 'sleeps', starts && !old ? this.#when(run) : words.yard.planned))}
    </ul>`;
  }

  #when({ start }: RunPicture): string {
    const { nowMs } = this.view;
    return start > nowMs ? words.yard.inTime(start - nowMs) : words.yard.due;
  }

  #row(run: RunPicture, kind: string, when: string) {
    const { scenes, yard, now } = this.view.picture;
    const title = titleOf(scenes, run.scene);
    return html`<li class=${kind}>
      ${markOf(now.includes(run) ? 'running' : 'planned')}
      <span>${shortClockOf(run.start, yard.timezone)}</span>
      <span>${title}</span>
      <span class="soft">${this.#was(when)}</span>
    </li>`;
  }

  #wasSaid(sentence: string): string {
    return this.view.link === 'lost' ? words.wasSaid(sentence) : sentence;
  }

  #was(word: string): string {
    return this.view.link === 'lost' ? words.was(word) : word;
  }
}
customElements.define('now-next', NowNext);

import { css, html, LitElement, nothing } from 'lit';
import { clockOf } from '../time.ts';
import { controllerTitles, type View } from '../view.ts';
import { words } from '../words.ts';
import { ask, isKeeper } from './ask.ts';
import './hold-button.ts';
import { amberEdge, look } from './look.ts';
import { markLook, markOf } from './marks.ts';
import './red-button-said.ts';

/** The stopped yard: who obeyed and who did not, what bars a clear, in the order to deal with it, and the clear. */
export class StoppedCard extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    markLook,
    css`
      section {
        padding: 14px;
        border: 3px solid var(--red-ink);
        border-radius: var(--round);
        background: var(--plate);
      }

      h2 {
        display: flex;
        gap: 10px;
        align-items: center;
        margin: 0;
        color: var(--red-ink);
        font-size: 22px;
        font-weight: 700;
      }

      h3 {
        margin: 14px 0 4px;
        font-size: 15px;
      }

      .silent {
        padding: 10px 12px;
        box-shadow: ${amberEdge};
        padding-left: 18px;
        background: var(--field);
      }

      .silent li {
        font-weight: 600;
      }

      ul {
        padding: 0;
        list-style: none;
      }

      ol {
        padding-left: 22px;
      }

      li {
        padding: 2px 0;
      }

      .safety {
        margin-top: 14px;
        font-size: 15px;
      }

      hold-button {
        flex: 1 1 16rem;
      }
    `,
  ];
  declare view: View;

  override render() {
    const { picture, link } = this.view;
    const { stop, yard } = picture;
    const old = link === 'lost';
    const titles = (ids: string[]) => ids.flatMap((id) => controllerTitles(picture, id));
    const answered = titles(stop.answered);
    return html`<section aria-labelledby="stopped">
      <h2 id="stopped">${markOf('stopped')}${old ? words.was(words.modes.stopped) : words.stopped.heading}</h2>
      ${stop.at === null ? nothing : html`<p>${words.stopped.since(clockOf(stop.at, yard.timezone), stop.by)}</p>`}
      ${
        stop.silent.length > 0
          ? html`<h3>${words.stopped.silent}</h3>
            <ul class="silent">
              ${stop.silent.map((id) => html`<li>${this.#silent(id)}</li>`)}
            </ul>`
          : nothing
      }
      <h3>${words.stopped.answered}</h3>
      <p class="soft">${answered.length > 0 ? answered.join(', ') : words.stopped.nobody}</p>
      ${
        stop.bars.length > 0
          ? html`<h3>${words.stopped.barsHeading}</h3>
            <ol>
              ${stop.bars.map((bar) => html`<li>${bar}</li>`)}
            </ol>`
          : this.view.past
            ? nothing
            : html`<h3>${words.stopped.next}</h3>
              <p>${words.stopped.noBars}</p>`
      }
      ${this.view.past ? nothing : this.#acts(old)}
    </section>`;
  }

  #acts(old: boolean) {
    const { me, picture } = this.view;
    return html`<div class="acts">
        ${
          me
            ? html`<hold-button
                .label=${words.stopped.clear}
                .disabled=${old || picture.stop.bars.length > 0 || !isKeeper(me)}
                @held=${() => ask(this, { do: 'clear' })}
              ></hold-button>`
            : html`<a class="button" href="#/sign-in">${words.signIn.toAct}</a>`
        }
        ${me && !isKeeper(me) ? html`<span class="soft">${words.stopped.keeperOnly}</span>` : nothing}
      </div>
      <h3>${words.setup.red}</h3>
      <red-button-said .said=${this.view.redButton}></red-button-said>
      <p class="safety soft">${words.stopped.safety}</p>`;
  }

  #silent(id: string): string {
    const { picture, nowMs } = this.view;
    const props = Object.values(picture.props).filter((prop) => prop.controller === id);
    const heard = Math.max(...props.map((prop) => prop.heard ?? 0), 0);
    const name = controllerTitles(picture, id).join(', ');
    return `${name}: ${heard > 0 ? words.prop.heard(nowMs - heard) : words.prop.neverHeard}`;
  }
}
customElements.define('stopped-card', StoppedCard);

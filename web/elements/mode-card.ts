import { css, html, LitElement, nothing } from 'lit';
import { modeText, unheardText } from '../mode-text.ts';
import { shortClockOf } from '../time.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask } from './ask.ts';
import { amberEdge, look } from './look.ts';

/** What the yard does as a whole, its hours, and the acts that change it: open, hold, close. */
export class ModeCard extends LitElement {
  static override properties = { view: { attribute: false } };
  static override styles = [
    look,
    css`
      .sentence {
        font-size: 18px;
        font-weight: 600;
        line-height: 1.3;
      }

      .unheard {
        margin: 8px 0;
        padding: 8px 12px 8px 18px;
        background: var(--field);
        box-shadow: ${amberEdge};
        font-weight: 600;
      }

      .warn {
        margin-top: 8px;
        font-size: 15px;
      }

      select {
        margin-left: 8px;
      }
    `,
  ];
  declare view: View;

  override render() {
    const { picture, link, me } = this.view;
    const old = link === 'lost';
    const unheard = old ? null : unheardText(words, picture);
    return html`<div class="card">
      <p class="sentence">${old ? words.was(words.modes[picture.mode]) : modeText(words, picture)}</p>
      ${unheard === null ? nothing : html`<p class="unheard">${unheard}</p>`}
      <p class="soft">${this.#hours()}</p>
      ${picture.mode === 'stopped' || this.view.past ? nothing : this.#acts(old, me !== null)}
    </div>`;
  }

  #hours(): string {
    const { night, yard } = this.view.picture;
    if (!night) return words.mode.noNight;
    const clock = (ms: number) => shortClockOf(ms, yard.timezone);
    const hours = words.mode.hours(clock(night.open), clock(night.close));
    return night.quiet === null ? hours : `${hours}, ${words.mode.quiet(clock(night.quiet))}`;
  }

  #acts(old: boolean, signedIn: boolean) {
    if (!signedIn) {
      return html`<div class="acts"><a class="button" href="#/sign-in">${words.signIn.toAct}</a></div>`;
    }
    const { mode } = this.view.picture;
    const mayOpen = mode === 'closed' || mode === 'held';
    const act = (what: 'hold' | 'close', label: string) =>
      html`<button ?disabled=${old} @click=${() => ask(this, { do: what })}>${label}</button>`;
    return html`
      <div class="acts">
        ${mayOpen ? this.#open(old) : nothing}
        ${mode === 'open' || mode === 'opening' ? act('hold', words.mode.hold) : nothing}
        ${mode === 'open' || mode === 'opening' || mode === 'held' ? act('close', words.mode.close) : nothing}
      </div>
      ${mayOpen ? html`<p class="warn soft">${words.mode.openWarns}</p>` : nothing}
    `;
  }

  /** Inside a night's hours Open needs nothing; outside them a person says for how long. */
  #open(old: boolean) {
    const { night } = this.view.picture;
    const { nowMs } = this.view;
    if (night && nowMs >= night.open && nowMs < night.close) {
      return html`<button ?disabled=${old} @click=${() => ask(this, { do: 'open' })}>${words.mode.open}</button>`;
    }
    return html`
      <button ?disabled=${old} @click=${this.#openFor}>${words.mode.open}</button>
      <label>${words.mode.openLonger}<select id="hours">
          ${[1, 2, 3, 4, 5].map((hours) => html`<option value=${hours}>${hours} h</option>`)}
        </select></label>
      <label><input type="checkbox" id="unplanned" />${words.mode.nothingPlanned}</label>
    `;
  }

  #openFor(): void {
    const hours = Number(this.renderRoot.querySelector<HTMLSelectElement>('#hours')?.value ?? 1);
    const unplanned = this.renderRoot.querySelector<HTMLInputElement>('#unplanned')?.checked ?? false;
    ask(this, { do: 'open-for', hours, plan: !unplanned });
  }
}
customElements.define('mode-card', ModeCard);

import { css, html, LitElement, nothing } from 'lit';
import type { TourView } from '../tour.ts';
import { mustSignIn, tourText } from '../tour.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { ask, tell } from './ask.ts';
import { look } from './look.ts';

/** Says that this is the demonstration, and leads a newcomer through a lockout: one step, and what to press for it. */
export class DemoBanner extends LitElement {
  static override properties = {
    view: { attribute: false },
    whole: { attribute: false },
    quiet: { attribute: false },
    onSheet: { attribute: false },
  };
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
        padding: 8px 8px 8px 12px;
        border: 1.5px dashed var(--edge);
        border-radius: var(--round);
      }

      .acts {
        flex: 0 1 auto;
        gap: 8px;
        margin: 0;
      }

      .said {
        flex: 1 1 16rem;
        font-size: 15px;
        line-height: 1.3;
      }

      .step {
        font-weight: 600;
      }
    `,
  ];
  declare view: View;
  /** Whether all that can be tried is offered, or the tour's step alone. */
  declare whole: boolean;
  /** Says what it is and offers nothing. */
  declare quiet: boolean;
  /** Whether the sheet of the tour's prop is what is shown below: no way leads to where one is. */
  declare onSheet: boolean;

  override render() {
    const { tour, picture } = this.view;
    if (this.quiet)
      return html`<aside aria-label=${words.demo.label}><p class="said">${words.demo.text}</p></aside>`;
    if (!tour) return nothing;
    // In the middle of the tour the trouble itself matters more than what else could be tried.
    const midway = ['wait', 'locked', 'release', 'again'].includes(tour.step);
    const mat = Object.hasOwn(picture.props, 'path-mat');
    return html`<aside aria-label=${words.demo.label}>
      <div class="said" role="status">
        <p>${words.demo.text}</p>
        <p class="step">${tourText(words, tour, picture)}</p>
        ${tour.why === null ? nothing : html`<p class="soft">${tour.why}</p>`}
      </div>
      <div class="acts">
        ${this.#step(tour)}
        ${this.whole && mat && !midway && picture.mode === 'open' ? this.#button(words.demo.mat, () => ask(this, { do: 'demo-press', prop: 'path-mat', sensor: 'step' })) : nothing}
        ${this.whole && midway && tour.keeper ? this.#button(words.demo.reset, () => ask(this, { do: 'demo-reset' })) : nothing}
        ${this.whole && !midway ? html`<a class="button" href="#/setup">${words.demo.own}</a>` : nothing}
      </div>
    </aside>`;
  }

  #step({ step, prop, title, keeper, jammed }: TourView) {
    const jam = (on: boolean) => () => ask(this, { do: 'fault', prop, fault: 'jam', on });
    const free = this.#button(words.demo.free(title), jam(false));
    switch (step) {
      case 'shut':
        return html`${mustSignIn(this.view.me) ? this.#signIn(keeper) : nothing} ${jammed ? free : nothing}`;
      case 'jam':
        return this.#button(words.demo.jam(title), jam(true));
      case 'wait':
        return free;
      case 'locked':
        return html`${this.onSheet ? nothing : html`<a class="button" href="#/prop/${prop}">${words.demo.read}</a>`}${free}`;
      case 'release':
        if (mustSignIn(this.view.me)) return this.#signIn(keeper);
        return this.#button(words.demo.sheet, () => tell(this, 'to-release', prop));
      case 'again':
        return this.#button(words.demo.again, () => tell(this, 'tour-again'));
      case 'runs':
        return nothing;
      case 'done':
        return this.#button(words.demo.over, () => tell(this, 'tour-over'));
    }
  }

  #signIn(keeper: boolean) {
    if (!keeper) return html`<a class="button" href="#/sign-in">${words.signIn.toAct}</a>`;
    return this.#button(words.demo.keeper, () => ask(this, { do: 'demo-keeper' }));
  }

  #button(label: string, act: () => void) {
    return html`<button ?disabled=${this.#old} @click=${act}>${label}</button>`;
  }

  get #old(): boolean {
    return this.view.link !== 'live';
  }
}
customElements.define('demo-banner', DemoBanner);

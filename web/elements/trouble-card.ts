import { css, html, LitElement, nothing } from 'lit';
import type { LockoutPicture, PropPicture } from '../../server/picture.ts';
import { faultPagePath } from '../../server/words/pages.ts';
import { shortClockOf } from '../time.ts';
import type { NamedProp, View } from '../view.ts';
import { words } from '../words.ts';
import { ask, isKeeper } from './ask.ts';
import './hold-button.ts';
import { amberEdge, look } from './look.ts';
import { markLook, markOf } from './marks.ts';

/** One lockout in full: what, with its figures; what to look at first; likely causes; release and acknowledge. */
export class TroubleCard extends LitElement {
  static override properties = {
    view: { attribute: false },
    propId: { attribute: false },
    prop: { attribute: false },
    followers: { attribute: false },
    onSheet: { attribute: false },
  };
  static override styles = [
    look,
    markLook,
    css`
      article {
        padding: 14px 14px 14px 20px;
        border-radius: var(--round);
        background: var(--plate);
        box-shadow: ${amberEdge};
      }

      header {
        display: flex;
        gap: 10px;
        align-items: flex-start;
      }

      header p {
        color: var(--soft);
        font-size: 15px;
      }

      .text {
        margin-top: 8px;
        overflow-wrap: anywhere;
      }

      h4 {
        margin: 12px 0 2px;
        font-size: 15px;
      }

      ol,
      ul {
        padding-left: 22px;
      }

      .acts + p {
        margin-top: 8px;
      }

      .more {
        display: inline-flex;
        align-items: center;
        min-height: var(--touch);
      }

      .barred {
        margin-top: 12px;
        font-weight: 600;
      }

      summary {
        margin: 4px 0 -8px;
        font-size: 15px;
        font-weight: 600;
      }

      details {
        margin-bottom: 8px;
      }
    `,
  ];
  declare view: View;
  declare propId: string;
  declare prop: PropPicture;
  declare followers: NamedProp[];
  /** True on the prop's own sheet, which needs no way to itself. */
  declare onSheet: boolean;

  constructor() {
    super();
    this.followers = [];
    this.onSheet = false;
  }

  /** Brings the release, and what is said of the cause above it, into sight: the checks before it fill a phone. */
  async showRelease(): Promise<void> {
    await this.updateComplete;
    this.renderRoot.querySelector('.barred')?.scrollIntoView({ block: 'center' });
  }

  override render() {
    const { prop, view } = this;
    const lockout = prop.lockout;
    if (!lockout) return nothing;
    const old = view.link === 'lost';
    const heading =
      lockout.code === 'by-hand' ? words.lockout.out(prop.title) : words.lockout.heading(prop.title);
    const since = words.lockout.since(
      shortClockOf(lockout.since, view.picture.yard.timezone),
      view.nowMs - lockout.since,
    );
    return html`<article>
      <header>
        ${markOf('locked-out')}
        <div>
          <h3>${old ? words.was(heading) : heading}</h3>
          <p>${words.lockoutWord(lockout)}, ${since}</p>
        </div>
      </header>
      <p class="text">${withoutHeading(lockout.text, heading)}</p>
      ${this.#lists(lockout)}
      <a class="more" href=${faultPagePath(lockout.code)}>${words.lockout.more}<span class="unseen">: ${words.lockoutWord(lockout)}</span></a>
      ${this.#followers()} ${view.past ? nothing : this.#acts(lockout, old)}
    </article>`;
  }

  #lists(lockout: LockoutPicture) {
    return html`
      ${
        lockout.checks.length > 0
          ? html`<h4>${words.lockout.checks}</h4>
            <ol>
              ${lockout.checks.map((check) => html`<li>${check}</li>`)}
            </ol>`
          : nothing
      }
      ${
        lockout.causes.length > 0
          ? html`<details>
            <summary>${words.lockout.causes}</summary>
            <ol>
              ${lockout.causes.map((cause) => html`<li>${cause}</li>`)}
            </ol>
          </details>`
          : nothing
      }
    `;
  }

  #followers() {
    if (this.followers.length === 0) return nothing;
    return html`<h4>${words.lockout.followers}</h4>
      <ul>
        ${this.followers.map(
          ([id, prop]) =>
            html`<li>${this.view.past ? prop.title : html`<a href="#/prop/${encodeURIComponent(id)}">${prop.title}</a>`}: ${prop.lockout?.text}</li>`,
        )}
      </ul>`;
  }

  #acts(lockout: LockoutPicture, old: boolean) {
    const { view } = this;
    if (lockout.first !== null && this.#first(lockout.first)) {
      return html`<p class="barred">${words.lockout.follows(this.#first(lockout.first)!)}</p>`;
    }
    const barred = lockout.barred;
    return html`
      <p class="barred">${barred !== null ? `${words.lockout.barred} ${barred}` : this.#cause(lockout)}</p>
      <div class="acts">
        ${
          view.me
            ? html`<hold-button
                .label=${words.lockout.release}
                .disabled=${old || barred !== null || !isKeeper(view.me)}
                @held=${() => ask(this, { do: 'release', prop: this.propId })}
              ></hold-button>
              ${
                lockout.acknowledged
                  ? html`<span class="soft">${words.lockout.acknowledged}</span>`
                  : html`<button
                      ?disabled=${old}
                      @click=${() => ask(this, { do: 'acknowledge', prop: this.propId })}
                    >
                      ${words.lockout.acknowledge}
                    </button>`
              }`
            : html`<a class="button" href="#/sign-in">${words.signIn.toAct}</a>`
        }
        ${
          this.onSheet
            ? nothing
            : html`<a class="button" href="#/prop/${encodeURIComponent(this.propId)}">
              ${words.lockout.sheet}<span class="unseen">: ${this.prop.title}</span>
            </a>`
        }
      </div>
      ${view.me && !lockout.acknowledged ? html`<p class="soft">${words.lockout.acknowledgeText}</p>` : nothing}
      <p class="soft">${view.me && !isKeeper(view.me) ? words.lockout.keeperOnly : words.lockout.releaseText}</p>
    `;
  }

  /** That nothing forbids a release tells nothing of the cause: only a link that is back is seen from here. */
  #cause(lockout: LockoutPicture): string {
    return lockout.code === 'link-lost' && this.prop.live ? words.lockout.returned : words.lockout.unseen;
  }

  #first(id: string): string | null {
    const { props } = this.view.picture;
    return Object.hasOwn(props, id) && props[id]!.lockout ? props[id]!.title : null;
  }
}
customElements.define('trouble-card', TroubleCard);

/** The text says by itself what is locked out; under the heading that would be said twice. */
function withoutHeading(text: string, heading: string): string {
  return text.startsWith(`${heading}. `) ? text.slice(heading.length + 2) : text;
}

import { css, html, LitElement, nothing } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import { byZone, lockoutsOf, type NamedProp, ticks, unsureOf, type View, type ZoneProps } from '../view.ts';
import { words } from '../words.ts';
import { isKeeper, tell } from './ask.ts';
import './link-card.ts';
import './load-list.ts';
import { look } from './look.ts';
import './mode-card.ts';
import './night-ruler.ts';
import './now-next.ts';
import './prop-row.ts';
import './stopped-card.ts';
import './trouble-card.ts';
import './zone-group.ts';

/** Wide enough for the night beside the yard. */
const ROOMY = '(min-width: 1200px)';

/** Above so many props, zones where all is well begin folded. */
const FOLD_ABOVE = 30;

/** The first screen: trouble first and in full, then what the yard does, then every prop. */
export class YardScreen extends LitElement {
  static override properties = { view: { attribute: false }, roomy: { state: true } };
  static override styles = [
    look,
    css`
      .asks {
        margin-bottom: 12px;
        border: 2px solid var(--blue-ink);
      }

      trouble-card,
      stopped-card,
      prop-row {
        margin-bottom: 8px;
      }

      h2:first-child {
        margin-top: 0;
      }

      .props h2 {
        margin-bottom: 0;
      }

      .named {
        color: var(--ink);
      }

      ul {
        padding-left: 20px;
      }

      @media (min-width: 900px) {
        .sides {
          display: grid;
          grid-template-columns: minmax(0, 5fr) minmax(0, 6fr);
          gap: 24px;
          align-items: start;
        }

        .props h2,
        .tonight h2 {
          margin-top: 0;
        }

        /* The first zone's name, within a target of 48 px, stands in a line with the headings beside it. */
        .props {
          margin-top: -12px;
        }
      }

      @media (min-width: 1200px) {
        .sides.roomy {
          grid-template-columns: minmax(0, 5fr) minmax(0, 5fr) minmax(0, 6fr);
        }
      }
    `,
  ];
  declare view: View;
  declare roomy: boolean;
  readonly #room = window.matchMedia(ROOMY);
  #fit = (): void => {
    this.roomy = this.#room.matches;
    if (this.roomy && !this.view.past) tell(this, 'want-plan');
  };

  override connectedCallback() {
    super.connectedCallback();
    this.#room.addEventListener('change', this.#fit);
    this.#fit();
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    this.#room.removeEventListener('change', this.#fit);
  }

  #groups: ZoneProps[] = [];

  override render() {
    const { view } = this;
    const { picture } = view;
    const lockouts = lockoutsOf(picture);
    const unsure = unsureOf(picture);
    return html`
      <h1 class="unseen">${words.yard.heading}</h1>
      <div class="sides ${this.roomy && !view.past ? 'roomy' : ''}">
        <div>
          ${picture.stop.latched ? html`<stopped-card .view=${view}></stopped-card>` : nothing}
          ${picture.bus.connected && picture.bus.standsDown === null ? nothing : html`<link-card .view=${view}></link-card>`}
          ${
            lockouts.length + unsure.length > 0
              ? html`<h2>${words.yard.trouble}${this.#named([...lockouts.map(({ lead }) => lead), ...unsure])}</h2>
                ${repeat(
                  lockouts,
                  ({ lead: [id] }) => id,
                  ({ lead: [id, prop], followers }) =>
                    html`<trouble-card
                      .view=${view}
                      .propId=${id}
                      .prop=${prop}
                      .followers=${followers}
                    ></trouble-card>`,
                )}
                ${repeat(
                  unsure,
                  ([id]) => id,
                  ([id, prop]) =>
                    html`<prop-row
                      .propId=${id}
                      .prop=${prop}
                      .nowMs=${view.nowMs}
                      .old=${view.link === 'lost'}
                      .stopped=${picture.stop.latched}
                      .past=${view.past}
                    ></prop-row>`,
                )}`
              : nothing
          }
          ${this.#redButton()}
          <mode-card .view=${view}></mode-card>
          <h2>${words.yard.nowNext}</h2>
          <now-next .view=${view}></now-next>
        </div>
        <div class="props">${this.#zones()} ${this.#notes()}</div>
        ${this.#tonight()}
      </div>
    `;
  }

  /** The first fills a phone: that there are more, and which, must not wait for a thumb. */
  #named(troubled: NamedProp[]) {
    if (troubled.length < 2) return nothing;
    return html`: <span class="named">${troubled.map(([, prop]) => prop.title).join(', ')}</span>`;
  }

  /** Where there is room for it: the night beside the yard, and the circuits and tanks. Not read before it can be shown. */
  #tonight() {
    const { plan, past } = this.view;
    if (past || !this.roomy) return nothing;
    return html`<div class="tonight">
      <h2>${words.yard.tonight}</h2>
      ${plan ? html`<night-ruler .view=${this.view} .plan=${plan}></night-ruler>` : html`<p class="card">${words.tonight.none}</p>`}
      <load-list .view=${{ ...this.view, curves: null }}></load-list>
      <p class="acts"><a class="button" href="#/wall">${words.wall.open}</a></p>
    </div>`;
  }

  #zones() {
    const { picture, nowMs, link } = this.view;
    const many = Object.keys(picture.props).length > FOLD_ABOVE;
    this.#groups = byZone(picture, this.#groups);
    return repeat(
      this.#groups,
      ({ zone }) => zone,
      ({ zone, props }) => html`<zone-group
        .heading=${zone === null ? words.yard.noZone(Object.keys(picture.zones).length) : picture.zones[zone]!.title}
        .props=${props}
        .nowMs=${props.some(([, prop]) => ticks(prop)) ? nowMs : 0}
        .old=${link === 'lost'}
        .stopped=${picture.stop.latched}
        .startFolded=${many}
        .past=${this.view.past}
      ></zone-group>`,
    );
  }

  /** Asked of a keeper until somebody has said it; not beside a stop, whose card says so itself, nor in the demonstration. */
  #redButton() {
    const { redButton, me, picture, link } = this.view;
    if (redButton !== null || link === 'lost' || !isKeeper(me) || picture.yard.demonstration) return nothing;
    if (picture.stop.latched) return nothing;
    return html`<div class="card asks">
      <p>${words.redButton.none}</p>
      <p class="acts"><a class="button blue" href="#/setup/red-button">${words.redButton.say}</a></p>
    </div>`;
  }

  #notes() {
    const { notes } = this.view.picture;
    if (notes.length === 0) return nothing;
    return html`<h2>${words.yard.notes}</h2>
      <ul>
        ${notes.map((note) => html`<li>${note}</li>`)}
      </ul>`;
  }
}
customElements.define('yard-screen', YardScreen);

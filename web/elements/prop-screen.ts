import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import type { PropPicture } from '../../server/picture.ts';
import type { Sheet } from '../back.ts';
import { lineOf, sensorText, stateText } from '../prop-text.ts';
import { lockoutsOf, type NamedProp, type View } from '../view.ts';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import './bench-panel.ts';
import { amberEdge, look } from './look.ts';
import { endsOf, markLook, markOf, progressOf } from './marks.ts';
import './service-form.ts';
import './story-list.ts';
import './travel-chart.ts';
import type { TroubleCard } from './trouble-card.ts';
import './trouble-card.ts';

/** One prop's sheet: its state and why, its sensors live, its counts, and what a person may do to it. */
export class PropScreen extends LitElement {
  static override properties = {
    view: { attribute: false },
    propId: { attribute: false },
    sheet: { attribute: false },
  };
  static override styles = [
    look,
    markLook,
    css`
      .head {
        display: flex;
        gap: 12px;
        align-items: center;
        margin-bottom: 4px;
      }

      .state {
        font-size: 18px;
        font-weight: 600;
      }

      .progress {
        height: 8px;
        margin: 10px 0 2px;
      }

      dl {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: 2px;
      }

      dl div {
        padding: 8px 12px;
        background: var(--plate);
      }

      dt {
        color: var(--soft);
        font-size: 15px;
      }

      dd {
        overflow-wrap: anywhere;
        font-weight: 600;
      }

      trouble-card {
        margin: 12px 0;
      }

      .due {
        padding: 10px 12px 10px 18px;
        box-shadow: ${amberEdge};
        background: var(--plate);
        font-weight: 600;
      }

      service-form,
      bench-panel {
        margin-top: 8px;
      }

      @media (min-width: 900px) {
        .sides {
          display: grid;
          grid-template-columns: 1fr 1fr;
          gap: 32px;
          align-items: start;
        }

        .sides > div:last-child > :first-child {
          margin-top: 0;
        }
      }
    `,
  ];
  declare view: View;
  declare propId: string;
  /** Null while it is not read. */
  declare sheet: Sheet | null;

  override willUpdate(changed: PropertyValues<this>) {
    if (changed.has('propId')) tell(this, 'want-sheet', this.propId);
  }

  async showRelease(): Promise<void> {
    await this.updateComplete;
    await this.renderRoot.querySelector<TroubleCard>('trouble-card')?.showRelease();
  }

  override render() {
    const { view, propId } = this;
    const { props } = view.picture;
    const prop = Object.hasOwn(props, propId) ? props[propId] : undefined;
    const back = html`<a class="button" href="#/yard">${words.prop.back}</a>`;
    if (!prop) return html`<h1>${propId}</h1><p>${words.prop.noSuch}</p>${back}`;
    const old = view.link === 'lost';
    return html`
      <div class="head">${markOf(prop.state)}<h1>${prop.title}</h1>${endsOf(prop)}</div>
      <div class="sides">
        <div>
          ${prop.lockout ? this.#trouble(prop) : this.#state(prop, old)}
          <h2>${words.prop.sensors}</h2>
          ${this.#sensors(prop, old)}
          <h2>${words.prop.counts}</h2>
          ${this.#counts(prop)} ${prop.lockout ? nothing : this.#acts(prop, old)}
        </div>
        <div>${prop.lockout ? this.#acts(prop, old) : nothing} ${this.#travels()} ${this.#story()} <p class="acts">${back}</p></div>
      </div>
    `;
  }

  #state(prop: PropPicture, old: boolean) {
    const line = lineOf(words, prop, this.view.nowMs);
    return html`<p class="state">${stateText(words, prop, old, this.view.picture.stop.latched)}</p>
      ${prop.move && !old ? nothing : html`<p>${old ? words.wasSaid(line) : line}</p>`}
      ${prop.state === 'silent' ? html`<p>${words.prop.silentText}</p>` : nothing}
      ${old ? nothing : this.#move(prop)}`;
  }

  #move(prop: PropPicture) {
    const { move } = prop;
    if (!move) return nothing;
    const doneMs = this.view.nowMs - move.since;
    return html`${progressOf(doneMs, move.usualMs, move.limitMs)}
      <p>${words.prop.progress(move.move, doneMs, move.limitMs)}, ${words.prop.usual(move.usualMs)}</p>`;
  }

  #trouble(prop: PropPicture) {
    const group = lockoutsOf(this.view.picture).find(({ lead: [id] }) => id === this.propId);
    const followers: NamedProp[] = group?.followers ?? [];
    return html`<h2>${words.yard.trouble}</h2>
      <trouble-card
      .view=${this.view}
      .propId=${this.propId}
      .prop=${prop}
      .followers=${followers}
      .onSheet=${true}
    ></trouble-card>`;
  }

  #sensors(prop: PropPicture, old: boolean) {
    const sensors = Object.entries(prop.sensors);
    if (sensors.length === 0) return html`<p class="soft">${words.prop.noSensors}</p>`;
    return html`<dl>
      ${sensors.map(([id, sensor]) => {
        const text = sensorText(words, prop, sensor);
        return html`<div>
          <dt>${id}${sensor.kind === 'end' ? html`, ${words.prop.end}` : nothing}</dt>
          <dd>${old ? words.was(text) : text}</dd>
        </div>`;
      })}
    </dl>`;
  }

  #counts(prop: PropPicture) {
    const { scenes } = this.view.picture;
    const scene = [...this.view.picture.now].find((run) => run.id === prop.run)?.scene;
    return html`
      ${prop.serviceDue ? html`<p class="due">${words.prop.serviceDue}</p>` : nothing}
      <dl>
        <div><dt>${words.prop.cycles}</dt><dd>${prop.counts.cycles}</dd></div>
        <div><dt>${words.prop.moves}</dt><dd>${prop.counts.moves}</dd></div>
        <div><dt>${words.prop.board}</dt><dd>${prop.controller}</dd></div>
        <div><dt>${words.prop.boardHeard}</dt><dd>${this.#heard(prop)}</dd></div>
        ${
          scene !== undefined && Object.hasOwn(scenes, scene)
            ? html`<div><dt>${words.prop.run}</dt><dd>${scenes[scene]!.title}</dd></div>`
            : nothing
        }
      </dl>
    `;
  }

  #travels() {
    const travels = this.sheet?.travels;
    if (!travels || travels.moves.length === 0) return nothing;
    return html`<h2>${words.travel.heading}</h2>
      ${travels.moves.map(
        (times) =>
          html`<travel-chart
            .times=${times}
            .drifts=${travels.drift?.move === times.move ? travels.drift : null}
          ></travel-chart>`,
      )}`;
  }

  #story() {
    const lines = this.sheet?.lines;
    if (!lines) return nothing;
    return html`<h2>${words.story.heading}</h2>
      <story-list .lines=${lines} .timezone=${this.view.picture.yard.timezone}></story-list>
      ${
        this.sheet?.before == null
          ? nothing
          : html`<p class="acts">
            <button ?disabled=${this.view.link === 'lost'} @click=${() => tell(this, 'want-earlier', this.propId)}>
              ${words.story.earlier}
            </button>
          </p>`
      }`;
  }

  /** The picture names when it was last heard only where it is not heard now. */
  #heard(prop: PropPicture): string {
    const { link, nowMs } = this.view;
    const heard = prop.heard !== null ? words.prop.heard(nowMs - prop.heard) : words.prop.neverHeard;
    const text = prop.live ? words.prop.live : heard;
    return link === 'lost' ? words.was(text) : text;
  }

  #acts(prop: PropPicture, old: boolean) {
    const { view } = this;
    if (prop.kind !== 'prop') return nothing;
    if (!view.me)
      return html`<p class="acts"><a class="button" href="#/sign-in">${words.signIn.toAct}</a></p>`;
    return html`
      ${prop.lockout ? nothing : html`<service-form .propId=${this.propId} .disabled=${old}></service-form>`}
      <bench-panel .view=${view} .propId=${this.propId} .prop=${prop}></bench-panel>
    `;
  }
}
customElements.define('prop-screen', PropScreen);

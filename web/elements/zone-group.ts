import { css, html, LitElement } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import { isWell, type NamedProp, ticks } from '../view.ts';
import { words } from '../words.ts';
import { look } from './look.ts';
import './prop-row.ts';

/** The props of one zone. Folded, only those that move or are not well are shown. */
export class ZoneGroup extends LitElement {
  static override properties = {
    heading: { attribute: false },
    props: { attribute: false },
    nowMs: { attribute: false },
    old: { attribute: false },
    stopped: { attribute: false },
    folded: { state: true },
    startFolded: { attribute: false },
    past: { attribute: false },
  };
  static override styles = [
    look,
    css`
      button {
        display: flex;
        gap: 10px;
        justify-content: flex-start;
        width: 100%;
        padding: 4px 12px;
        border: 0;
        text-align: left;
      }

      .count {
        color: var(--soft);
        font-weight: 400;
      }

      .fold {
        width: 12px;
        height: 12px;
        margin-left: auto;
        fill: none;
        stroke: currentColor;
        stroke-width: 2;
      }

      prop-row {
        margin-bottom: 2px;
        contain: content;
        contain-intrinsic-size: auto 50px;
        content-visibility: auto;
      }
    `,
  ];
  declare heading: string;
  declare props: NamedProp[];
  declare nowMs: number;
  declare old: boolean;
  declare stopped: boolean;
  declare startFolded: boolean;
  declare past: boolean;
  declare folded: boolean | null;

  constructor() {
    super();
    this.folded = null;
    this.startFolded = false;
    this.past = false;
  }

  override render() {
    const folded = this.folded ?? this.startFolded;
    const well = this.props.filter(([, prop]) => isWell(prop)).length;
    const all = this.props.length;
    const shown = folded ? this.props.filter(([, p]) => !isWell(p) || p.state === 'moving') : this.props;
    const count = well === all ? words.yard.allWell(all) : words.yard.someWell(well, all);
    return html`
      <button aria-expanded=${!folded} @click=${() => (this.folded = !folded)}>
        <span>${this.heading}</span>
        <span class="count">${this.old ? words.was(count) : count}</span>
        <svg class="fold" viewBox="0 0 12 12" aria-hidden="true">
          <path d=${folded ? 'M2 4l4 4 4-4' : 'M2 8l4-4 4 4'} />
        </svg>
      </button>
      ${repeat(
        shown,
        ([id]) => id,
        ([id, prop]) => html`<prop-row
          .propId=${id}
          .prop=${prop}
          .old=${this.old}
          .stopped=${this.stopped}
          .past=${this.past}
          .nowMs=${ticks(prop) ? this.nowMs : 0}
        ></prop-row>`,
      )}
    `;
  }
}
customElements.define('zone-group', ZoneGroup);

import { css, html, LitElement, nothing } from 'lit';
import type { PropPicture } from '../../server/picture.ts';
import { lineOf, stateText, stationPressed } from '../prop-text.ts';
import { words } from '../words.ts';
import { amberEdge, look } from './look.ts';
import { endsOf, markLook, markOf, progressOf } from './marks.ts';

/**
 * One prop: mark, name, state in words, its ends, and why. `nowMs` is 0 while nothing about it depends on the time,
 * so that a row is drawn again only when its own prop changed.
 */
export class PropRow extends LitElement {
  static override properties = {
    propId: { attribute: false },
    prop: { attribute: false },
    nowMs: { attribute: false },
    old: { attribute: false },
    stopped: { attribute: false },
    past: { attribute: false },
  };
  static override styles = [
    look,
    markLook,
    css`
      a {
        display: grid;
        grid-template-columns: 22px minmax(0, 1fr) auto;
        gap: 2px 12px;
        align-items: center;
        min-height: var(--touch);
        padding: 7px 12px 8px;
        background: var(--plate);
        text-decoration: none;
      }

      a.moves {
        background: var(--bright);
      }

      a.trouble {
        box-shadow: ${amberEdge};
        padding-left: 18px;
      }

      .name {
        overflow-wrap: anywhere;
        font-weight: 600;
      }

      .state {
        margin-left: 10px;
        color: var(--soft);
        font-weight: 400;
      }

      .moves .state,
      .trouble .state {
        color: var(--ink);
        font-weight: 600;
      }

      .why {
        grid-column: 2 / 4;
        color: var(--soft);
        font-size: 15px;
        line-height: 1.3;
      }

      .progress {
        grid-column: 2 / 4;
      }
    `,
  ];
  declare propId: string;
  declare prop: PropPicture;
  declare nowMs: number;
  declare old: boolean;
  /** Whether a stop is latched. */
  declare stopped: boolean;
  /** Shown as it was: its row leads nowhere, since its sheet is of now. */
  declare past: boolean;

  override render() {
    const { prop, old } = this;
    const pressed = prop.kind === 'stop-station' && stationPressed(prop);
    const trouble = pressed || prop.lockout !== null || prop.state === 'silent' || prop.state === 'unknown';
    const kind = trouble ? 'trouble' : prop.state === 'moving' && !old ? 'moves' : '';
    const move = prop.move;
    // A healthy prop with nothing to do folds to one line.
    const idle = !trouble && !move && prop.run === null;
    const doneMs = move ? this.nowMs - move.since : 0;
    return html`<a class=${kind} href=${this.past ? nothing : `#/prop/${encodeURIComponent(this.propId)}`}>
      ${markOf(pressed ? 'stopped' : prop.state)}
      <span class="name">${prop.title}<span class="state">${stateText(words, prop, old, this.stopped)}</span></span>
      ${endsOf(prop)}
      ${idle ? nothing : html`<span class="why">${this.#line(doneMs)}</span>`}
      ${move && !old ? progressOf(doneMs, move.usualMs, move.limitMs) : nothing}
    </a>`;
  }

  #line(doneMs: number): string {
    const { prop, old } = this;
    if (prop.move && !old) return words.prop.progress(prop.move.move, doneMs, prop.move.limitMs);
    const line = lineOf(words, prop, this.nowMs);
    return old && line ? words.wasSaid(line) : line;
  }
}
customElements.define('prop-row', PropRow);

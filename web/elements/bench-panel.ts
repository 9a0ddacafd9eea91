import { css, html, LitElement, nothing } from 'lit';
import type { PropPicture } from '../../server/picture.ts';
import type { View } from '../view.ts';
import { words } from '../words.ts';
import { isKeeper, tell } from './ask.ts';
import { look } from './look.ts';

/** Moves for setting up, each held while pressed. Sends `bench-hold` and `bench-let-go`; the page repeats them. */
export class BenchPanel extends LitElement {
  static override properties = {
    view: { attribute: false },
    propId: { attribute: false },
    prop: { attribute: false },
  };
  static override styles = [
    look,
    css`
      button {
        min-height: 64px;
        min-width: 9rem;
        touch-action: none;
        user-select: none;
        -webkit-user-select: none;
        -webkit-touch-callout: none;
      }

      button.held {
        background: var(--bright);
        outline: 3px solid var(--ink);
        outline-offset: 2px;
      }
    `,
  ];
  declare view: View;
  declare propId: string;
  declare prop: PropPicture;

  override render() {
    const { view, prop } = this;
    const { mode } = view.picture;
    const inMode = mode === 'closed' || mode === 'held';
    const may = inMode && isKeeper(view.me) && view.link === 'live';
    return html`<section>
      <h2>${words.bench.heading}</h2>
      <p>${words.bench.text}</p>
      ${inMode ? nothing : html`<p class="soft">${words.bench.onlyWhen}</p>`}
      ${isKeeper(view.me) ? nothing : html`<p class="soft">${words.bench.keeperOnly}</p>`}
      <div class="acts">${prop.moves.map((move) => this.#button(move, may))}</div>
      ${prop.moves.length === 0 ? html`<p class="soft">${words.bench.noMoves}</p>` : nothing}
    </section>`;
  }

  #button(move: string, may: boolean) {
    const held = this.view.bench?.prop === this.propId && this.view.bench.move === move;
    return html`<button
      class=${held ? 'held' : ''}
      aria-pressed=${held}
      ?disabled=${!may}
      @pointerdown=${(event: PointerEvent) => this.#down(event, move)}
      @pointerup=${this.#up}
      @pointercancel=${this.#up}
      @lostpointercapture=${this.#up}
      @blur=${this.#up}
      @keydown=${(event: KeyboardEvent) => this.#key(event, move)}
      @keyup=${this.#up}
      @contextmenu=${(event: Event) => event.preventDefault()}
    >
      ${words.bench.hold(move)}
    </button>`;
  }

  #down(event: PointerEvent, move: string): void {
    if (event.button !== 0) return;
    (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
    tell(this, 'bench-hold', { prop: this.propId, move });
  }

  #key(event: KeyboardEvent, move: string): void {
    if (event.key !== ' ' && event.key !== 'Enter') return;
    event.preventDefault();
    if (!event.repeat) tell(this, 'bench-hold', { prop: this.propId, move });
  }

  #up(): void {
    tell(this, 'bench-let-go');
  }
}
customElements.define('bench-panel', BenchPanel);

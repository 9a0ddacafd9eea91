import { css, html, LitElement } from 'lit';
import { words } from '../words.ts';
import { tell } from './ask.ts';
import { look } from './look.ts';

/** How long a press must last before letting go acts. */
export const HOLD_MS = 800;

/** How long it says that a press was too short. */
const SHORT_FOR_MS = 3000;

type Stage = 'idle' | 'pressed' | 'short' | 'ready' | 'asked';

/**
 * Acts when a held press is let go (`held`); let go too soon, it says at once that it must be held. Sliding off, a
 * hidden page or a lost focus undoes it. `press-began` goes up when the finger comes down, so that the page can say
 * what the person saw then. A screen reader, which can't hold, presses twice.
 */
export class HoldButton extends LitElement {
  static override properties = {
    label: { attribute: false },
    disabled: { attribute: false },
    stage: { state: true },
  };
  static override styles = [
    look,
    css`
      :host {
        display: inline-block;
      }

      button {
        position: relative;
        overflow: hidden;
        width: 100%;
        user-select: none;
        -webkit-user-select: none;
        -webkit-touch-callout: none;
      }

      button::before {
        position: absolute;
        inset: auto 0 0;
        height: 6px;
        background: currentColor;
        content: '';
        transform: scaleX(0);
        transform-origin: left;
      }

      button.pressed::before,
      button.ready::before {
        transform: scaleX(1);
      }

      button.ready {
        outline: 3px solid var(--ink);
        outline-offset: 2px;
      }

      @media (prefers-reduced-motion: no-preference) {
        button.pressed::before {
          transition: transform 800ms linear;
        }
      }
    `,
  ];
  declare label: string;
  declare disabled: boolean;
  declare stage: Stage;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    super();
    this.disabled = false;
    this.stage = 'idle';
  }

  override disconnectedCallback() {
    super.disconnectedCallback();
    this.#undo();
  }

  override willUpdate() {
    if (this.disabled) this.#undo();
  }

  override render() {
    return html`<button
        class="blue ${this.stage}"
        ?disabled=${this.disabled}
        @pointerdown=${this.#down}
        @pointermove=${this.#move}
        @pointerup=${this.#up}
        @pointercancel=${this.#undo}
        @keydown=${this.#keyDown}
        @keyup=${this.#keyUp}
        @blur=${this.#undo}
        @click=${this.#click}
        @contextmenu=${(event: Event) => event.preventDefault()}
      >
        ${this.#text()}
      </button>
      <span class="unseen" role="status">${this.#aloud()}</span>`;
  }

  /** The same for ears: what to do with the finger that lies on it, or lay on it too short. */
  #aloud(): string {
    return this.stage === 'idle' || this.stage === 'asked' ? '' : this.#text();
  }

  #text(): string {
    if (this.stage === 'pressed') return words.hold.keep;
    if (this.stage === 'short') return words.hold.short;
    if (this.stage === 'ready') return words.hold.letGo;
    return this.stage === 'asked' ? words.hold.again : this.label;
  }

  #down(event: PointerEvent): void {
    if (event.button !== 0) return;
    (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
    this.#begin();
  }

  #move(event: PointerEvent): void {
    if (this.stage !== 'pressed' && this.stage !== 'ready') return;
    const box = (event.currentTarget as HTMLElement).getBoundingClientRect();
    const inside =
      event.clientX >= box.left &&
      event.clientX <= box.right &&
      event.clientY >= box.top &&
      event.clientY <= box.bottom;
    if (!inside) this.#undo();
  }

  #up(): void {
    if (this.stage === 'ready') return this.#act();
    const early = this.stage === 'pressed';
    this.#undo();
    if (!early) return;
    this.stage = 'short';
    this.#timer = setTimeout(() => this.#undo(), SHORT_FOR_MS);
  }

  #keyDown(event: KeyboardEvent): void {
    if (event.key !== ' ' && event.key !== 'Enter') return;
    event.preventDefault();
    if (!event.repeat) this.#begin();
  }

  #keyUp(event: KeyboardEvent): void {
    if (event.key !== ' ' && event.key !== 'Enter') return;
    event.preventDefault();
    this.#up();
  }

  /** A click without a pointer and without a key comes from a screen reader. */
  #click(event: MouseEvent): void {
    if (event.detail !== 0) return;
    if (this.stage === 'asked') return this.#act();
    tell(this, 'press-began');
    this.stage = 'asked';
  }

  #begin(): void {
    this.#undo();
    tell(this, 'press-began');
    this.stage = 'pressed';
    this.#timer = setTimeout(() => {
      this.stage = 'ready';
    }, HOLD_MS);
  }

  #undo(): void {
    clearTimeout(this.#timer);
    this.stage = 'idle';
  }

  #act(): void {
    this.#undo();
    tell(this, 'held');
  }
}
customElements.define('hold-button', HoldButton);

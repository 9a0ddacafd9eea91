import { StopPress } from '../press.ts';
import type { StopSay } from '../stop-roll.ts';

/**
 * Quickens the plain form of index.html: fires on lifting or 120 ms after touching (press.ts), on Enter or Space at
 * once, and tells what became of it. Its children stand in the document, so that without this script, or if it breaks,
 * the form still posts the stop. No element above it may stand in its way.
 */
export class StopBar extends HTMLElement {
  /** Sends the stop. Null until something can: till then the form posts it. */
  onStop: (() => void) | null = null;
  #form: HTMLFormElement | null = null;
  #text: HTMLElement | null = null;
  /** Fingers whose touch has come to `press` and whose click must therefore not count a second time. */
  #handled = false;
  readonly #press = new StopPress(() => this.#stop());

  connectedCallback(): void {
    this.#form = this.querySelector('form');
    this.#text = this.querySelector('[role=status]');
    const button = this.querySelector('button');
    if (!button || !this.#form) return;
    button.addEventListener('pointerdown', (event) => {
      this.#handled = this.onStop !== null && event.button === 0;
      if (!this.#handled) return;
      button.setPointerCapture(event.pointerId);
      this.#press.down(event.pointerId, event.clientX, event.clientY);
    });
    button.addEventListener('pointermove', (event) => {
      this.#press.move(event.pointerId, event.clientX, event.clientY);
    });
    button.addEventListener('pointerup', (event) => {
      this.#press.up(event.pointerId, event.clientX, event.clientY);
    });
    button.addEventListener('keydown', (event) => {
      if (!this.onStop || (event.key !== 'Enter' && event.key !== ' ')) return;
      event.preventDefault();
      if (!event.repeat) this.#stop();
    });
    button.addEventListener('keyup', (event) => {
      if (this.onStop && event.key === ' ') event.preventDefault();
    });
    button.addEventListener('contextmenu', (event) => event.preventDefault());
    button.addEventListener('click', (event) => this.#click(event));
  }

  /** Right in the document already; where its language could not be loaded, it follows the rest of the page. */
  set label(text: string) {
    const button = this.querySelector('button');
    if (button && button.textContent !== text) button.textContent = text;
  }

  set say({ state, text }: StopSay) {
    if (this.dataset.state !== state) this.dataset.state = state;
    if (this.#text && this.#text.textContent !== text) this.#text.textContent = text;
  }

  /** The plain form, which leaves the page. */
  post(): void {
    this.#form?.submit();
  }

  /** What a pointer did is told by its own events; a click without one comes from a screen reader or the like. */
  #click(event: MouseEvent): void {
    if (!this.onStop) return;
    event.preventDefault();
    const fromPointer = this.#handled && event.detail > 0;
    this.#handled = false;
    if (!fromPointer) this.#stop();
  }

  #stop(): void {
    try {
      navigator.vibrate?.(150);
      this.onStop!();
    } catch {
      this.post();
    }
  }
}
customElements.define('stop-bar', StopBar);

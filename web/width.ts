import type { ReactiveController, ReactiveControllerHost } from 'lit';

/** What is drawn is drawn as wide as its element stands, so that its letters keep their size. */
export class Width implements ReactiveController {
  /** Of the element, whole px, never less than `leastPx`; a phone's until it has been measured. */
  px = 360;
  readonly #host: ReactiveControllerHost & Element;
  readonly #watch: ResizeObserver;

  constructor(host: ReactiveControllerHost & Element, leastPx: number) {
    this.#host = host;
    this.#watch = new ResizeObserver(([entry]) => {
      const px = Math.max(leastPx, Math.round(entry!.contentRect.width));
      if (px === this.px) return;
      this.px = px;
      host.requestUpdate();
    });
    host.addController(this);
  }

  hostConnected(): void {
    this.#watch.observe(this.#host);
  }

  hostDisconnected(): void {
    this.#watch.disconnect();
  }
}

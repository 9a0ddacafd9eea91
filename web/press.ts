/** STOP ALL fires this long after the touch, if the finger has not lifted before. */
export const FIRE_AFTER_MS = 120;
/** A finger that has moved this far, CSS pixels, is scrolling. */
export const SCROLL_PX = 16;

interface Touch {
  x: number;
  y: number;
  timer: ReturnType<typeof setTimeout>;
}

/**
 * When a touch of the stop bar stops: on lifting or 120 ms after touching, whichever is first, unless it moved
 * 16 px before. Each finger counts for itself. A touch that the system takes away (`pointercancel`) still fires
 * in its time: one stop too many is cheap.
 */
export class StopPress {
  readonly #fire: () => void;
  readonly #touches = new Map<number, Touch>();

  constructor(fire: () => void) {
    this.#fire = fire;
  }

  down(id: number, x: number, y: number): void {
    this.#drop(id);
    const timer = setTimeout(() => {
      this.#touches.delete(id);
      this.#fire();
    }, FIRE_AFTER_MS);
    this.#touches.set(id, { x, y, timer });
  }

  move(id: number, x: number, y: number): void {
    const touch = this.#touches.get(id);
    if (touch && Math.hypot(x - touch.x, y - touch.y) >= SCROLL_PX) this.#drop(id);
  }

  up(id: number, x: number, y: number): void {
    this.move(id, x, y);
    if (!this.#touches.has(id)) return;
    this.#drop(id);
    this.#fire();
  }

  #drop(id: number): void {
    const touch = this.#touches.get(id);
    if (touch) clearTimeout(touch.timer);
    this.#touches.delete(id);
  }
}

/** What one or two fingers on a ruler do, or a mouse: they drag it by so many pixels, or spread it around one. */
export type Did = { readonly dragged: number } | { readonly spread: number; readonly around: number };

export interface Fingers {
  /** A finger came down. */
  down(id: number, x: number): void;
  /** One has moved; null where it is none of ours. */
  move(id: number, x: number): Did | null;
  up(id: number): void;
}

/** Closer together than this, fingers say nothing of how far apart they went, px. */
const LEAST_PX = 24;
/** Pixels of a wheel that make a stretch e times as long. */
const WHEEL_PX = 100;

export function fingers(): Fingers {
  const at = new Map<number, number>();
  return {
    down(id, x) {
      if (at.size < 2) at.set(id, x);
    },
    move(id, x) {
      const was = at.get(id);
      if (was === undefined) return null;
      const other = [...at].find(([one]) => one !== id)?.[1];
      at.set(id, x);
      if (other === undefined) return { dragged: x - was };
      const apart = (a: number) => Math.max(LEAST_PX, Math.abs(a - other));
      return { spread: apart(x) / apart(was), around: (x + other) / 2 };
    },
    up(id) {
      at.delete(id);
    },
  };
}

/** Listeners for an element that is drawn across and pinched. */
export function handling(tell: (did: Did) => void) {
  const touch = fingers();
  const x = (event: MouseEvent) =>
    event.clientX - (event.currentTarget as Element).getBoundingClientRect().left;
  return {
    /** Of `pointerdown`, `pointerup` and `pointercancel`. */
    touched(event: PointerEvent): void {
      if (event.type !== 'pointerdown') return touch.up(event.pointerId);
      if (event.pointerType === 'mouse' && event.button !== 0) return;
      (event.currentTarget as Element).setPointerCapture(event.pointerId);
      touch.down(event.pointerId, x(event));
    },
    moved(event: PointerEvent): void {
      const did = touch.move(event.pointerId, x(event));
      if (did) tell(did);
    },
    /** A pinch on a touch pad comes as a wheel with the control key. A wheel alone scrolls the page, as anywhere. */
    wheel(event: WheelEvent): void {
      const across = event.shiftKey ? event.deltaX || event.deltaY : event.deltaX;
      const down = event.shiftKey ? 0 : event.deltaY;
      if (event.ctrlKey) tell({ spread: Math.exp(-event.deltaY / WHEEL_PX), around: x(event) });
      else if (Math.abs(across) > Math.abs(down)) tell({ dragged: -across });
      else return;
      event.preventDefault();
    },
  };
}
